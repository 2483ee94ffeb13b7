package render

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// While following is paused nothing is carried, here and in renderers made from this one; it
// goes on from where it was, with the same outlines.
func TestFollowingWaitsWhileItIsPaused(t *testing.T) {
	d := newSlide(t, 8, 0)
	want := d.masks(t, d.renderer(t, nil), 6)[0]
	r := d.renderer(t, nil)
	r.OnFollow(func(done, _ int) {
		if done == 2 {
			r.PauseFollowing(true)
		}
	})
	other := r.Alone(1, DefaultCache)
	masks := make(chan error, 1)
	go func() {
		got, err := other.Mask(context.Background(), d.request(6))
		if err == nil {
			require.Equal(t, want, got)
		}
		masks <- err
	}()
	require.Eventually(t, func() bool { return other.Runs()[FindFlow] >= 2 }, 10*time.Second, time.Millisecond, "two flows")
	select {
	case <-masks:
		t.Fatal("it went on")
	case <-time.After(150 * time.Millisecond):
	}
	carried := other.Runs()[FindFlow]
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Millisecond)
	defer cancel()
	_, err := r.Mask(ctx, d.request(7))
	require.ErrorIs(t, err, context.DeadlineExceeded, "who waits can be ended")
	r.OnFollow(func(int, int) {})
	r.PauseFollowing(false)
	require.NoError(t, <-masks)
	require.Greater(t, other.Runs()[FindFlow], carried)
	fresh := d.renderer(t, nil)
	d.masks(t, fresh, 6)
	require.Equal(t, fresh.Runs()[FindFlow], other.Runs()[FindFlow], "nothing was carried twice")
}

// A gate may be shut and opened any number of times.
func TestAGateIsShutOnce(t *testing.T) {
	var g gate
	require.NoError(t, g.wait(t.Context()))
	g.set(false)
	g.set(true)
	g.set(true)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	require.ErrorIs(t, g.wait(ctx), context.Canceled)
	g.set(false)
	require.NoError(t, g.wait(t.Context()))
}

// A frame between two keys takes a step from each, and to find its outline.
func TestPaceOfAFrame(t *testing.T) {
	var p pace
	p.found(time.Second)
	for range fewSteps {
		_, ok := p.aFrame()
		require.False(t, ok)
		p.stepped(2 * time.Second)
	}
	p.stepped(6 * time.Second)
	p.found(3 * time.Second)
	got, ok := p.aFrame()
	require.True(t, ok)
	require.Equal(t, 2*3*time.Second+2*time.Second, got)
}
