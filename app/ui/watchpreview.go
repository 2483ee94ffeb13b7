package ui

import (
	"context"
	"image"
	"sync"
	"sync/atomic"
	"time"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/colour"
)

// A request is one picture that the viewer wants.
type request struct {
	renderer *render.Renderer
	study    *study.Study
	settings *study.Settings // nil: no matte is there
	frame    int
	vp       view.Viewport
	left     view.View // of Compare's divider; alone where there is none
	right    view.View
	divider  float64 // screen x, below 0 for none
	beyond   bool
	hidden   []int // mattes whose trials do not grade
	dragging bool
	asked    time.Time // when the user did what asks for it; of one that plays, when it is due
	kind     requestKind
	play     *playing // goes on from frame to frame; nil: stays
}

// A requestKind is what a trace says of why a picture was asked for; "" is not
// traced.
type requestKind string

const (
	dragRequest  requestKind = "drag"  // something was changed
	scrubRequest requestKind = "scrub" // the playhead was dragged
	frameRequest requestKind = "frame" // another frame was gone to
	playRequest  requestKind = "play"
)

// A showing is what is said of the picture that the viewer shows.
type showing struct {
	request request
	layers  view.Layers
	shares  render.Shares // of the part in view; zeros unless reasons are shown
	factor  int
	draft   bool
	render  time.Duration // the engine's part
	took    time.Duration // with composing
	whole   bool          // all of the frame is in view
	slowed  bool          // faded into the picture before it
}

// A preview renders what the viewer shows: while the user drags, from a proxy
// that is quick; at rest, as finely as the screen can show.
type preview struct {
	viewer *viewer.Viewer
	jobs   *latest[request]
	failed func(frame int, err error) // called from the background

	composer view.Composer // of the worker alone
	cost     time.Duration // of the last picture at full detail
	beyond   beyondMap

	last atomic.Pointer[showing]
}

// A beyondMap keeps which pixels of a frame are beyond repair, at full detail.
type beyondMap struct {
	mu    sync.Mutex
	key   string
	plane colour.Plane
	share float64
}

func newPreview(v *viewer.Viewer, failed func(frame int, err error)) *preview {
	p := &preview{viewer: v, failed: failed}
	p.jobs = newLatest(p.work)
	return p
}

// restDelay is how long a drag must rest before full detail is rendered: less
// than a person notices, more than two moves of a mouse are apart.
const restDelay = 60 * time.Millisecond

// slowFull is from when on full detail is worth a quick picture before it.
const slowFull = 90 * time.Millisecond

func (p *preview) work(ctx context.Context, s request) {
	seen := s.vp.Visible()
	if seen.Empty() || s.vp.VW < 1 || s.vp.VH < 1 {
		return
	}
	full := view.FullFactor(s.vp.Zoom)
	quick := view.QuickFactor(seen, full)
	if s.play != nil {
		p.play(ctx, s, quick)
		return
	}
	final := quick == 1 // nothing finer to come
	if final || s.dragging || p.cost > slowFull || s.kind == frameRequest {
		// What has begun is shown, though a newer request waits: otherwise a
		// steady drag would show nothing.
		if !p.show(context.Background(), s, quick, !final) || final {
			return
		}
		if s.dragging && !rest(ctx, restDelay) {
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
func (s request) passes() bool {
	return s.kind == playRequest || s.kind == scrubRequest || s.kind == frameRequest
}

// rest waits, and reports whether nothing new came meanwhile.
func rest(ctx context.Context, d time.Duration) bool {
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
func (p *preview) show(ctx context.Context, s request, factor int, draft bool) bool {
	out, buffer, err := p.picture(ctx, s, factor, draft)
	if err == nil && buffer != nil {
		p.hand(out, buffer)
		return true
	}
	if err != nil && ctx.Err() == nil {
		p.failed(s.frame, err)
	}
	return false
}

// picture renders and composes; nil where the window has another size by now,
// and will ask again.
func (p *preview) picture(ctx context.Context, s request, factor int, draft bool) (*showing, *image.RGBA, error) {
	start := time.Now()
	out := &showing{request: s, factor: factor, draft: draft, whole: s.vp.Visible() == image.Rect(0, 0, s.vp.W, s.vp.H)}
	var err error
	if out.layers, err = p.layers(ctx, s, factor, draft); err != nil {
		return nil, nil, err
	}
	out.shares = render.SharesOf(out.layers.Reasons)
	out.render = time.Since(start)
	buffer := p.viewer.Buffer()
	if b := buffer.Bounds(); b.Dx() != s.vp.VW || b.Dy() != s.vp.VH {
		return nil, nil, nil
	}
	err = p.composer.Compose(ctx, buffer, s.vp, s.left, s.right, s.divider, out.layers, 0)
	out.took = time.Since(start)
	return out, buffer, err
}

// hand gives the viewer a picture.
func (p *preview) hand(out *showing, buffer *image.RGBA) {
	p.last.Store(out)
	p.viewer.Put(buffer, out.request.vp)
}

// layers renders what the views of a request are composed of.
func (p *preview) layers(ctx context.Context, s request, factor int, draft bool) (view.Layers, error) {
	l, err := view.Render(ctx, s.renderer, render.Request{
		Study: s.study, Settings: s.settings, Frame: s.frame, Region: s.vp.Visible(), Factor: factor, Hidden: s.hidden,
		Draft: draft, Hasty: draft && s.passes(),
	}, s.views()...)
	if err == nil && s.beyond {
		l.Beyond, err = p.beyondIn(ctx, s, l)
	}
	return l, err
}

// views are those that a request asks for.
func (s request) views() []view.View {
	if s.divider >= 0 {
		return []view.View{s.left, s.right}
	}
	return []view.View{s.left}
}

// beyondIn tells which samples of the layers are beyond repair: where most of
// their pixels are.
func (p *preview) beyondIn(ctx context.Context, s request, l view.Layers) ([]bool, error) {
	src, err := s.renderer.Source(ctx, s.study, s.frame)
	if err != nil {
		return nil, err
	}
	m := &p.beyond
	m.mu.Lock()
	defer m.mu.Unlock()
	base := s.study.Base.At(s.frame)
	if key := s.study.DigestShown(s.frame); key != m.key {
		if m.share, err = colour.BeyondRepair(ctx, &m.plane, src, base, s.study.Clip.Noise, 0); err != nil {
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

// beyondShare is the share of the frame that is beyond repair, as last shown.
func (p *preview) beyondShare() float64 {
	p.beyond.mu.Lock()
	defer p.beyond.mu.Unlock()
	return p.beyond.share
}
