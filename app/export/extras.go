package export

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"halocline/app/study"
)

// An extra is a file beside a matte's frames, made once these are there.
type extra struct {
	task
	kind Kind // Sheet, Overlay or Movie
}

func tasksOf(extras []extra) (all []task) {
	for _, x := range extras {
		all = append(all, x.task)
	}
	return all
}

// extras lists what is to lie beside the frames, matte by matte.
func (j Job) extras(tasks []task) (all []extra, err error) {
	switch {
	case j.Movie && !j.Kind.hasMovie():
		return nil, fmt.Errorf("export: a movie is made of kind %s, %s, %s, %s or %s, not of %s", Matte, Pick, Mask, Base, Trial, j.Kind)
	case j.Movie && !j.Shard.whole():
		return nil, fmt.Errorf("export: part %s of the frames makes no movie: export all of them once the parts are there, which leaves their files as they are", j.Shard)
	case j.Movie && (j.Study.Clip.Rate[0] <= 0 || j.Study.Clip.Rate[1] <= 0):
		return nil, fmt.Errorf("export: %s has no frame rate, which a movie needs", j.Study.Clip.Name())
	}
	add := func(on bool, m *study.Matte, kind Kind, ending string) {
		if on {
			all = append(all, extra{task{matte: m, name: j.nameBeside(m, ending)}, kind})
		}
	}
	sheets := j.Sheets && j.Kind == Matte
	for _, m := range j.mattes() {
		add(sheets, m, Overlay, overlayEnding)
		add(j.Movie, m, Movie, movieEnding)
	}
	for _, m := range j.mattes() { // last: it tells of what is there
		add(sheets, m, Sheet, sheetEnding)
	}
	for _, x := range all {
		if slices.ContainsFunc(tasks, func(t task) bool { return t.name == x.name }) {
			return nil, fmt.Errorf("export: name pattern %q makes %s, which is the name of an %s: choose another", j.Pattern, x.name, x.kind)
		}
	}
	return all, nil
}

// What the names of files beside pictures end in.
const (
	sheetEnding   = ".txt"
	overlayEnding = "-overlay.png"
)

// nameBeside is the name of a file beside a matte's pictures.
func (j Job) nameBeside(m *study.Matte, ending string) string {
	return study.SafeName(j.Study.Clip.Name()) + "-" + study.SafeName(j.Kind.name(nameOf(m))) + ending
}

// beside makes the extras.
func (r *run) beside(ctx context.Context) error {
	if complete, err := r.complete(); err != nil || !complete {
		return err
	}
	for i, x := range r.extras {
		if err := ctx.Err(); err != nil {
			return err
		}
		e := Entry{Name: x.name, Kind: x.kind, Matte: nameOf(x.matte), Source: r.Study.Clip.SHA256, Version: r.versionOf()}
		var left bool
		var err error
		switch x.kind {
		case Sheet:
			e, left, err = r.sheet(ctx, x, i, e)
		case Overlay:
			e, left, err = r.overlay(ctx, x, i, e)
		case Movie:
			e, left, err = r.movie(ctx, x, i, e)
		}
		if err != nil {
			return err
		}
		r.tell(len(r.tasks)+i, e, left)
	}
	return nil
}

// isThere returns the entry of extra i where it is there as it would be made.
func (r *run) isThere(i int, e Entry) (Entry, bool) {
	old, known := r.manifest.entry(e.Name)
	there := known && !old.Outdated && r.found[len(r.tasks)+i] == whole && e.madeAs(old)
	if !there {
		return e, false
	}
	return old, true
}

// put writes extra i, unless it is there.
func (r *run) putExtra(ctx context.Context, x extra, i int, e Entry, make func(io.Writer) error) (Entry, bool, error) {
	if old, there := r.isThere(i, e); there {
		return old, true, nil
	}
	var file bytes.Buffer
	if err := make(&file); err != nil {
		return e, false, err
	}
	e.Size, e.SHA256 = int64(file.Len()), sum256(file.Bytes())
	adopted, err := r.adoptsExtra(ctx, x, len(r.tasks)+i, e)
	if err != nil {
		return e, false, err
	}
	e, err = r.put(ctx, x.task, e, file.Bytes(), adopted)
	return e, adopted, err
}

// adoptsExtra is adopts. A text that tells of the same mattes is written anew, since it says
// by which plan.
func (r *run) adoptsExtra(ctx context.Context, x extra, i int, e Entry) (bool, error) {
	if x.kind == Sheet && r.found[i] == orphan {
		own, err := os.ReadFile(r.folder.at(x.name))
		if err == nil && strings.HasPrefix(string(own), sheetTitle(x.matte.Name, r.Study.Clip.Name())) {
			return false, nil
		}
	}
	return r.adopts(ctx, i, e)
}

// complete reports whether all frames of the export are there, or known to have no
// pictures: of shards the others' too. Each shard lists its last frame before it asks,
// so that one of them finds all.
func (r *run) complete() (bool, error) {
	if r.Shard.whole() || len(r.extras) == 0 {
		r.listed = r.manifest
		return len(r.extras) > 0, nil
	}
	tasks, err := r.allTasks()
	if err != nil {
		return false, err
	}
	if r.listed, err = openManifest(r.Folder, r.Shard.ManifestName()); err != nil {
		return false, err
	}
	for _, t := range tasks {
		if e, known := r.listed.entry(t.name); !known || e.Settings != r.settingsOf(t) {
			return false, nil
		}
	}
	return true, nil
}

// reference is the frame that a matte's overlay shows: the middle one of those that
// have a picture.
func (r *run) reference(m *study.Matte) int {
	frames := slices.DeleteFunc(slices.Clone(r.Frames), func(n int) bool { return r.isBad(m, n) })
	if len(frames) == 0 {
		return r.Frames[0]
	}
	return frames[len(frames)/2]
}

func digestOf(format string, a ...any) string { return sum256(fmt.Appendf(nil, format, a...)) }
