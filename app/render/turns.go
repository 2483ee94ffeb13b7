package render

import (
	"context"
	"sync"
)

// turns let goroutines that want the same thing go one after the other, so that those who
// come later find it made. The zero value is ready.
type turns struct {
	mu    sync.Mutex
	taken map[string]chan struct{} // closed when the turn is over
}

// take waits for the turn of a key; done ends it. It fails where ctx ends first.
func (t *turns) take(ctx context.Context, key string) (done func(), err error) {
	for {
		before, over := t.begin(key)
		if before == nil {
			return func() { t.end(key, over) }, nil
		}
		select {
		case <-before:
		case <-ctx.Done():
			return nil, ctx.Err()
		}
	}
}

// begin takes the turn, or returns whose end to wait for.
func (t *turns) begin(key string) (before, over chan struct{}) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if before := t.taken[key]; before != nil {
		return before, nil
	}
	if t.taken == nil {
		t.taken = map[string]chan struct{}{}
	}
	over = make(chan struct{})
	t.taken[key] = over
	return nil, over
}

func (t *turns) end(key string, over chan struct{}) {
	t.mu.Lock()
	defer t.mu.Unlock()
	delete(t.taken, key)
	close(over)
}
