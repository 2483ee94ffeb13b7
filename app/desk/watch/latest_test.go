package watch

import (
	"context"
	"testing"

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
