package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"slices"

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
	grey := j.Kind == Matte || j.Kind == Pick || j.Kind == Mask
	switch {
	case j.Movie && !grey:
		return nil, fmt.Errorf("export: a movie is made of grey pictures, want kind %s, %s or %s, not %s", Matte, Pick, Mask, j.Kind)
	case j.Movie && !j.Shard.whole():
		return nil, fmt.Errorf("export: part %s of the frames makes no movie: export all of them once the parts are there, which leaves their files as they are", j.Shard)
	case j.Movie && (j.Study.Clip.Rate[0] <= 0 || j.Study.Clip.Rate[1] <= 0):
		return nil, fmt.Errorf("export: %s has no frame rate, which a movie needs", ClipName(j.Study.Clip))
	}
	add := func(on bool, m *study.Matte, kind Kind, ending string) {
		if on {
			name := study.SafeName(ClipName(j.Study.Clip)) + "-" + study.SafeName(j.Kind.name(m.Name)) + ending
			all = append(all, extra{task{matte: m, name: name}, kind})
		}
	}
	sheets := j.Sheets && j.Kind == Matte && j.Shard.first()
	for _, m := range j.Mattes {
		add(sheets, m, Sheet, ".txt")
		add(sheets, m, Overlay, "-overlay.png")
		add(j.Movie, m, Movie, movieEnding)
	}
	for _, x := range all {
		if slices.ContainsFunc(tasks, func(t task) bool { return t.name == x.name }) {
			return nil, fmt.Errorf("export: name pattern %q makes %s, which is the name of an %s: choose another", j.Pattern, x.name, x.kind)
		}
	}
	return all, nil
}

// beside makes the extras.
func (r *run) beside(ctx context.Context) error {
	for i, x := range r.extras {
		if err := ctx.Err(); err != nil {
			return err
		}
		e := Entry{Name: x.name, Kind: x.kind, Matte: x.matte.Name, Source: r.Study.Clip.SHA256}
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
	there := known && r.found[len(r.tasks)+i] == whole && old.Digest == e.Digest && old.Kind == e.Kind && old.Source == e.Source
	if !there {
		return e, false
	}
	return old, true
}

// put writes extra i, unless it is there.
func (r *run) put(ctx context.Context, x extra, i int, e Entry, make func(io.Writer) error) (Entry, bool, error) {
	if old, there := r.isThere(i, e); there {
		return old, true, nil
	}
	var file bytes.Buffer
	if err := make(&file); err != nil {
		return e, false, err
	}
	sum := sha256.Sum256(file.Bytes())
	e.Size, e.SHA256 = int64(file.Len()), hex.EncodeToString(sum[:])
	e, err := r.manifest.add(ctx, e)
	if err != nil {
		return e, false, err
	}
	return e, false, WriteFile(r.path(x.task), func(w io.Writer) error {
		_, err := w.Write(file.Bytes())
		return err
	})
}

// planned returns the frames that exports into the folder were to write of a
// matte, ascending, this one's among them.
func (r *run) planned(m *study.Matte) ([]int, error) {
	all, err := wanted(r.manifest.plans)
	if err != nil {
		return nil, err
	}
	frames := all[series{r.Kind, m.Name, r.Study.Clip.SHA256}]
	if len(frames) == 0 {
		return nil, fmt.Errorf("export: %s has no frames to export", m.Name)
	}
	return frames, nil
}

// middle is the frame that a matte's overlay shows.
func middle(frames []int) int { return frames[len(frames)/2] }

func digestOf(format string, a ...any) string {
	sum := sha256.Sum256(fmt.Appendf(nil, format, a...))
	return hex.EncodeToString(sum[:])
}
