package batch

import (
	"fmt"
	"slices"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
)

// crossings collects on which frames the subject may cross the outlines of masks, by the
// masks' ids.
type crossings map[int]*crossed

// crossed is what is known of one mask.
type crossed struct {
	frames  []int
	longest render.Crossing
	on      int // which frame that is on
}

func (l crossings) add(frame int, all []render.Crossing) {
	for _, c := range all {
		k := l[c.Mask]
		if k == nil {
			k = &crossed{}
			l[c.Mask] = k
		}
		if !slices.Contains(k.frames, frame) {
			k.frames = append(k.frames, frame)
		}
		if c.Length > k.longest.Length || c.Length == k.longest.Length && frame < k.on {
			k.longest, k.on = c, frame
		}
	}
}

// tell says so once for each mask, with the place where most of the subject is cut.
func (l crossings) tell(c *call, s *study.Study) {
	for i := range s.Mattes {
		m := &s.Mattes[i]
		for _, mask := range m.Masks {
			if k := l[mask.ID]; k != nil {
				slices.Sort(k.frames)
				most := ""
				if len(k.frames) > 1 {
					most = fmt.Sprintf(", most on frame %d", k.on)
				}
				c.notice("mask %q of matte %q: the outline may cut the subject on %s%s at %.0f, %.0f, over %.0f px",
					mask.Name, m.Name, clip.FramesWord(clip.SpansOf(k.frames)), most, k.longest.X, k.longest.Y, k.longest.Length)
			}
		}
	}
}
