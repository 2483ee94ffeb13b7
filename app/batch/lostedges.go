package batch

import (
	"slices"

	"halocline/app/clip"
	"halocline/app/study"
)

// lostEdges collects on which frames the edges of masks were looked for and not found, by
// the masks' ids.
type lostEdges map[int][]int

func (l lostEdges) add(frame int, masks []int) {
	for _, id := range masks {
		if !slices.Contains(l[id], frame) {
			l[id] = append(l[id], frame)
		}
	}
}

// tell says so once for each mask.
func (l lostEdges) tell(c *call, s *study.Study) {
	for i := range s.Mattes {
		m := &s.Mattes[i]
		for _, k := range m.Masks {
			if frames := l[k.ID]; len(frames) > 0 {
				slices.Sort(frames)
				c.notice("mask %q of matte %q: no edge was found on %s: the drawn outline was used", k.Name, m.Name, clip.FramesWord(clip.SpansOf(frames)))
			}
		}
	}
}
