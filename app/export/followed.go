package export

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"
	"sync"
	"time"
)

// confidenceDigits is how many digits after the point the manifest has of a confidence.
const confidenceDigits = 3

// confidence is what the manifest says of the outlines that follow the picture to a frame whose
// picture was just drawn.
func (r *run) confidence(ctx context.Context, w *worker, t task) (json.Number, error) {
	r.tellPace()
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
	r.toFollow.frames = len(unknown)
	aFrame, paced := r.Renderer.FollowPace()
	switch n := len(unknown); {
	case n > 0 && paced:
		r.toFollow.told = true
		r.Notice(fmt.Sprintf("masks follow the picture on %d of the frames to be made, and %d of these are to be followed first: %s", len(toMake), n, About(time.Duration(n)*aFrame)))
	case n > 0:
		r.Notice(fmt.Sprintf("masks follow the picture on %d of the frames to be made, and %d of these are to be followed first, which takes longer than all else", len(toMake), n))
	case len(toMake) > 0:
		r.Notice(fmt.Sprintf("masks follow the picture on %d of the frames to be made: their outlines are known", len(toMake)))
	}
	return nil
}

// toFollow is what is to be told of how long following takes, once that is known.
type toFollow struct {
	frames int // to be followed, as the run began
	told   bool
	mu     sync.Mutex
}

// tellPace tells, once, about how long following takes, as soon as the first frames have told.
func (r *run) tellPace() {
	r.toFollow.mu.Lock()
	defer r.toFollow.mu.Unlock()
	if r.toFollow.told || r.toFollow.frames == 0 || r.Notice == nil {
		return
	}
	if aFrame, ok := r.Renderer.FollowPace(); ok {
		r.toFollow.told = true
		r.Notice(fmt.Sprintf("%s to be followed: %s in all", counted(r.toFollow.frames, "frame"), About(time.Duration(r.toFollow.frames)*aFrame)))
	}
}
