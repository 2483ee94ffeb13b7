package watch

import (
	"context"
	"image"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
)

// A flashingSource is black and white by turns.
type flashingSource struct{}

func (flashingSource) Frame(_ context.Context, n int) (*colour.Image, error) {
	m := colour.NewImage(160, 96)
	for _, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
		for i := range p.Pix {
			p.Pix[i] = float32(n % 2)
		}
	}
	return m, nil
}

// A sheet is a screen of one size that shows nothing.
type sheet image.Point

func (s sheet) Buffer() *image.RGBA {
	return image.NewRGBA(image.Rectangle{Max: image.Point(s)})
}

func (sheet) Put(*image.RGBA, view.Viewport) {}

// What flashes more than three times a second is shown slowed, by the clip's own
// time, however fast the pictures come (WCAG 2.3.1).
func TestPlayingIsSlowedWhereItWouldFlash(t *testing.T) {
	p := &Preview{screen: sheet{640, 400}, Failed: func(_ int, err error) { t.Error(err) }}
	all := make([]int, 50)
	for i := range all {
		all[i] = i
	}
	vp := view.Viewport{W: 160, H: 96, VW: 640, VH: 400}.Fit()
	g := NewPlaying(NewPlayClock(all, [2]int{0, 49}, 0, [2]int{25, 1}, false, false, time.Now().Add(-time.Hour)), 1)
	s := Request{
		Renderer: render.New(flashingSource{}, 0, render.DefaultCache), Study: study.New(study.Clip{Path: "/a.mov", Count: 50}),
		Vp: vp, Left: view.Frame, Right: view.Frame, Divider: -1, Play: g,
	}
	for i := range all {
		require.True(t, p.playOne(context.Background(), s, taken{i, i, time.Now()}, 1))
		switch slowed := p.Last.Load().Slowed; {
		case i <= 6:
			assert.False(t, slowed, "%d: three flashes may be", i)
		case i > 7:
			assert.True(t, slowed, "%d", i)
		}
	}
}

// newPlaying plays so many frames of the scene on a catcher's screen.
func newPlaying(t *testing.T, frames int, loop bool) (p *Preview, screen *catcher, q Request) {
	t.Helper()
	s, r, _ := newScene(t, frames)
	screen = newCatcher(320, 192)
	p = NewPreview(screen, func(frame int, err error) { t.Errorf("%d: %v", frame, err) })
	t.Cleanup(p.Jobs.Stop)
	q = requestFor(s, r)
	q.Left, q.Right = view.Frame, view.Frame
	all := make([]int, frames)
	for i := range all {
		all[i] = i
	}
	q.Play = NewPlaying(NewPlayClock(all, [2]int{0, frames - 1}, 0, [2]int{20, 1}, false, loop, time.Now()), 1)
	return p, screen, q
}

// A clip plays to its last frame, which is told once it was shown; a frame that there
// is no time for is left out, none is shown twice or too soon.
func TestAClipPlaysToItsEnd(t *testing.T) {
	t.Parallel()
	p, screen, q := newPlaying(t, 10, false)
	ended := make(chan bool, 1)
	q.Play.Ended = func() { ended <- true }
	p.Jobs.Ask(q)
	before := -1
	for before < 9 {
		<-screen.shown
		got := p.Last.Load()
		at := got.Request.Frame
		require.GreaterOrEqual(t, at, before, "in their order")
		assert.False(t, time.Now().Before(q.Play.Clock.due(at)), "%d is not due yet", at)
		before = at
	}
	assert.True(t, <-ended)
	assert.Equal(t, 9, p.Last.Load().Request.Frame)
}

// What is asked for while a clip plays ends it, and it tells of no end.
func TestPlayingIsEndedByWhatIsAskedFor(t *testing.T) {
	t.Parallel()
	p, screen, q := newPlaying(t, 10, true)
	q.Play.Ended = func() { t.Error("a loop has no end") }
	p.Jobs.Ask(q)
	for range 3 {
		<-screen.shown
	}
	still := q
	still.Play, still.Frame = nil, 4
	p.Jobs.Ask(still)
	for p.Last.Load().Request.Play != nil {
		<-screen.shown
	}
	assert.Equal(t, 4, p.Last.Load().Request.Frame)
	time.Sleep(150 * time.Millisecond)
	assert.Empty(t, screen.shown, "it plays no longer")
}

func TestLongClipsAreSeenAsAWholeFirst(t *testing.T) {
	all := make([]int, 10_000)
	for i := range all {
		all[i] = i
	}
	order := inOrder(all)
	require.Len(t, order, len(all))
	assert.Equal(t, all, slices.Sorted(slices.Values(order)), "each once")
	first := order[:firstSample]
	assert.True(t, slices.IsSorted(first))
	assert.Greater(t, first[firstSample-1], 9000, "spread over all of it")
}
