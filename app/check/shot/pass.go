package shot

import (
	"cmp"
	"context"
	"fmt"
	"image"
	"slices"
	"sync"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A pass is a shot made ready: its plane between the dabs is found, and each worker
// gets a renderer.
type pass struct {
	*Shot
	dabs    string           // what plane and samples depend on
	samples []selection.Dab  // of the dabs that can be read
	plane   *selection.Plane // between them; nil: none
	// renderers not in use, each for one worker.
	renderers sync.Pool
}

// bytesPerPixel is what a worker's renderer keeps: codes, base and the planes
// behind them, so that nothing is made twice for one frame.
const bytesPerPixel = 48

// besidePerPixel is what it keeps besides where the frames beside have a part: their mattes, the
// luma of the pictures and the motion between them.
const besidePerPixel = 40

// perPixel is what a worker's renderer keeps for each pixel of the frame.
func (s *Shot) perPixel() int {
	if s.Carry || s.settles() {
		return bytesPerPixel + besidePerPixel
	}
	return bytesPerPixel
}

// settles reports whether the matte settles on any frame, or any that it takes in.
func (s *Shot) settles() bool {
	return s.Settings.Edge.Settles() ||
		slices.ContainsFunc(s.Study.JoinedMattes(s.Settings), func(m *study.Matte) bool { return m.Edge.Settles() })
}

func (s *Shot) prepare(ctx context.Context) (*pass, error) {
	if s.Truth != nil && s.Factor > 1 {
		return nil, fmt.Errorf("shot: proxy factor is %d, want 1 where there is a truth", s.Factor)
	}
	p := &pass{Shot: s, dabs: s.dabsKey()}
	var err error
	if p.samples, err = s.read(ctx); err != nil {
		return nil, err
	}
	p.plane = planeOf(p.samples)
	if s.Renderer != nil {
		p.renderers.New = func() any { return s.Renderer }
		return p, ctx.Err()
	}
	size := s.size(ctx)
	root := s.Beside // what workers share of followed outlines
	if root == nil {
		root = render.New(s.Source, 1, 0)
	}
	p.renderers.New = func() any { return root.Alone(1, size.X*size.Y*s.perPixel()) }
	return p, ctx.Err()
}

// read returns the samples of the dabs that can be read, and tells of the others.
func (s *Shot) read(ctx context.Context) (samples []selection.Dab, err error) {
	r := s.Renderer
	if r == nil {
		r = render.New(s.Source, s.Workers, render.DefaultCache/4)
	}
	var lost []int
	var why error
	for _, d := range s.Dabs {
		colours, err := r.DabSamples(ctx, s.Study, &study.Matte{Settings: *s.Settings, Dabs: []study.Dab{d}})
		switch {
		case ctx.Err() != nil:
			return nil, fmt.Errorf("shot: %w", ctx.Err())
		case err != nil:
			lost, why = append(lost, d.Frame), cmp.Or(why, err)
		}
		samples = append(samples, colours...)
	}
	if s.Lost != nil && lost != nil {
		slices.Sort(lost)
		s.Lost(slices.Compact(lost), why)
	}
	return samples, nil
}

// planeOf returns the plane between dabs; nil where they are of one kind, or of one colour.
func planeOf(samples []selection.Dab) *selection.Plane {
	p, err := selection.LabPlane(samples)
	if err != nil {
		return nil
	}
	return &p
}

// sizeTries is how many frames are looked at for the clip's size.
const sizeTries = 3

// size returns the size of the clip's frames, 0 where the first are unreadable.
func (s *Shot) size(ctx context.Context) image.Point {
	for _, n := range s.Frames[:min(sizeTries, len(s.Frames))] {
		if m, err := s.Source.Frame(ctx, n); err == nil {
			return image.Pt(m.Size())
		}
	}
	return image.Point{}
}

// whole is the matte of the whole frame: outside the part that a moment has it is 0.
func (m *moment) whole() colour.Plane {
	if m.matte.W == m.size.X && m.matte.H == m.size.Y {
		return m.matte
	}
	out := colour.NewPlane(m.size.X, m.size.Y)
	at := m.request.Region.Min
	for y := range m.matte.H {
		copy(out.Row(at.Y + y)[at.X:], m.matte.Row(y))
	}
	return out
}

// A moment is one frame as it is judged: the part of it in which a matte may be.
type moment struct {
	matte   colour.Plane
	picture *colour.Image // that the pick read
	size    image.Point   // of the whole frame, in the source's pixels
	request render.Request
	truth   colour.Plane // where the shot has one
}

// run judges frames that follow each other. Its error is one that stops all.
func (p *pass) run(ctx context.Context, frames []int, give func(Frame)) error {
	r := p.renderers.Get().(*render.Renderer)
	defer p.renderers.Put(r)
	region := p.region(frames)
	var before *moment
	if p.before(frames[0]) {
		m, err := p.look(ctx, r, frames[0]-1, region)
		if err == nil { // else it is told with that frame itself
			before = m
		}
	}
	for _, n := range frames {
		now, err := p.look(ctx, r, n, region)
		if ctx.Err() != nil {
			return nil // Each says so
		}
		f := Frame{Number: n, Err: err}
		if err == nil {
			if f, err = p.figures(ctx, r, n, now, before); err != nil {
				return err
			}
		}
		f.LostEdges = r.LostEdges(p.Study, p.Settings, n)
		f.key = p.key(n, p.dabs)
		give(f)
		before = now
	}
	return nil
}

// beyond is how far past the masks' reach a region goes: further than a speck
// that touches its border could hide behind.
const beyond = check.LargestSpeck + 8

// region returns what must be looked at of frames and the one before them: all
// that a mask reaches on any. Elsewhere the matte is 0. Empty is the whole frame.
func (p *pass) region(frames []int) (out image.Rectangle) {
	for n := frames[0] - 1; n <= frames[len(frames)-1]; n++ {
		part, bounded := reached(p.Study.SettingsAt(p.Settings, n))
		if !bounded {
			return image.Rectangle{}
		}
		out = out.Union(part)
	}
	if out.Empty() {
		return out
	}
	out = out.Inset(-beyond)
	for _, n := range frames {
		out = out.Union(p.aboutMasks(n))
	}
	return out
}

// look renders what is judged of a frame.
func (p *pass) look(ctx context.Context, r *render.Renderer, n int, region image.Rectangle) (*moment, error) {
	source, err := r.Source(ctx, p.Study, n)
	if err != nil {
		return nil, err
	}
	m := &moment{size: image.Pt(source.Size())}
	m.request = p.request(n, region, m.size)
	if m.matte, err = r.Matte(ctx, m.request); err != nil {
		return nil, err
	}
	if m.picture, err = r.Picked(ctx, m.request); err != nil {
		return nil, err
	}
	if p.Truth != nil {
		m.truth, err = p.Truth(ctx, n)
	}
	return m, err
}

func (p *pass) request(n int, region image.Rectangle, size image.Point) render.Request {
	whole := image.Rectangle{Max: size}
	if region = region.Intersect(whole); region.Empty() {
		region = whole
	}
	return render.Request{Study: p.Study, Settings: p.Settings, Frame: n, Region: region, Factor: p.Factor}
}

// confidence finds how likely the outlines are right that follow the picture on a frame.
func (p *pass) confidence(ctx context.Context, r *render.Renderer, f *Frame) error {
	c, ok, err := r.Confidence(ctx, p.Study, p.Settings, f.Number)
	if ok {
		f.Confidence = &c.Least
	}
	return err
}

// figures are those of a frame; before is nil where there is none.
func (p *pass) figures(ctx context.Context, r *render.Renderer, n int, now, before *moment) (f Frame, err error) {
	f.Number, f.width = n, now.size.X
	factor := max(p.Factor, 1)
	f.Proxy = factor > 1
	pixels := (now.size.X + factor - 1) / factor * ((now.size.Y + factor - 1) / factor)
	if f.Figures, err = check.MeasurePart(ctx, now.matte, pixels, factor, 1); err != nil {
		return f, err
	}
	if err := p.leaks(ctx, r, &f, now); err != nil {
		return f, err
	}
	if err := p.confidence(ctx, r, &f); err != nil {
		return f, err
	}
	if err := p.sumByMask(ctx, r, &f, now); err != nil {
		return f, err
	}
	if err := p.seam(ctx, r, &f, now); err != nil {
		return f, err
	}
	f.Colours, f.Dropped = coloursIn(now.matte, now.picture, p.plane)
	if p.Truth != nil {
		if f.IoU, err = check.IoU(ctx, now.whole(), now.truth); err != nil {
			return f, fmt.Errorf("shot: frame %d: %w", n, err)
		}
	}
	if before == nil || before.size != now.size {
		return f, nil
	}
	if err := p.carriedChange(ctx, r, &f, now, before); err != nil {
		return f, err
	}
	return f, p.since(ctx, &f, now, before)
}
