package render

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"math"
	"slices"
	"time"

	"halocline/app/follow"
	"halocline/app/motion"
	"halocline/colour"
	"halocline/mask"
	"halocline/mask/edge"
)

// A HoldingSource is a Source that tells which frames it has.
type HoldingSource interface {
	Source
	Has(n int) bool
}

// Has reports whether there is a frame n, as far as the source tells.
func (r *Renderer) Has(n int) bool {
	s, ok := r.source.(HoldingSource)
	return !ok || s.Has(n)
}

// OnFollow has a function told how far the work on a followed outline is: through how many
// frames it was carried, of how many, from its keys; 0 of 0 once it ends. The function is
// called on the goroutine that does the work, also that of renderers made from this one
// (Alone).
func (r *Renderer) OnFollow(tell func(done, of int)) { r.follows.tell.Store(&tell) }

func (r *Renderer) tellFollowing(done, of int) {
	if tell := r.follows.tell.Load(); tell != nil {
		(*tell)(done, of)
	}
}

// followed finds a layer's outline on a frame of a stretch that follows the picture. It is
// the same whatever part of the frame is asked for. Who asks for it while it is being found
// waits for that.
func (p *part) followed(ctx context.Context, l *mask.Layer) (*follow.Result, error) {
	key := p.followedKey(l)
	done, err := p.finding.take(ctx, key)
	if err != nil {
		return nil, err
	}
	defer done()
	return stageIn(p.Renderer, p.foundOutlines(), FollowMask, key, func() (*follow.Result, int, error) {
		defer p.tellFollowing(0, 0)
		ask, err := p.askOf(ctx, l)
		if err != nil {
			return nil, 0, err
		}
		start := time.Now()
		r, err := follow.Frame(ctx, ask, p.workers)
		if err != nil {
			return nil, 0, err
		}
		p.follows.pace.found(time.Since(start))
		p.follows.savePace()
		r.Breaks.Add(follow.Breaks{Missing: p.missingOf(l.Stretch)})
		if r.Lost {
			p.lost.add(key)
		}
		return r, r.Bytes(), p.saveConfidence(ctx, l, confidenceOf(r))
	})
}

// askOf gathers what is known of a followed frame from the ends of its stretch.
func (p *part) askOf(ctx context.Context, l *mask.Layer) (follow.Ask, error) {
	s := l.Stretch
	a := follow.Ask{Size: p.size}
	if l.Search.On() {
		a.Search = &follow.Search{Dabs: l.Search.Dabs, Picture: p.pictureIn}
	}
	done := 0 // frames, from both ends
	first, last := s.Span()
	for _, end := range []struct {
		anchor *mask.Anchor
		to     **follow.Carried
	}{{s.From, &a.From}, {s.To, &a.To}} {
		if end.anchor == nil {
			continue
		}
		var err error
		tell := func(frames int) { p.tellFollowing(done+frames, last-first) }
		if *end.to, err = p.carried(ctx, s, end.anchor, tell); err != nil {
			return a, err
		}
		a.Frames = max(s.Frame-end.anchor.Frame, end.anchor.Frame-s.Frame)
		done += a.Frames
		if a.Search != nil {
			known, err := p.start(ctx, end.anchor)
			if err != nil {
				return a, err
			}
			if known.colours != nil {
				a.Search.Colours = append(a.Search.Colours, known.colours)
			}
		}
	}
	if a.Search != nil {
		for _, d := range s.Dabs {
			carried, ok, err := p.carriedDab(ctx, d, s.Frame)
			if err != nil {
				return a, err
			}
			if ok {
				a.Search.Dabs = append(a.Search.Dabs[:len(a.Search.Dabs):len(a.Search.Dabs)], carried)
			}
		}
	}
	if s.From != nil && s.To != nil {
		a.Share = float64(s.Frame-s.From.Frame) / float64(s.To.Frame-s.From.Frame)
	}
	return a, nil
}

// dabShrinks is the share of its radius that a carried dab loses with each frame: where it
// lies becomes less certain.
const dabShrinks = 0.05

// carriedDab returns where a dab of another frame lies on this one; ok is false where it left
// the picture.
func (p *part) carriedDab(ctx context.Context, d mask.TimedDab, frame int) (out mask.Dab, ok bool, err error) {
	out = d.Dab
	for n := d.Frame; n != frame; {
		next := p.next(n, frame)
		if !p.Has(n) {
			return out, false, nil
		}
		f, err := p.flow(ctx, n, next)
		if err != nil {
			return out, false, err
		}
		dx, dy := f.At(int(math.Floor(out.X)), int(math.Floor(out.Y)))
		out.X, out.Y = out.X+float64(dx), out.Y+float64(dy)
		out.Radius -= dabShrinks * d.Radius
		if !(out.X >= 0 && out.Y >= 0 && out.X < float64(p.size.X) && out.Y < float64(p.size.Y)) {
			return out, false, nil
		}
		n = next
	}
	return out, out.Radius > 0, nil
}

// followedKey is all that a followed outline depends on: its keys, and the picture on the
// frames of its stretch.
func (p *part) followedKey(l *mask.Layer) string {
	s := l.Stretch
	sum := sha256.New()
	fmt.Fprintf(sum, "%v %v", s, l.Search)
	if l.Search.On() {
		for _, a := range []*mask.Anchor{s.From, s.To} {
			if a != nil {
				fmt.Fprint(sum, p.on(a.Frame).searchedKey())
			}
		}
		fmt.Fprint(sum, p.searchedKey())
	}
	return fmt.Sprintf("followed %x in %s", sum.Sum(nil), p.sourceKey())
}

// on is the same part on another frame.
func (p *part) on(frame int) *part {
	q := *p
	q.frame = frame
	return &q
}

// A knownOutline is an outline on the frame of a key, as the search finds it there.
type knownOutline struct {
	shape   mask.Shape
	colours *edge.Colours // nil where the mask does not search
}

// start returns the outline from which a key's is carried.
func (p *part) start(ctx context.Context, a *mask.Anchor) (*knownOutline, error) {
	known := &knownOutline{shape: a.Shape}
	if !a.Search.On() || !p.Has(a.Frame) {
		return known, nil
	}
	q := p.on(a.Frame)
	layer := mask.Layer{Shape: a.Shape, Search: a.Search}
	return stageIn(p.Renderer, p.follows.outlines, FollowMask, "start "+q.edgeKey(&layer), func() (*knownOutline, int, error) {
		f, err := q.findEdge(ctx, &layer)
		if err != nil {
			return nil, 0, err
		}
		if !f.Lost {
			known.shape.Points, known.shape.Rounded = f.Outline, false
		}
		picture, err := q.pictureIn(ctx, edge.Crop(known.shape, p.size))
		if err != nil {
			return nil, 0, err
		}
		known.colours, err = edge.ColoursOf(ctx, known.shape, picture, p.size, p.workers)
		return known, 16 * len(known.shape.Points), err
	})
}

// carried returns where a key's outline lies on a frame of a stretch, carried along the frames
// between; tell is told of each how far it is from the key. Who asks for another frame of the
// same way waits.
func (p *part) carried(ctx context.Context, s *mask.Stretch, a *mask.Anchor, tell func(frames int)) (*follow.Carried, error) {
	trail, outlines := p.trailKey(a, direction(a.Frame, s.Frame)), p.follows.outlines
	if v, ok := outlines.get(outlineKey(trail, s.Frame)); ok {
		return v.(*follow.Carried), nil
	}
	done, err := p.follows.carrying.take(ctx, trail)
	if err != nil {
		return nil, err
	}
	defer done()
	if v, ok := outlines.get(outlineKey(trail, s.Frame)); ok {
		return v.(*follow.Carried), nil
	}
	steps, err := p.steps(ctx, a, s.Frame)
	if err != nil {
		return nil, err
	}
	if len(steps) > 0 {
		if c := p.follows.load(steps[len(steps)-1]); c != nil {
			putOutline(outlines, trail, s.Frame, c)
			return c, nil
		}
	}
	return p.walk(ctx, s, a, trail, steps, tell)
}

func outlineKey(trail string, frame int) string {
	return cacheKey(FollowMask, fmt.Sprintf("%s to %d", trail, frame))
}

func putOutline(in *cache, trail string, frame int, c *follow.Carried) {
	in.put(outlineKey(trail, frame), c, 16*len(c.Points)+64)
}

// walk carries a key's outline to a frame, from as near as it was carried before, and keeps
// those on the way.
func (p *part) walk(ctx context.Context, s *mask.Stretch, a *mask.Anchor, trail string, steps []step, tell func(frames int)) (*follow.Carried, error) {
	by := direction(a.Frame, s.Frame)
	t := p.follows.trails.take(trail)
	if t == nil || by*(s.Frame-t.frame) < 0 {
		var err error
		if t, err = p.setOut(ctx, a, s.Frame, steps); err != nil {
			return nil, err
		}
	}
	defer func() { p.follows.trails.keep(trail, t) }()
	for t.frame != s.Frame || t.last == nil {
		if err := p.follows.gate.wait(ctx); err != nil {
			return nil, err
		}
		start := time.Now()
		if t.frame != s.Frame {
			next := p.next(t.frame, s.Frame)
			back, err := p.flow(ctx, next, t.frame)
			if err != nil {
				return nil, err
			}
			if err := p.pass(ctx, t, next, back); err != nil {
				return nil, err
			}
			t.carrier.Step(back)
			t.frame = next
			tell(by * (t.frame - a.Frame))
		}
		points, err := t.carrier.Outline(ctx, p.workers)
		if err != nil {
			t.last = nil
			return nil, err
		}
		t.last = &follow.Carried{Points: points, Breaks: t.breaks}
		putOutline(p.follows.outlines, trail, t.frame, t.last)
		p.saveStep(s, t, by, steps)
		p.follows.pace.stepped(time.Since(start))
	}
	return t.last, nil
}

// pass notes how the picture goes on to a walk's next frame, from which a flow leads back.
func (p *part) pass(ctx context.Context, t *walk, next int, back *motion.Flow) error {
	here, err := p.luma(ctx, t.frame)
	if err != nil {
		return err
	}
	there, err := p.luma(ctx, next)
	if err != nil {
		return err
	}
	j, err := follow.JointOf(there, here, back, func() (bool, error) {
		return p.isCutBetween(ctx, min(t.frame, next), max(t.frame, next))
	})
	if err == nil {
		t.breaks.Note(max(t.frame, next), j)
	}
	return err
}

// missingOf are the frames of a stretch that are not there.
func (p *part) missingOf(s *mask.Stretch) (all []int) {
	first, last := s.Span()
	for n := first; n <= last; n++ {
		if !p.Has(n) {
			all = append(all, n)
		}
	}
	return all
}

// next is the frame after another on the way to a third, over those that are missing.
func (p *part) next(after, to int) int {
	by := direction(after, to)
	for after += by; after != to && !p.Has(after); after += by {
	}
	return after
}

// setOut begins at a key, or where the store says how a way goes on from a frame nearer to the
// one that is wanted.
func (p *part) setOut(ctx context.Context, a *mask.Anchor, frame int, steps []step) (*walk, error) {
	known, err := p.start(ctx, a)
	if err != nil {
		return nil, err
	}
	c, err := follow.NewCarrier(ctx, known.shape, p.size, p.workers)
	if err != nil {
		return nil, err
	}
	for i := len(steps) - 1; i >= 0; i-- {
		flow := p.follows.loadState(steps[i])
		if flow == nil {
			continue
		}
		if reached := p.follows.load(steps[i]); reached != nil && c.GoOn(flow) == nil {
			return &walk{carrier: c, frame: steps[i].frame, breaks: reached.Breaks}, nil
		}
	}
	t := &walk{carrier: c, frame: a.Frame}
	if !p.Has(a.Frame) && a.Frame != frame { // a key where there is no frame
		t.frame = p.next(a.Frame, frame)
	}
	return t, nil
}

// saveStep has the store keep the frame that a walk has reached.
func (p *part) saveStep(s *mask.Stretch, t *walk, by int, steps []step) {
	i := slices.IndexFunc(steps, func(at step) bool { return at.frame == t.frame })
	if i < 0 {
		return
	}
	var before *step
	if i > 0 {
		before = &steps[i-1]
	}
	from, to := s.Span()
	last := s.From != nil && s.To != nil && (by > 0 && t.frame == to-1 || by < 0 && t.frame == from+1)
	p.follows.save(steps[i], before, t, last)
}

// trailKey names the way from a key in a direction.
func (p *part) trailKey(a *mask.Anchor, step int) string {
	key := a.String()
	if a.Search.On() {
		key += p.on(a.Frame).searchedKey()
	}
	return fmt.Sprintf("carried %x by %d in %s", sha256.Sum256([]byte(key)), step, p.on(a.Frame).sourceKey())
}

// flow returns the motion from a frame to another. Who asks for it while it is being found waits
// for that.
func (p *part) flow(ctx context.Context, from, to int) (*motion.Flow, error) {
	key := p.on(from).sourceKey() + " to " + p.on(to).sourceKey()
	done, err := p.finding.take(ctx, cacheKey(FindFlow, key))
	if err != nil {
		return nil, err
	}
	defer done()
	return stageIn(p.Renderer, p.flows, FindFlow, key, func() (*motion.Flow, int, error) {
		a, err := p.luma(ctx, from)
		if err != nil {
			return nil, 0, err
		}
		b, err := p.luma(ctx, to)
		if err != nil {
			return nil, 0, err
		}
		f, err := motion.Between(ctx, a, b, p.workers)
		if err != nil {
			return nil, 0, err
		}
		return f, 1, nil
	})
}

// luma returns a frame as flow reads it: BT.709's luma of the source, before base.
func (p *part) luma(ctx context.Context, frame int) (*motion.Picture, error) {
	q := p.on(frame)
	return stageIn(p.Renderer, p.lumas, ReadLuma, q.sourceKey(), func() (*motion.Picture, int, error) {
		m, err := q.glanced(ctx)
		if err != nil {
			return nil, 0, err
		}
		w, h := m.Size()
		if (image.Point{X: w, Y: h}) != p.size {
			return nil, 0, fmt.Errorf("render: frame %d has %d x %d pixels, want %d x %d as frame %d", frame, w, h, p.size.X, p.size.Y, p.frame)
		}
		luma, k := colour.NewPlane(w, h), colour.Luma709
		red, blue := float32(k.Red), float32(k.Blue)
		green := 1 - red - blue
		for i := range luma.Pix {
			luma.Pix[i] = float32(red*m.R.Pix[i]) + float32(green*m.G.Pix[i]) + float32(blue*m.B.Pix[i])
		}
		pic, err := motion.NewPicture(ctx, luma, p.workers)
		return pic, 1, err
	})
}
