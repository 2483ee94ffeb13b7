package watch

import (
	"context"
	"sync"
)

// A Latest works off requests in the background, one at a time, and only the
// newest: a request that a newer one overtakes before its turn is never begun.
type Latest[T any] struct {
	mu     sync.Mutex
	next   *T
	cancel context.CancelFunc // ends what may be interrupted of the one under way
	wake   chan struct{}
	done   chan struct{}
}

// NewLatest starts the worker. work gets each request in turn, with a context that ends
// when a newer one comes. Stop ends the worker.
func NewLatest[T any](work func(ctx context.Context, request T)) *Latest[T] {
	l := &Latest[T]{wake: make(chan struct{}, 1), done: make(chan struct{})}
	go l.run(work)
	return l
}

func (l *Latest[T]) run(work func(context.Context, T)) {
	for {
		select {
		case <-l.done:
			return
		case <-l.wake:
		}
		for {
			ctx, request := l.take()
			if request == nil {
				break
			}
			work(ctx, *request)
		}
	}
}

func (l *Latest[T]) take() (context.Context, *T) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.cancel != nil {
		l.cancel()
	}
	request := l.next
	l.next = nil
	if request == nil {
		return nil, nil
	}
	ctx, cancel := context.WithCancel(context.Background())
	l.cancel = cancel
	return ctx, request
}

// Ask takes a request; any that waits is forgotten.
func (l *Latest[T]) Ask(request T) {
	l.mu.Lock()
	l.next = &request
	if l.cancel != nil {
		l.cancel()
	}
	l.mu.Unlock()
	select {
	case l.wake <- struct{}{}:
	default:
	}
}

// Stop ends the worker after what it is at; stopping it again does nothing.
func (l *Latest[T]) Stop() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.cancel != nil {
		l.cancel()
	}
	l.next = nil
	select {
	case <-l.done:
	default:
		close(l.done)
	}
}
