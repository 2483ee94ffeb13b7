package selection

import (
	"context"
	"math"

	"halocline/colour"
	"halocline/colour/guided"
)

// An Edge says how a matte's edge is treated (Stages says in which order). All
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
	longest      = guided.MaxRadius // px
	hardest      = 0.99
	neutralAbout = 0.5
)

// NeutralEdge changes nothing.
func NeutralEdge() Edge { return Edge{About: neutralAbout} }

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
// one. The zero value is ready. It serves one call at a time.
//
// takesPart has the weights of a matte's masks: a pixel where it is above 0
// takes part, the others neither lend their alpha nor change; nil means that
// all take part. What lies outside the planes takes no part either. guide, of
// src's size, is the picture to align to; it may be nil where nothing is
// aligned. Every method makes dst the size of src, writes all of it and returns
// ctx's error; dst must not be src. A sample of src that is not in [0,1] counts
// as the nearer end, one that is not a number as 0; so results are in [0,1].
type Treatment struct {
	between   [2]colour.Plane // what one stage of Apply hands to the next
	despeckle despeckler
	align     aligner
	grow      grower
	soft      softener
}

// Apply treats src by e's stages in their order. factor is the number of source
// pixels along one pixel of src.
func (t *Treatment) Apply(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, takesPart *colour.Plane, e Edge, factor float64, workers int) error {
	stages := e.Scaled(factor).Stages()
	in := newDomain(takesPart, src)
	if len(stages) == 0 {
		return tidy(ctx, dst, src, workers)
	}
	for i, stage := range stages {
		next := dst
		if i < len(stages)-1 {
			next = &t.between[i%2]
		}
		if err := t.run(ctx, next, src, guide, in, stage, workers); err != nil {
			return err
		}
		src = next
	}
	return nil
}

// Run treats src by one of the stages that Edge.Stages returns.
func (t *Treatment) Run(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, takesPart *colour.Plane, stage EdgeStage, workers int) error {
	return t.run(ctx, dst, src, guide, newDomain(takesPart, src), stage, workers)
}
