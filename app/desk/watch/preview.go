package watch

import (
	"context"
	"image"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
)

// A Request is one picture that the viewer wants.
type Request struct {
	Renderer *render.Renderer
	Study    *study.Study
	Settings *study.Settings // nil: no matte is there
	Frame    int
	Vp       view.Viewport
	Left     view.View // of Compare's divider; alone where there is none
	Right    view.View
	Divider  float64 // screen x, below 0 for none
	Beyond   bool
	Hidden   []int // mattes whose trials do not grade
	Dragging bool
	NoSearch bool      // edges and outlines that were not found yet are not waited for
	Asked    time.Time // when the user did what asks for it; of one that plays, when it is due
	Kind     RequestKind
	Play     *Playing // goes on from frame to frame; nil: stays
}

// A RequestKind is what a trace says of why a picture was asked for; "" is not
// traced.
type RequestKind string

const (
	DragRequest  RequestKind = "drag"  // something was changed
	ScrubRequest RequestKind = "scrub" // the playhead was dragged
	FrameRequest RequestKind = "frame" // another frame was gone to
	playRequest  RequestKind = "play"
)

// A Showing is what is said of the picture that the viewer shows.
type Showing struct {
	Request Request
	Layers  view.Layers
	Shares  render.Shares // of the part in view; zeros unless reasons are shown
	Factor  int
	Draft   bool
	// Unsettled: mattes that settle are shown without that, as it takes those of three frames.
	Unsettled bool
	Render    time.Duration // the engine's part
	Took      time.Duration // with composing
	Whole     bool          // all of the frame is in view
	Slowed    bool          // faded into the picture before it
	// Followed are the chosen matte's followed outlines on a frame that passes by, as far as they
	// were found before.
	Followed []render.Outline
}

// A Screen shows finished pictures. Its methods may be called from any goroutine.
type Screen interface {
	// Buffer returns a picture of the screen's size to draw into.
	Buffer() *image.RGBA
	// Put hands over a finished picture of what a viewport shows.
	Put(picture *image.RGBA, of view.Viewport)
}

// A Preview renders what the viewer shows: while the user drags, from a proxy
// that is quick; at rest, as finely as the screen can show.
type Preview struct {
	screen Screen
	Jobs   *Latest[Request]
	Failed func(frame int, err error) // called from the background

	Composer view.Composer // of the worker alone
	cost     time.Duration // of the last picture at full detail
	beyond   beyondMap

	Last atomic.Pointer[Showing]
}

// A beyondMap keeps which pixels of a frame are beyond repair, at full detail.
type beyondMap struct {
	mu    sync.Mutex
	key   string
	plane colour.Plane
	share float64
}

// NewPreview starts a preview. failed is called on its goroutine, for a frame that cannot
// be shown. Jobs.Stop ends it.
func NewPreview(s Screen, failed func(frame int, err error)) *Preview {
	p := &Preview{screen: s, Failed: failed}
	p.Jobs = NewLatest(p.work)
	return p
}

// restDelay is how long a drag must rest before full detail is rendered: less
// than a person notices, more than two moves of a mouse are apart.
const restDelay = 60 * time.Millisecond

// slowFull is from when on full detail is worth a quick picture before it.
const slowFull = 90 * time.Millisecond

func (p *Preview) work(ctx context.Context, s Request) {
	seen := s.Vp.Visible()
	if seen.Empty() || s.Vp.VW < 1 || s.Vp.VH < 1 {
		return
	}
	full := view.FullFactor(s.Vp.Zoom)
	quick := view.QuickFactor(seen, full)
	if s.Play != nil {
		p.play(ctx, s, quick)
		return
	}
	final := quick == 1 && (s.NoSearch || !s.searches()) && !s.settles() // nothing finer to come
	if final || s.Dragging || p.cost > slowFull || s.Kind == FrameRequest {
		// What has begun is shown, though a newer request waits: otherwise a
		// steady drag would show nothing.
		if !p.show(context.Background(), s, quick, !final) || final {
			return
		}
		if s.Dragging && !Rest(ctx, restDelay) {
			return
		}
	}
	start := time.Now()
	if p.show(ctx, s, full, false) {
		p.cost = time.Since(start)
	}
}

// passes reports whether a request is for a frame that is gone by, or gone to: its
// quick picture is a hasty one.
func (s Request) passes() bool {
	return s.Kind == playRequest || s.Kind == ScrubRequest || s.Kind == FrameRequest
}

// searches reports whether an edge may have to be found for the picture: in a trial's view
// other mattes have a part too.
func (s Request) searches() bool {
	return slices.ContainsFunc(s.Study.Mattes, func(m study.Matte) bool { return m.SearchesEdges(s.Frame) })
}

// settles reports whether a matte settles on the frame.
func (s Request) settles() bool {
	return slices.ContainsFunc(s.Study.Mattes, func(m study.Matte) bool { return m.Edge.Settle.At(s.Frame) > 0 })
}

// unsettled reports whether a picture, quick or not, leaves settling out.
func (s Request) unsettled(draft bool) bool { return draft || s.Kind == playRequest }

// Rest waits, and reports whether nothing new came meanwhile.
func Rest(ctx context.Context, d time.Duration) bool {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return false
	case <-t.C:
		return true
	}
}

// show renders, composes and hands over one picture.
func (p *Preview) show(ctx context.Context, s Request, factor int, draft bool) bool {
	out, buffer, err := p.picture(ctx, s, factor, draft)
	if err == nil && buffer != nil {
		p.hand(out, buffer)
		return true
	}
	if err != nil && ctx.Err() == nil {
		p.Failed(s.Frame, err)
	}
	return false
}

// picture renders and composes; nil where the screen has another size by now,
// and will ask again.
func (p *Preview) picture(ctx context.Context, s Request, factor int, draft bool) (*Showing, *image.RGBA, error) {
	start := time.Now()
	out := &Showing{Request: s, Factor: factor, Draft: draft && factor > 1, Unsettled: s.unsettled(draft) && s.settles(), Whole: s.Vp.Visible() == image.Rect(0, 0, s.Vp.W, s.Vp.H)}
	var err error
	if out.Layers, err = p.Layers(ctx, s, factor, draft); err != nil {
		return nil, nil, err
	}
	if s.Settings != nil && (s.Kind == playRequest || s.Kind == ScrubRequest) {
		if out.Followed, err = s.Renderer.KnownOutlines(ctx, render.Request{Study: s.Study, Settings: s.Settings, Frame: s.Frame}); err != nil {
			return nil, nil, err
		}
	}
	out.Shares = render.SharesOf(out.Layers.Reasons)
	out.Render = time.Since(start)
	buffer := p.screen.Buffer()
	if b := buffer.Bounds(); b.Dx() != s.Vp.VW || b.Dy() != s.Vp.VH {
		return nil, nil, nil
	}
	err = p.Composer.Compose(ctx, buffer, s.Vp, s.Left, s.Right, s.Divider, out.Layers, 0)
	out.Took = time.Since(start)
	return out, buffer, err
}

// hand gives the viewer a picture.
func (p *Preview) hand(out *Showing, buffer *image.RGBA) {
	p.Last.Store(out)
	p.screen.Put(buffer, out.Request.Vp)
}

// Layers renders what the views of a request are composed of.
func (p *Preview) Layers(ctx context.Context, s Request, factor int, draft bool) (view.Layers, error) {
	l, err := view.Render(ctx, s.Renderer, render.Request{
		Study: s.Study, Settings: s.Settings, Frame: s.Frame, Region: s.Vp.Visible(), Factor: factor, Hidden: s.Hidden,
		Draft: draft, Hasty: draft && s.passes(), NoSearch: draft || s.NoSearch || s.Kind == playRequest,
		NoSettle: s.unsettled(draft),
	}, s.views()...)
	if err == nil && s.Beyond {
		l.Beyond, err = p.beyondIn(ctx, s, l)
	}
	return l, err
}

// views are those that a request asks for.
func (s Request) views() []view.View {
	if s.Divider >= 0 {
		return []view.View{s.Left, s.Right}
	}
	return []view.View{s.Left}
}

// beyondIn tells which samples of the layers are beyond repair: where most of
// their pixels are.
func (p *Preview) beyondIn(ctx context.Context, s Request, l view.Layers) ([]bool, error) {
	src, err := s.Renderer.Source(ctx, s.Study, s.Frame)
	if err != nil {
		return nil, err
	}
	m := &p.beyond
	m.mu.Lock()
	defer m.mu.Unlock()
	base := s.Study.Base.At(s.Frame)
	if key := s.Study.DigestShown(s.Frame); key != m.key {
		if m.share, err = colour.BeyondRepair(ctx, &m.plane, src, base, s.Study.Clip.Noise, 0); err != nil {
			m.key = ""
			return nil, err
		}
		m.key = key
	}
	w, h := l.Region.Dx()/l.Factor, l.Region.Dy()/l.Factor
	out := make([]bool, w*h)
	for y := range h {
		row := m.plane.Row(min(l.Region.Min.Y+y*l.Factor+l.Factor/2, m.plane.H-1))
		for x := range w {
			out[y*w+x] = row[min(l.Region.Min.X+x*l.Factor+l.Factor/2, m.plane.W-1)] > 0
		}
	}
	return out, nil
}

// BeyondShare is the share of the frame that is beyond repair, as last shown.
func (p *Preview) BeyondShare() float64 {
	p.beyond.mu.Lock()
	defer p.beyond.mu.Unlock()
	return p.beyond.share
}
