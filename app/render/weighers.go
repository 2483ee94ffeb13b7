package render

import (
	"slices"
	"sync"

	"halocline/selection"
)

// keptWeighers is how many weighers wait for their next pick: their tables take
// 800 KB each.
const keptWeighers = 8

// weighers keeps what weighs by the last picks, so that where one range is
// dragged only its table is built anew.
type weighers struct {
	mu   sync.Mutex
	idle []*weigher // the last used last
}

type weigher struct {
	selection.Weigher
	pick selection.Pick
}

// take returns a weigher set to a pick: of the idle ones that which shares most
// limits with it.
func (k *weighers) take(p selection.Pick) *weigher {
	w := k.nearest(p)
	w.pick = p
	w.Set(p)
	return w
}

func (k *weighers) nearest(p selection.Pick) *weigher {
	k.mu.Lock()
	defer k.mu.Unlock()
	best, most := -1, 0
	for i, w := range k.idle {
		if n := alike(w.pick, p); n > most {
			best, most = i, n
		}
	}
	if best < 0 {
		return new(weigher)
	}
	w := k.idle[best]
	k.idle = slices.Delete(k.idle, best, best+1)
	return w
}

func (k *weighers) give(w *weigher) {
	k.mu.Lock()
	defer k.mu.Unlock()
	k.idle = append(k.idle, w)
	if len(k.idle) > keptWeighers {
		k.idle = slices.Delete(k.idle, 0, 1)
	}
}

// alike counts the limits that two picks of one model share.
func alike(a, b selection.Pick) (n int) {
	for c := range selection.Channels {
		if a.Model == b.Model && a.Limits[c] == b.Limits[c] {
			n++
		}
	}
	return n
}
