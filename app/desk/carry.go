package desk

import (
	"context"
	"fmt"

	"halocline/app/carry"
	"halocline/app/study"
	"halocline/app/work"
)

// Carry is what is taken to other clips: the study as it stands now, saved or not. It returns what
// makes their studies, for the background: for each clip in turn it opens it, saves its study in the
// folder, "" for beside the clip, and tells what became of it. An error of a clip leaves the others to
// go on; that of Carry's own work, and of ctx, ends it.
func (d *Desk) Carry() func(ctx context.Context, clips []string, folder string, o carry.Options, tell func(i int, r carry.Result, err error)) (held []string, err error) {
	w := &work.Work{Study: d.Study(), Path: d.Session.Path(), Clip: d.Work.Clip, Renderer: d.Work.Renderer}
	return func(ctx context.Context, clips []string, folder string, o carry.Options, tell func(int, carry.Result, error)) ([]string, error) {
		taken, err := carry.Take(ctx, w)
		if err != nil {
			return nil, err
		}
		for i, path := range clips {
			r, err := taken.Make(ctx, path, folder, o)
			if ctx.Err() != nil {
				return taken.Held, ctx.Err()
			}
			tell(i, r, err)
		}
		return taken.Held, nil
	}
}

// StaleWords says in a short line why the pick of a matte from another clip is to be fitted again; ""
// where it need not be.
func StaleWords(m *study.Matte) string {
	if !m.Carried.Moved.Any() {
		return ""
	}
	return fmt.Sprintf("Stale: %s moved since clip %s. Fit it to dabs here.", m.Carried.Moved, m.Carried.From)
}
