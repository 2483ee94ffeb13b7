package export

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"slices"
	"sync"

	"halocline/app/study"
)

// A run is a job under way.
type run struct {
	Job
	folder   *folder
	manifest *manifest
	listed   *manifest // what all shards list, as read when all frames are there
	plan     Plan
	tasks    []task
	extras   []extra // what lies beside the pictures
	found    []state // what lies under the names of both, one after the other
	each     int     // tasks of one frame: they follow one another
	inOrder  bool    // frames are decoded one after the other: see oneFile

	toFollow toFollow

	order sync.Mutex // of taking frames
	next  int        // the first task of the next frame

	footage footage

	mu    sync.Mutex    // of what follows
	done  map[int]Entry // of tasks and extras
	fresh map[int]bool  // of tasks: those that were made by this run
	left  int           // pictures that were there
	bad   []task        // frames' pictures that could not be made, as their footage cannot be read
}

func newRun(j Job, m *manifest, tasks []task, extras []extra, found []state) *run {
	each := 1
	if j.Kind.PerMatte() {
		each = max(1, len(j.Mattes))
	}
	return &run{Job: j, manifest: m, tasks: tasks, extras: extras, found: found, each: each, inOrder: j.oneFile(), done: map[int]Entry{}, fresh: map[int]bool{}}
}

// oneFile reports whether several frames come from one file, which is a movie: it
// gives them quickest one after the other.
func (j Job) oneFile() bool {
	if len(j.Frames) < 2 {
		return false
	}
	path := j.Renderer.Path(j.Frames[0])
	return path != "" && path == j.Renderer.Path(j.Frames[1])
}

// finished returns what is there, in the order of the tasks.
func (r *run) finished() (all []Entry) {
	for i := range len(r.tasks) + len(r.extras) {
		if e, ok := r.done[i]; ok {
			all = append(all, e)
		}
	}
	return all
}

// do makes picture i, unless it is there as it would be made. The manifest learns
// of it first: should the work be killed in between, the file is missed by verify
// rather than taken for a stranger's.
func (r *run) do(ctx context.Context, w *worker, i int) error {
	t := r.tasks[i]
	e, left, err := r.asItIs(ctx, w, i)
	if err != nil {
		return r.skip(ctx, w, i, e, err)
	}
	if !left {
		w.file.Reset()
		if err := w.drawer.draw(ctx, &w.file, r.Kind, t.matte, t.frame); err != nil {
			return r.skip(ctx, w, i, e, err)
		}
		r.tellLost(w, t)
		if e.Confidence, err = r.confidence(ctx, w, t); err != nil {
			return fmt.Errorf("export: frame %d: %w", t.frame, err)
		}
		e.Size, e.SHA256 = int64(w.file.Len()), sum256(w.file.Bytes())
		if left, err = r.adopts(ctx, i, e); err != nil {
			return err
		}
		if e, err = r.put(ctx, t, e, w.file.Bytes(), left); err != nil {
			return err
		}
	}
	r.tell(i, e, left)
	return nil
}

// tellLost tells which masks' edges were not found for a picture that was drawn.
func (r *run) tellLost(w *worker, t task) {
	if r.LostEdges == nil {
		return
	}
	var ids []int
	for _, m := range r.behind(t) {
		ids = append(ids, w.drawer.renderer.LostEdges(r.Study, &m.Settings, t.frame)...)
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	r.LostEdges(t.frame, ids)
}

// behind are the mattes that a picture is made of: its own, or all where it is graded
// through them.
func (j Job) behind(t task) (all []*study.Matte) {
	switch {
	case t.matte != nil:
		return []*study.Matte{t.matte}
	case j.Kind == Trial:
		for i := range j.Study.Mattes {
			all = append(all, &j.Study.Mattes[i])
		}
	}
	return all
}

// put has the manifest list a picture, and writes it, unless it is there.
func (r *run) put(ctx context.Context, t task, e Entry, file []byte, there bool) (Entry, error) {
	if err := r.folder.check(); err != nil { // or the manifest would be made elsewhere
		return e, err
	}
	e, err := r.manifest.add(ctx, e)
	if err != nil {
		return e, r.folder.why(err)
	}
	if there {
		return e, nil
	}
	info, err := r.folder.write(t.name, func(out io.Writer) error {
		_, err := out.Write(file)
		return err
	})
	if err == nil {
		r.manifest.saw(t.name, info)
	}
	return e, err
}

// tell notes that a picture is there.
func (r *run) tell(i int, e Entry, left bool) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.done[i] = e
	switch {
	case left && i < len(r.tasks):
		r.left++
	case !left:
		r.fresh[i] = true
	}
	if r.Progress != nil {
		r.Progress(Progress{Done: len(r.done), Total: r.total(), Entry: e, Left: left})
	}
}

// total is how many files there are to make. What lies beside a shard's frames is not
// counted: another shard may make it.
func (r *run) total() int {
	if r.Shard.whole() {
		return len(r.tasks) + len(r.extras)
	}
	return max(len(r.tasks), len(r.done))
}

// asItIs returns what the manifest is to say of picture i, and whether that is
// there; where it is not, size and checksum are still unknown. What a line says
// beside what the picture was made of is brought up to date.
func (r *run) asItIs(ctx context.Context, w *worker, i int) (e Entry, left bool, err error) {
	if e, err = r.entry(ctx, w, r.tasks[i]); err != nil || r.found[i] != whole {
		return e, false, err
	}
	old, _ := r.manifest.entry(e.Name)
	if !e.madeAs(old) {
		return e, false, nil
	}
	e.Size, e.SHA256, e.Turn, e.Processor, e.Confidence = old.Size, old.SHA256, old.Turn, old.Processor, old.Confidence
	if e != old {
		e, err = r.manifest.add(ctx, e)
	}
	return e, true, err
}

func (j Job) path(t task) string { return filepath.Join(j.Folder, filepath.FromSlash(t.name)) }

// entry returns what the manifest says of a picture, but for its bytes.
func (r *run) entry(ctx context.Context, w *worker, t task) (Entry, error) {
	digest, err := r.digest(ctx, w, t)
	e := Entry{Name: t.name, Kind: r.Kind, Source: r.Study.Clip.SHA256, Frame: t.frame, Digest: digest, Settings: r.settingsOf(t), Matte: nameOf(t.matte), Version: r.versionOf()}
	if path := r.Renderer.Path(t.frame); path != "" {
		e.Footage = filepath.Base(path)
	}
	if r.searchesEdges(t) {
		e.Processor = runtime.GOARCH
	}
	stated, isStated := r.Renderer.Time(t.frame)
	e.Time, e.Timecode = frameTime(t.frame, r.Study.Clip.Rate, stated, isStated)
	return e, err
}

// searchesEdges reports whether a picture depends on masks that are led to its edges.
func (j Job) searchesEdges(t task) bool {
	return j.Kind != Pick && slices.ContainsFunc(j.behind(t), func(m *study.Matte) bool {
		at := j.Study.SettingsAt(&m.Settings, t.frame)
		return at.SearchesEdges()
	})
}

// digest is what a picture depends on: the study's digest of the matte, its kind
// and depth, and the files of the frames that it is made of.
func (r *run) digest(ctx context.Context, w *worker, t task) (string, error) {
	var s string
	switch {
	case t.matte != nil:
		s = r.Study.Digest(t.frame, t.matte)
	case r.Kind == Trial:
		s = r.Study.DigestFinished(t.frame)
	default:
		s = r.Study.DigestShown(t.frame)
	}
	text := r.withKind(s)
	footage, err := r.footage.of(ctx, w, r.Job, t)
	if err != nil {
		return "", err
	}
	return sum256(append(text, footage...)), nil
}

// A worker makes frames, one after the other, with buffers of its own.
type worker struct {
	drawer *drawer
	source frameSource
	file   bytes.Buffer
}
