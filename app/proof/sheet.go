package proof

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"sync"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/check/shot"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A Sheet is proofs of one matte, to be looked at on some frames.
type Sheet struct {
	Study  *study.Study // only read
	Matte  *study.Matte // whose dabs the separation is measured on
	Items  []Item
	Frames []int // to be judged and shown, by the source's numbers, ascending
	// Clip are all frames that the clip has, ascending: those of Frames whose
	// predecessor is among them have a flicker. nil: none has.
	Clip []int
	// Factor is the proxy on which mattes are judged: 1, which 0 means too, is every
	// pixel. Lengths come in pixels of the source in any case.
	Factor int
}

// Cache keeps what was worked out, by what it depends on, so that nothing is worked
// out twice. The zero value is ready; its methods may be called from several
// goroutines.
type Cache struct {
	mu         sync.Mutex
	frames     map[string]frameFigures
	separation map[string]float64
}

// frameFigures are a proof's on one frame.
type frameFigures struct {
	check.Figures
	flicker *float64
	masked  *float64
	seam    *seam.Figures
	graded  bool
}

// remembered returns what is kept in one of the cache's maps under a key, or makes and keeps
// it. Two that ask at once both make it, and find the same.
func remembered[T any](c *Cache, in *map[string]T, key string, make func() (T, error)) (T, error) {
	c.mu.Lock()
	v, ok := (*in)[key]
	c.mu.Unlock()
	if ok {
		return v, nil
	}
	v, err := make()
	if err != nil {
		return v, err
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	if *in == nil {
		*in = map[string]T{}
	}
	(*in)[key] = v
	return v, nil
}

// Judge works out the figures of every item, and calls done whenever more of an
// item's are known: frame by frame, on each frame in the order of the items, separation
// last. It renders through r, whose cache should have room for what leads to a matte on a
// frame and on the one before it. A frame that cannot be read is told in the
// figures, and the others go on. Judge returns an error when ctx ends.
func (s *Sheet) Judge(ctx context.Context, r *render.Renderer, cache *Cache, done func(item int, f Figures)) error {
	sums := make([]sum, len(s.Items))
	for n, frame := range s.Frames {
		for i := range s.Items {
			f, err := s.onFrame(ctx, r, cache, i, frame)
			if ctx.Err() != nil {
				return fmt.Errorf("proof: %w", ctx.Err())
			}
			sums[i].add(frame, f, err)
			sums[i].judged = n == len(s.Frames)-1
			done(i, sums[i].figures())
		}
	}
	for i := range s.Items {
		separation, err := s.separation(ctx, r, cache, i)
		if ctx.Err() != nil {
			return fmt.Errorf("proof: %w", ctx.Err())
		}
		f := sums[i].figures()
		f.Whole = true
		switch {
		case err != nil:
			f.Err = errors.Join(f.Err, err)
		case !math.IsNaN(separation):
			f.Separation = &separation
		}
		done(i, f)
	}
	return nil
}

// onFrame returns an item's figures on one frame.
func (s *Sheet) onFrame(ctx context.Context, r *render.Renderer, cache *Cache, item, frame int) (frameFigures, error) {
	set := s.Items[item].Settings
	pair := shot.Shot{Renderer: r, Study: s.Study, Settings: set, Frames: s.pair(frame), Factor: s.Factor}
	return remembered(cache, &cache.frames, pair.Key(frame), func() (out frameFigures, err error) {
		err = pair.Each(ctx, []int{frame}, func(f shot.Frame) {
			if f.Err != nil {
				err = f.Err
				return
			}
			out = frameFigures{Figures: f.Figures, flicker: f.Flicker, masked: f.MaskedEdge, seam: f.Seam, graded: f.Seam != nil}
		})
		if err != nil || out.seam != nil {
			return out, err
		}
		out.seam, err = s.ungraded(ctx, r, set, frame)
		return out, err
	})
}

// pair is a frame and the one before it, if the clip has that.
func (s *Sheet) pair(frame int) []int {
	for _, n := range s.Clip {
		if n == frame-1 {
			return []int{frame - 1, frame}
		}
	}
	return []int{frame}
}

// ungraded is the seam of a matte without a trial; nil where there is none.
func (s *Sheet) ungraded(ctx context.Context, r *render.Renderer, set *study.Settings, frame int) (*seam.Figures, error) {
	on, err := seam.On(ctx, r, s.request(set, frame), 1)
	if errors.As(err, new(seam.NoneError)) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	f, err := on.Judge(ctx, 1)
	return &f, err
}

func (s *Sheet) request(set *study.Settings, frame int) render.Request {
	return render.Request{Study: s.Study, Settings: set, Frame: frame, Factor: s.Factor}
}

// dabs are those by which items are judged, whatever each takes in itself: of the matte as
// it is, with all that it takes in.
func (s *Sheet) dabs() []study.Dab { return s.Study.DabsOf(s.Matte) }

// separation returns how far an item's matte tells the dabs apart; NaN where it cannot be told.
func (s *Sheet) separation(ctx context.Context, r *render.Renderer, cache *Cache, item int) (float64, error) {
	set := s.Items[item].Settings
	return remembered(cache, &cache.separation, s.separationKey(set), func() (float64, error) {
		var keep, drop [][]float32
		for _, d := range s.dabs() {
			weights, err := s.under(ctx, r, set, d)
			if err != nil {
				return 0, err
			}
			if d.Kind == study.Keep {
				keep = append(keep, weights)
			} else {
				drop = append(drop, weights)
			}
		}
		return selection.AUC(keep, drop), nil
	})
}

func (s *Sheet) separationKey(set *study.Settings) string {
	return study.DigestDabs(s.dabs(), func(frame int) string { return s.Study.DigestOf(frame, set) })
}

// under returns the matte's weights under a dab, in every pixel: a part of a frame has
// the bits that it has in the whole.
func (s *Sheet) under(ctx context.Context, r *render.Renderer, set *study.Settings, d study.Dab) ([]float32, error) {
	size, err := r.Size(ctx, s.Study, d.Frame)
	if err != nil {
		return nil, err
	}
	box := image.Rect(int(d.X-d.Radius)-1, int(d.Y-d.Radius)-1, int(d.X+d.Radius)+2, int(d.Y+d.Radius)+2).Intersect(image.Rectangle{Max: size})
	if box.Empty() {
		return nil, nil
	}
	m, err := r.Matte(ctx, render.Request{Study: s.Study, Settings: set, Frame: d.Frame, Region: box})
	if err != nil {
		return nil, err
	}
	var out []float32
	colour.EachInDisc(d.X-float64(box.Min.X), d.Y-float64(box.Min.Y), d.Radius, m.W, m.H, func(x, y int) { out = append(out, m.At(x, y)) })
	return out, nil
}

// A sum adds up an item's figures over frames.
type sum struct {
	frames                       int
	judged                       bool
	area, edge, specks, holes    mean
	flicker, masked              mean
	rim, bleed, misfit, mismatch mean
	err                          error
}

type mean struct {
	sum float64
	n   int
}

func (m *mean) add(v float64) { m.sum, m.n = m.sum+v, m.n+1 }

// of returns the mean; nil of nothing.
func (m mean) of() *float64 {
	if m.n == 0 {
		return nil
	}
	v := m.sum / float64(m.n)
	return &v
}

func (s *sum) add(frame int, f frameFigures, err error) {
	if err != nil {
		s.err = errors.Join(s.err, fmt.Errorf("proof: frame %d: %w", frame, err))
		return
	}
	s.frames++
	s.area.add(f.Area)
	if f.Contour > 0 {
		s.edge.add(f.EdgeWidth)
	}
	s.specks.add(float64(f.Specks))
	s.holes.add(float64(f.Holes))
	if f.flicker != nil {
		s.flicker.add(*f.flicker)
	}
	if f.masked != nil {
		s.masked.add(*f.masked)
	}
	if f.seam == nil {
		return
	}
	s.mismatch.add(f.seam.EdgeMismatch)
	if f.graded {
		s.rim.add(f.seam.Rim)
		s.bleed.add(f.seam.Bleed)
		s.misfit.add(f.seam.Misfit)
	}
}

func (s *sum) figures() Figures {
	return Figures{
		Frames: s.frames, Judged: s.judged, Area: s.area.of(), EdgeWidth: s.edge.of(), Specks: s.specks.of(), Holes: s.holes.of(), Flicker: s.flicker.of(),
		Rim: s.rim.of(), Bleed: s.bleed.of(), Misfit: s.misfit.of(), EdgeMismatch: s.mismatch.of(), MaskedEdge: s.masked.of(), Err: s.err,
	}
}
