package selection

import (
	"context"
	"math"

	"halocline/colour"
)

// An Edge says how a matte's edge is treated, in the order of its fields. All
// lengths are in source pixels. Numbers that are not finite or below what is
// said here count as neutral, larger ones as the largest.
type Edge struct {
	Despeckle float64 // px of area below which specks and pinholes go; 0 is neutral
	Align     float64 // px, radius within which the matte is aligned to the picture; 0 is neutral; at most 1000
	Harden    float64 // [0,0.99], 0 is neutral
	About     float64 // [0,1], the alpha that hardening turns into one half; 0.5 is neutral
	Grow      float64 // px outward, inward where negative; 0 is neutral; at most 1000 either way
	Soften    float64 // px, sigma; 0 is neutral; at most 1000
}

// Ends of the settings.
const (
	longest      = 1000 // px: keeps the exact sums of align within 64 bits
	hardest      = 0.99
	neutralAbout = 0.5
)

// NeutralEdge changes nothing.
func NeutralEdge() Edge { return Edge{About: neutralAbout} }

// IsNeutral reports whether e changes nothing.
func (e Edge) IsNeutral() bool {
	n := e.Scaled(1)
	return !n.hardens() && n == Edge{Harden: n.Harden, About: n.About}
}

func (e Edge) hardens() bool { return e.Harden != 0 || e.About != neutralAbout }

// Scaled returns e in the pixels of a proxy that has one pixel for factor x
// factor of the source, every number within its limits.
func (e Edge) Scaled(factor float64) Edge {
	if !(factor > 0) || math.IsInf(factor, 1) {
		panic("selection: a proxy's factor must be above 0")
	}
	out := Edge{
		Despeckle: limited(e.Despeckle/(factor*factor), 0, 1e9),
		Align:     limited(e.Align/factor, 0, longest),
		Harden:    limited(e.Harden, 0, hardest),
		About:     neutralAbout,
		Grow:      limited(e.Grow/factor, -longest, longest),
		Soften:    limited(e.Soften/factor, 0, longest),
	}
	if !math.IsNaN(e.About) {
		out.About = limited(e.About, 0, 1)
	}
	return out
}

// limited clamps v to [lo,hi]; what is not a number is 0.
func limited(v, lo, hi float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return min(max(v, lo), hi)
}

// RegionGrid is where regions begin: see Reach.
const RegionGrid = 64

// Reach returns how many pixels of a proxy around a region its treatment
// reads. A part of a frame may be treated alone: where it begins at multiples of
// RegionGrid, and has Reach pixels around the wanted region or ends where
// the frame does, the region has the bits that it has in the treated frame.
func (e Edge) Reach(factor float64) int {
	n := e.Scaled(factor)
	return despeckleReach(n.Despeckle) + alignReach(n.Align) + growReach(n.Grow) + softenReach(n.Soften)
}

// A Treatment treats the edges of mattes and keeps its buffers for the next
// one. The zero value is ready. It serves one call at a time. Its methods take
// lengths in the pixels of their planes.
//
// takesPart has the weights of a matte's masks: a pixel where it is above 0
// takes part, the others neither lend their alpha nor change; nil means that
// all take part. What lies outside the planes takes no part either. Every
// method makes dst the size of src, writes all of it and returns ctx's error;
// dst must not be src. A sample of src that is not in [0,1] counts as the
// nearer end, one that is not a number as 0; so results are in [0,1].
type Treatment struct {
	between   [2]colour.Plane // what one stage of Apply hands to the next
	despeckle despeckler
	align     aligner
	grow      grower
	soft      softener
}

// Apply treats src by e's stages in their order: despeckle, align, harden, grow,
// soften. guide, of src's size, is the picture to align to; it may be nil where
// e does not align. factor is the number of source pixels along one pixel of src.
func (t *Treatment) Apply(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, takesPart *colour.Plane, e Edge, factor float64, workers int) error {
	e = e.Scaled(factor)
	in := newDomain(takesPart, src)
	var stages []func(dst, src *colour.Plane) error
	add := func(needed bool, stage func(dst, src *colour.Plane) error) {
		if needed {
			stages = append(stages, stage)
		}
	}
	add(despeckles(e.Despeckle), func(dst, src *colour.Plane) error {
		return t.despeckle.run(ctx, dst, src, in, e.Despeckle, workers)
	})
	add(e.Align > 0, func(dst, src *colour.Plane) error {
		return t.align.run(ctx, dst, src, guide, in, e.Align, workers)
	})
	add(e.hardens(), func(dst, src *colour.Plane) error { return harden(ctx, dst, src, e, workers) })
	add(e.Grow != 0, func(dst, src *colour.Plane) error {
		return t.grow.run(ctx, dst, src, in, e.Grow, workers)
	})
	add(softens(e.Soften), func(dst, src *colour.Plane) error {
		return t.soft.run(ctx, dst, src, in, e.Soften, workers)
	})
	if len(stages) == 0 {
		return tidy(ctx, dst, src, workers)
	}
	for i, stage := range stages {
		next := dst
		if i < len(stages)-1 {
			next = &t.between[i%2]
		}
		if err := stage(next, src); err != nil {
			return err
		}
		src = next
	}
	return nil
}

// Despeckle is Apply's first stage alone. Components of alpha > 0.1 of less than
// areaPx pixels go to 0, then components of alpha < 0.9 of less go to 1; one of
// between once and twice areaPx goes in part, so that nothing pops in time as
// it grows. The result is the mean of what plain removal gives, taken over all
// limits from areaPx to 2 areaPx. Pixels are connected through their four
// sides; what has nothing beside it (a component that is all that takes part)
// stays. Edges do not move. areaPx need not be a whole number; up to 0.5
// nothing is small enough to go.
func (t *Treatment) Despeckle(ctx context.Context, dst, src, takesPart *colour.Plane, areaPx float64, workers int) error {
	e := Edge{Despeckle: areaPx, About: neutralAbout}
	return t.Apply(ctx, dst, src, nil, takesPart, e, 1, workers)
}

// Align is Apply's second stage alone: the guided filter with a colour guide
// (K. He, J. Sun, X. Tang, "Guided Image Filtering", IEEE TPAMI 35(6), 2013,
// eqs. 19 to 21), eps = 0.02^2, windows clipped at the border, the result clamped
// to [0,1]. A radius between two whole numbers gives the outermost pixels of a
// window that share of a weight.
func (t *Treatment) Align(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, takesPart *colour.Plane, radiusPx float64, workers int) error {
	e := Edge{Align: radiusPx, About: neutralAbout}
	return t.Apply(ctx, dst, src, guide, takesPart, e, 1, workers)
}

// Harden is Apply's third stage alone: clamp(0.5 + (alpha - about) / (1 - hardness)).
func (t *Treatment) Harden(ctx context.Context, dst, src *colour.Plane, hardness, about float64, workers int) error {
	return t.Apply(ctx, dst, src, nil, nil, Edge{Harden: hardness, About: about}, 1, workers)
}

// Grow is Apply's fourth stage alone: the largest alpha within a disc of
// radiusPx (grey dilation; J. Serra, "Image Analysis and Mathematical
// Morphology", 1982), for a negative radius the smallest (erosion). The disc of
// a whole radius has the pixels whose centres are no farther; between two
// whole radii their results are blended.
func (t *Treatment) Grow(ctx context.Context, dst, src, takesPart *colour.Plane, radiusPx float64, workers int) error {
	e := Edge{Grow: radiusPx, About: neutralAbout}
	return t.Apply(ctx, dst, src, nil, takesPart, e, 1, workers)
}

// Soften is Apply's last stage alone: the mean under a Gaussian of sigmaPx cut
// at 4 sigma, over what takes part. From sigma 4 on it works on squares of
// pixels, within 0.0015 of that formula, 0.004 where what takes part is no more
// than single pixels far apart.
func (t *Treatment) Soften(ctx context.Context, dst, src, takesPart *colour.Plane, sigmaPx float64, workers int) error {
	e := Edge{Soften: sigmaPx, About: neutralAbout}
	return t.Apply(ctx, dst, src, nil, takesPart, e, 1, workers)
}
