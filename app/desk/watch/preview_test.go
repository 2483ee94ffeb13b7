package watch

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
)

// A catcher is a screen that keeps what it is given.
type catcher struct {
	size  image.Point
	shown chan view.Viewport
}

func (c *catcher) Buffer() *image.RGBA                 { return image.NewRGBA(image.Rectangle{Max: c.size}) }
func (c *catcher) Put(_ *image.RGBA, of view.Viewport) { c.shown <- of }
func newCatcher(w, h int) *catcher                     { return &catcher{image.Pt(w, h), make(chan view.Viewport, 99)} }
func fitted(w, h int) view.Viewport                    { return view.Viewport{W: 160, H: 96, VW: w, VH: h}.Fit() }
func requestFor(s *study.Study, r *render.Renderer) Request {
	return Request{Renderer: r, Study: s, Settings: &s.Mattes[0].Settings, Vp: fitted(320, 192), Left: view.Hatch, Right: view.Hatch, Divider: -1}
}

func TestAPictureIsShownAtRest(t *testing.T) {
	s, r, src := newScene(t, 4)
	screen := newCatcher(320, 192)
	failed := make(chan int, 9)
	p := NewPreview(screen, func(frame int, _ error) { failed <- frame })
	defer p.Jobs.Stop()
	q := requestFor(s, r)
	q.Frame = 2
	p.Jobs.Ask(q)
	assert.Equal(t, q.Vp, <-screen.shown)
	got := p.Last.Load()
	assert.Equal(t, 2, got.Request.Frame)
	assert.True(t, got.Whole)
	assert.False(t, got.Draft, "a small frame is shown in full at once")
	assert.Equal(t, 1, got.Factor)

	src.gone.Store(3)
	q.Frame = 3
	p.Jobs.Ask(q)
	assert.Equal(t, 3, <-failed)
	assert.Equal(t, 2, p.Last.Load().Request.Frame, "what was shown stays")
}

// A picture of another size than the screen has by now is not shown; nor is one of
// nothing.
func TestAPictureOfAnotherSizeIsNotShown(t *testing.T) {
	s, r, _ := newScene(t, 1)
	screen := newCatcher(640, 384)
	p := &Preview{screen: screen, Failed: func(_ int, err error) { t.Error(err) }}
	q := requestFor(s, r)
	assert.False(t, p.show(t.Context(), q, 1, false))
	q.Vp.VW = 0
	p.work(t.Context(), q)
	assert.Nil(t, p.Last.Load())
	q.Vp = fitted(640, 384)
	assert.True(t, p.show(t.Context(), q, 1, false))
	assert.Len(t, screen.shown, 1)
}

func TestTheViewsOfADividedPictureAreRendered(t *testing.T) {
	s, r, _ := newScene(t, 1)
	p := &Preview{screen: newCatcher(320, 192), Failed: func(_ int, err error) { t.Error(err) }}
	q := requestFor(s, r)
	q.Left, q.Right = view.Frame, view.Reasons
	assert.Equal(t, []view.View{view.Frame}, q.views())
	require.True(t, p.show(t.Context(), q, 1, false))
	assert.Nil(t, p.Last.Load().Layers.Reasons)
	assert.Zero(t, p.Last.Load().Shares)
	q.Divider = 100
	require.True(t, p.show(t.Context(), q, 1, false))
	assert.NotNil(t, p.Last.Load().Layers.Reasons)
	shares := p.Last.Load().Shares
	assert.NotZero(t, shares, "of the part in view")
}

// What is beyond repair is told of the whole frame, under the base as it is.
func TestWhatIsBeyondRepair(t *testing.T) {
	s, r, _ := newScene(t, 1)
	p := &Preview{screen: newCatcher(320, 192), Failed: func(_ int, err error) { t.Error(err) }}
	q := requestFor(s, r)
	q.Left, q.Beyond = view.Frame, true
	require.True(t, p.show(t.Context(), q, 1, false))
	assert.Len(t, p.Last.Load().Layers.Beyond, 160*96)
	plain := p.BeyondShare()
	deep := s.Clone()
	deep.Base.Water = "IB"
	deep.Base.Path.Fix(12)
	for i := range deep.Base.Veil {
		deep.Base.Veil[i].Fix(0.6)
	}
	q.Study = deep
	require.True(t, p.show(t.Context(), q, 1, false))
	assert.Greater(t, p.BeyondShare(), plain+0.1, "the veil is brighter than most of it")
	q.Beyond = false
	require.True(t, p.show(t.Context(), q, 1, false))
	assert.Nil(t, p.Last.Load().Layers.Beyond)
}

func TestWhichFramesPassBy(t *testing.T) {
	for kind, want := range map[RequestKind]bool{"": false, DragRequest: false, ScrubRequest: true, FrameRequest: true, playRequest: true} {
		assert.Equal(t, want, Request{Kind: kind}.passes(), kind)
	}
}
