package render

import (
	"slices"
	"sync"

	"halocline/app/follow"
)

// A walk is how far an outline was carried from its key.
type walk struct {
	carrier *follow.Carrier
	frame   int
	last    *follow.Carried // on that frame; nil where it was not told yet
	breaks  follow.Breaks   // on the way to that frame
}

// trails keep walks, so that who goes on from frame to frame need not begin anew at the key.
type trails struct {
	mu    sync.Mutex
	walks map[string]*walk
	order []string
}

// mostWalks is how many are kept: they take 4 MB each.
const mostWalks = 12

// take takes a walk away, nil where there is none.
func (t *trails) take(key string) *walk {
	t.mu.Lock()
	defer t.mu.Unlock()
	w := t.walks[key]
	delete(t.walks, key)
	return w
}

// keep keeps a walk, and forgets the one kept for longest where there are too many.
func (t *trails) keep(key string, w *walk) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.walks == nil {
		t.walks = map[string]*walk{}
	}
	t.walks[key] = w
	t.order = append(slices.DeleteFunc(t.order, func(k string) bool { return k == key }), key)
	if len(t.order) > mostWalks {
		delete(t.walks, t.order[0])
		t.order = t.order[1:]
	}
}
