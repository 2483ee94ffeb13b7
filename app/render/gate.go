package render

import (
	"context"
	"sync"
)

// A gate lets work go on while it is open. The zero value is open.
type gate struct {
	mu   sync.Mutex
	shut chan struct{} // closed when it opens; nil: it is open
}

// set shuts or opens the gate.
func (g *gate) set(shut bool) {
	g.mu.Lock()
	defer g.mu.Unlock()
	switch {
	case shut && g.shut == nil:
		g.shut = make(chan struct{})
	case !shut && g.shut != nil:
		close(g.shut)
		g.shut = nil
	}
}

// wait returns once the gate is open. It fails where ctx ends first.
func (g *gate) wait(ctx context.Context) error {
	for {
		g.mu.Lock()
		shut := g.shut
		g.mu.Unlock()
		if shut == nil {
			return ctx.Err()
		}
		select {
		case <-shut:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

// PauseFollowing has all that carries outlines along stretches wait before its next frame, or
// go on; in this renderer and those made from it (Alone). What was carried so far is kept.
func (r *Renderer) PauseFollowing(pause bool) { r.follows.gate.set(pause) }
