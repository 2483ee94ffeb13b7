package seam

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"halocline/app/check"
	"halocline/colour"
)

// A Seam is how a picture itself crosses the outline of a matte. It is not changed by its
// methods, and keeps nothing of the planes.
type Seam struct {
	band    *band
	pieces  []colour.Segment
	picture []float64 // a
	weights []float64 // of the bins
	ends    [2]float64
	probes  []probe
}

// A NoneError says why a matte on a picture has no seam.
type NoneError struct{ Reason string }

func (e NoneError) Error() string { return "seam: there is none: " + e.Reason }

// New looks at shown, the picture after base that is graded, along the
// outline of matte, which is the matte before it is softened. frameWidth is the
// width of the whole frame in pixels of these planes, where they are a part of it;
// 0 = their own. Where there is no seam the error is a NoneError. Planes of
// different size and empty ones are errors.
func New(ctx context.Context, shown *colour.Image, matte colour.Plane, frameWidth float64, workers int) (*Seam, error) {
	if err := checkInput(shown, matte, frameWidth); err != nil {
		return nil, err
	}
	if frameWidth == 0 {
		frameWidth = float64(matte.W)
	}
	b := newBand(matte.W, matte.H, frameWidth)
	o := outlineOf(check.Clamped(matte), max(1, int(b.radius*b.radius/4)))
	if len(o.pieces) == 0 {
		return nil, NoneError{whyNoOutline(matte, o.matte)}
	}
	if err := b.collect(ctx, o, shown, workers); err != nil {
		return nil, fmt.Errorf("seam: %w", err)
	}
	if err := b.resolve(ctx, workers); err != nil {
		return nil, fmt.Errorf("seam: %w", err)
	}
	s := &Seam{band: b, pieces: o.pieces}
	if err := s.profile(); err != nil {
		return nil, err
	}
	s.probe(shown)
	return s, nil
}

func checkInput(shown *colour.Image, matte colour.Plane, frameWidth float64) error {
	w, h := shown.Size()
	switch {
	case len(matte.Pix) == 0:
		return errors.New("seam: the matte is empty")
	case w != matte.W || h != matte.H:
		return fmt.Errorf("seam: the matte is %d x %d, its picture %d x %d", matte.W, matte.H, w, h)
	case !(frameWidth == 0 || frameWidth >= float64(w)) || math.IsInf(frameWidth, 1):
		return fmt.Errorf("seam: the frame is %v px wide, want at least the %d of its part", frameWidth, w)
	}
	return nil
}

// whyNoOutline says why a matte has no outline; cleaned is the same matte without specks
// and pinholes.
func whyNoOutline(matte, cleaned colour.Plane) string {
	switch {
	case cleaned.Pix[0] >= colour.Half:
		return "the matte covers the whole frame"
	case slices.ContainsFunc(matte.Pix, func(v float32) bool { return v >= colour.Half }):
		return "the matte covers nothing but specks"
	}
	return "the matte is nowhere one half or more"
}

// leastEdge is how much of the way from the outer to the inner colour the picture
// must go across the outline for it to have an edge there.
const leastEdge = 0.25

// profile works out a(s).
func (s *Seam) profile() error {
	s.picture, s.weights = make([]float64, s.band.bins()), make([]float64, s.band.bins())
	for i := range s.band.strips {
		strip := &s.band.strips[i]
		for j, bin := range strip.bin {
			s.weights[bin] += float64(strip.weight[j])
			s.picture[bin] += float64(strip.weight[j]) * float64(strip.picture[j])
		}
	}
	for i, w := range s.weights {
		if w > 0 {
			s.picture[i] /= w
		}
	}
	inner, ok := s.end(0)
	outer, also := s.end(1)
	if !ok || !also {
		return NoneError{fmt.Sprintf("no part of the matte or of what is beside it is wider than %.0f px", 2*coloursFrom*s.band.radius)}
	}
	if inner-outer < leastEdge {
		return NoneError{"the picture shows no edge along the matte's"}
	}
	s.ends = [2]float64{inner, outer}
	for i := range s.picture {
		s.picture[i] = s.scaled(s.picture[i])
	}
	return nil
}

// between says where the picture is between its ends: 0 outside, 1 inside.
func (s *Seam) between(v float64) float64 { return (v - s.ends[1]) / (s.ends[0] - s.ends[1]) }

// scaled is between, clamped to [0,1].
func (s *Seam) scaled(v float64) float64 { return min(max(s.between(v), 0), 1) }

// end returns the mean of the picture's bins beyond R on one side; where there
// are none, for the thing is thin, of those that have local colours.
func (s *Seam) end(side int) (mean float64, ok bool) {
	for _, from := range []float64{s.band.radius, s.band.radius * coloursFrom} {
		sum, n := 0.0, 0
		for i, w := range s.weights {
			d := s.distance(i)
			if side == 0 {
				d = -d
			}
			if w > 0 && d > from {
				sum += s.picture[i]
				n++
			}
		}
		if n > 0 {
			return sum / float64(n), true
		}
	}
	return 0, false
}

// distance returns the middle of a bin in pixels, negative inside.
func (s *Seam) distance(bin int) float64 { return float64(bin-s.band.reach) + 0.5 }

// Figures say how a matte sits on a picture's edge under a grade.
type Figures struct {
	Rim          float64 `json:"rim"`          // CIEDE2000
	Bleed        float64 `json:"bleed"`        // CIEDE2000
	Misfit       float64 `json:"misfit"`       // CIEDE2000
	EdgeMismatch float64 `json:"edgeMismatch"` // rms(m - a), in [0,1]: misfit = A times it
}

// Judge returns the figures of a matte, at whatever softness, under a grade that
// changes the band by change: see Change. The matte must have the size of the
// Seam's planes; alphas outside [0,1] are clamped and what is not a number
// is 0.
func (s *Seam) Judge(ctx context.Context, matte colour.Plane, change float64, workers int) (Figures, error) {
	m, err := s.curve(ctx, matte, workers)
	if err != nil {
		return Figures{}, err
	}
	return s.figures(m, s.picture, s.weights, change), nil
}

// figures compares two curves where there are weights.
func (s *Seam) figures(matte, picture, weights []float64, change float64) (f Figures) {
	var harder, softer [2]float64
	var counted [2]float64
	for i, m := range matte {
		if !(weights[i] > 0) {
			continue
		}
		side, d := 0, m-picture[i]
		f.EdgeMismatch += d * d
		if i >= s.band.reach {
			side, d = 1, -d
		}
		counted[side]++
		harder[side] += max(0, d)
		softer[side] += max(0, -d)
	}
	if counted[0] == 0 || counted[1] == 0 {
		return Figures{}
	}
	f.EdgeMismatch = math.Sqrt(f.EdgeMismatch / (counted[0] + counted[1]))
	f.Rim = change * (harder[0]/counted[0] + harder[1]/counted[1])
	f.Bleed = change * (softer[0]/counted[0] + softer[1]/counted[1])
	f.Misfit = change * f.EdgeMismatch
	return f
}

// curve returns a matte's m(s) by bins; 0 where nothing lies so far from the outline.
func (s *Seam) curve(ctx context.Context, matte colour.Plane, workers int) ([]float64, error) {
	if err := s.fits(matte); err != nil {
		return nil, err
	}
	sums := make([][]float64, len(s.band.strips)) // summed in order, for any number of workers
	err := colour.EachStrip(ctx, workers, len(sums), 1, func(i, _ int) {
		strip, sum := &s.band.strips[i], make([]float64, s.band.bins())
		for j, pixel := range strip.pixel {
			sum[strip.bin[j]] += float64(strip.weight[j]) * float64(check.Alpha(matte.Pix[pixel]))
		}
		sums[i] = sum
	})
	if err != nil {
		return nil, fmt.Errorf("seam: %w", err)
	}
	m := make([]float64, s.band.bins())
	for _, sum := range sums {
		for i, v := range sum {
			m[i] += v
		}
	}
	for i, w := range s.weights {
		if w > 0 {
			m[i] /= w
		}
	}
	return m, nil
}

// fits says what is wrong with a matte's size.
func (s *Seam) fits(matte colour.Plane) error {
	if matte.W == s.band.w && matte.H == s.band.h {
		return nil
	}
	return fmt.Errorf("seam: the matte is %d x %d, its seam's picture %d x %d", matte.W, matte.H, s.band.w, s.band.h)
}
