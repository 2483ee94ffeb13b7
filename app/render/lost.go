package render

import (
	"image"
	"sync"

	"halocline/app/study"
	"halocline/mask"
)

// lostEdges knows by key which edges were looked for and not found, for longer than the
// cache keeps what came of it.
type lostEdges struct {
	mu   sync.Mutex
	keys map[string]bool
}

// mostLost is how many are known: more than the masks of one frame.
const mostLost = 1 << 12

func (l *lostEdges) add(key string) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.keys == nil || len(l.keys) >= mostLost {
		l.keys = map[string]bool{}
	}
	l.keys[key] = true
}

func (l *lostEdges) has(key string) bool {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.keys[key]
}

// inPicture reports whether a shape, but for its feather, reaches into a picture of a size:
// of one that does not, no edge is missed.
func inPicture(s mask.Shape, size image.Point) bool {
	s.Outer = 0
	low, high := s.Bounds()
	return high.X > 0 && high.Y > 0 && low.X < float64(size.X) && low.Y < float64(size.Y)
}

// LostEdges returns the ids of masks whose edges were looked for on a frame that was just
// rendered and not found, so that they are as drawn: those of settings and of the mattes
// that these take in. It looks for none itself.
func (r *Renderer) LostEdges(s *study.Study, of *study.Settings, frame int) (ids []int) {
	all := []*study.Settings{of}
	for _, m := range s.JoinedMattes(of) {
		all = append(all, &m.Settings)
	}
	p := &part{Renderer: r, place: place{s, frame}}
	for _, set := range all {
		masks := set.MasksOn(frame)
		for i, l := range set.At(frame).Masks {
			if l.Searches() && r.lost.has(p.edgeKey(&l)) {
				ids = append(ids, masks[i].ID)
			}
		}
	}
	return ids
}
