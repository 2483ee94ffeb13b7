package watch

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/mask"
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

// While something is dragged, nothing waits for an edge to be found; at rest it is found
// once.
func TestADragDoesNotWaitForAnEdge(t *testing.T) {
	s, r, _ := newScene(t, 4)
	s.AddMask(&s.Mattes[0], "disc", study.Keep, study.MaskKey{Opacity: 1, Points: []study.Point{{X: 44, Y: 12}, {X: 116, Y: 12}, {X: 116, Y: 84}, {X: 44, Y: 84}}}).Search = 12
	screen := newCatcher(320, 192)
	p := &Preview{screen: screen, Failed: func(_ int, err error) { t.Error(err) }}
	q := requestFor(s, r)
	overtaken, overtake := context.WithCancel(t.Context())
	overtake()
	for _, kind := range []RequestKind{DragRequest, ScrubRequest} {
		q.Kind, q.Dragging = kind, true
		p.work(overtaken, q)
		assert.NotNil(t, p.Last.Load().Layers.Matte, "a picture is shown")
		assert.Zero(t, r.Runs()[render.FindEdge], kind)
	}
	drawn := p.Last.Load().Layers.Matte
	_, _, err := p.picture(t.Context(), Request{Renderer: r, Study: s, Settings: q.Settings, Vp: q.Vp, Left: view.Hatch, Divider: -1, Kind: playRequest}, 1, false)
	require.NoError(t, err)
	assert.Zero(t, r.Runs()[render.FindEdge], "while it plays")

	p.work(t.Context(), q)
	assert.Equal(t, 1, r.Runs()[render.FindEdge], "the hand rests")
	assert.NotEqual(t, drawn, p.Last.Load().Layers.Matte)
	q.Kind, q.Dragging = "", false
	p.work(t.Context(), q)
	assert.Equal(t, 1, r.Runs()[render.FindEdge])
	led := p.Last.Load().Layers.Matte
	q.Kind, q.Dragging = DragRequest, true
	p.work(overtaken, q)
	assert.Equal(t, led, p.Last.Load().Layers.Matte, "an edge that is known is used in a drag too")
}

// What is not to be waited for has no second picture.
func TestEdgesAreNotWaitedFor(t *testing.T) {
	s, r, _ := newScene(t, 2)
	m := &s.Mattes[0]
	k := s.AddMask(m, "about", study.Keep, study.MaskKey{Frame: 1, Opacity: 1, Points: []mask.Point{{X: 20, Y: 20}, {X: 120, Y: 20}, {X: 120, Y: 80}, {X: 20, Y: 80}}})
	k.Search = 8
	screen := newCatcher(320, 192)
	p := &Preview{screen: screen, Failed: func(_ int, err error) { t.Error(err) }}
	q := requestFor(s, r)
	q.Frame, q.NoSearch = 1, true
	p.work(t.Context(), q)
	assert.Len(t, screen.shown, 1)
	assert.Zero(t, r.Runs()[render.FindEdge])
	q.NoSearch = false
	p.work(t.Context(), q)
	assert.Equal(t, 1, r.Runs()[render.FindEdge])
}
