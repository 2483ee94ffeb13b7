package export

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
)

// confidenceDigits is how many digits after the point the manifest has of a confidence.
const confidenceDigits = 3

// confidence is what the manifest says of the outlines that follow the picture to a frame whose
// picture was just drawn.
func (r *run) confidence(ctx context.Context, w *worker, t task) (json.Number, error) {
	least, any := 1.0, false
	for _, m := range r.masked(t) {
		c, ok, err := w.drawer.renderer.Confidence(ctx, r.Study, &m.Settings, t.frame)
		if err != nil {
			return "", err
		}
		if ok {
			least, any = min(least, c.Least), true
		}
	}
	if !any {
		return "", nil
	}
	return json.Number(strconv.FormatFloat(least, 'f', confidenceDigits, 64)), nil
}

// tellFollowed tells how many frames are to be followed before their pictures can be made: that
// takes longer than all else of them.
func (r *run) tellFollowed(ctx context.Context) error {
	if r.Notice == nil {
		return nil
	}
	toMake, unknown := map[int]bool{}, map[int]bool{}
	for i, t := range r.tasks {
		if old, known := r.manifest.entry(t.name); r.found[i] == whole && known && old.Settings == r.settingsOf(t) {
			continue
		}
		for _, m := range r.masked(t) {
			if at := r.Study.SettingsAt(&m.Settings, t.frame); len(at.Followed()) == 0 {
				continue
			}
			toMake[t.frame] = true
			is, err := r.Renderer.KnowsFollowed(ctx, r.Study, &m.Settings, t.frame)
			if err != nil {
				return err
			}
			if !is {
				unknown[t.frame] = true
			}
		}
	}
	switch n := len(unknown); {
	case n > 0:
		r.Notice(fmt.Sprintf("masks follow the picture on %d of the frames to be made, and %d of these are to be followed first, which takes longer than all else", len(toMake), n))
	case len(toMake) > 0:
		r.Notice(fmt.Sprintf("masks follow the picture on %d of the frames to be made: their outlines are known", len(toMake)))
	}
	return nil
}
