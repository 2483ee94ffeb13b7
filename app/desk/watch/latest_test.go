package watch

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestOnlyTheNewestRequestIsDone(t *testing.T) {
	begun, goOn := make(chan int), make(chan struct{})
	cancelled := make(chan bool, 8)
	l := NewLatest(func(ctx context.Context, n int) {
		begun <- n
		<-goOn
		cancelled <- ctx.Err() != nil
	})
	l.Ask(1)
	assert.Equal(t, 1, <-begun)
	l.Ask(2)
	l.Ask(3)
	goOn <- struct{}{}
	assert.True(t, <-cancelled, "a newer request ends what may be interrupted")
	assert.Equal(t, 3, <-begun, "2 was overtaken")
	goOn <- struct{}{}
	assert.False(t, <-cancelled)
	l.Stop()
	l.Stop()
}

// However requests come, the last one is done last, and none twice.
func TestTheLastRequestIsDoneLast(t *testing.T) {
	done := make(chan int, 1000)
	l := NewLatest(func(_ context.Context, n int) { done <- n })
	defer l.Stop()
	const all = 500
	for n := 1; n <= all; n++ {
		l.Ask(n)
	}
	for before := 0; before != all; {
		n := <-done
		assert.Greater(t, n, before)
		before = n
	}
	assert.Empty(t, done)
}

func TestAWorkerThatIsStoppedDoesNothing(t *testing.T) {
	begun, goOn := make(chan context.Context), make(chan struct{})
	l := NewLatest(func(ctx context.Context, _ int) {
		begun <- ctx
		<-goOn
	})
	l.Ask(1)
	ctx := <-begun
	l.Ask(2)
	l.Stop()
	assert.Error(t, ctx.Err(), "what may be interrupted is")
	goOn <- struct{}{}
	l.Ask(3)
	select {
	case <-begun:
		// A request after the end may still be taken by a worker that has not seen it.
		goOn <- struct{}{}
	case <-time.After(30 * time.Millisecond):
	}
	select {
	case <-begun:
		assert.Fail(t, "it works on")
	case <-time.After(30 * time.Millisecond):
	}
}

func TestRestEndsWithWhatIsNew(t *testing.T) {
	assert.True(t, Rest(t.Context(), time.Millisecond))
	ctx, cancel := context.WithCancel(t.Context())
	time.AfterFunc(5*time.Millisecond, cancel)
	start := time.Now()
	assert.False(t, Rest(ctx, time.Minute))
	assert.Less(t, time.Since(start), 10*time.Second)
}
