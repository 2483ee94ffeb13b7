package export

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"halocline/app/clip"
	"halocline/app/study"
)

// A SkippedError tells of frames that have no pictures because their footage cannot be
// read. All others are there.
type SkippedError struct {
	Frames []int // ascending
	Why    string
}

func (e *SkippedError) Error() string {
	return fmt.Sprintf("export: %d frames have no picture, because their footage cannot be read (%s): %s", len(e.Frames), clip.SpansText(clip.SpansOf(e.Frames)), e.Why)
}

// skip is called where picture i could not be made. Where the footage of its frame, or
// of one that it settles with or follows, cannot be read, and that is no reason to end, it notes that. Else it is an error that names the
// frame.
func (r *run) skip(ctx context.Context, w *worker, i int, e Entry, why error) error {
	t := r.tasks[i]
	if ctx.Err() != nil {
		return why
	}
	if !r.SkipBad || r.canBeRead(ctx, w, t) {
		return fmt.Errorf("export: frame %d: %w", t.frame, why)
	}
	e.Digest, e.Skipped = "", strings.TrimSpace(why.Error())
	e, err := r.put(ctx, t, e, nil, true)
	if err != nil {
		return err
	}
	r.mu.Lock()
	r.bad = append(r.bad, t)
	r.mu.Unlock()
	r.tell(i, e, false)
	return nil
}

// canBeRead reports whether the footage of all frames behind a picture can be read.
func (r *run) canBeRead(ctx context.Context, w *worker, t task) bool {
	return !slices.ContainsFunc(r.framesBehind(t), func(n int) bool {
		if n != t.frame && r.Renderer.Path(n) == "" {
			return false // there is no such frame
		}
		_, err := w.drawer.renderer.Source(ctx, r.Study, n)
		return err != nil
	})
}

// isBad reports whether a frame is known to have no picture of a matte.
func (r *run) isBad(m *study.Matte, frame int) bool {
	name, err := r.nameOf(m, frame)
	if err != nil {
		return false
	}
	e, known := r.listed.entry(name)
	return known && e.Skipped != ""
}

// badOf are the frames that have no picture of a matte.
func (r *run) badOf(m *study.Matte) (bad []int) {
	for _, n := range r.Frames {
		if r.isBad(m, n) {
			bad = append(bad, n)
		}
	}
	return bad
}

// skippedError is what is to be said of this run's frames without pictures; nil for
// none.
func (r *run) skippedError() error {
	if len(r.bad) == 0 {
		return nil
	}
	e := &SkippedError{}
	for i := range r.tasks {
		if d := r.done[i]; d.Skipped != "" && !slices.Contains(e.Frames, d.Frame) {
			e.Frames = append(e.Frames, d.Frame)
			if e.Why == "" {
				e.Why = d.Skipped
			}
		}
	}
	return e
}
