package selection

import (
	"context"

	"halocline/colour"
)

// The names of an edge treatment's stages.
const (
	// Despeckle takes components of alpha > 0.1 of less than so many pixels to 0,
	// then components of alpha < 0.9 of less to 1; one of between once and twice
	// the area goes in part, so that nothing pops in time as it grows. The result
	// is the mean of what plain removal gives, taken over all limits from the area
	// to twice the area. Pixels are connected through their four sides; what has
	// nothing beside it (a component that is all that takes part) stays. Edges do
	// not move. The area need not be a whole number; up to 0.5 nothing is small
	// enough to go.
	Despeckle = "despeckle"

	// Align is the guided filter with a colour guide (K. He, J. Sun, X. Tang,
	// "Guided Image Filtering", IEEE TPAMI 35(6), 2013, eqs. 19 to 21),
	// eps = 0.02^2, windows clipped at the border, the result clamped to [0,1]. A
	// radius between two whole numbers gives the outermost pixels of a window that
	// share of a weight.
	Align = "align"

	// Harden is clamp(0.5 + (alpha - about) / (1 - harden)).
	Harden = "harden"

	// Grow takes the largest alpha within a disc (grey dilation; J. Serra, "Image
	// Analysis and Mathematical Morphology", 1982), for a negative radius the
	// smallest (erosion). The disc of a whole radius has the pixels whose centres
	// are no farther; between two whole radii their results are blended.
	Grow = "grow"

	// Soften is the mean under a Gaussian cut at 4 sigma, over what takes part.
	// From sigma 4 on it works on squares of pixels, within 0.0015 of that
	// formula, 0.004 where what takes part is no more than single pixels far apart.
	Soften = "soften"
)

// An EdgeStage is one stage of an edge treatment.
type EdgeStage struct {
	Name string
	Edge Edge // with all that the stage does not depend on neutral
}

// Stages returns the stages of e that change something, in the order in which
// they run. e's lengths are in pixels of the planes that are treated: see Scaled.
func (e Edge) Stages() []EdgeStage {
	e = e.Scaled(1)
	var all []EdgeStage
	for _, s := range [...]struct {
		EdgeStage
		changes bool
	}{
		{EdgeStage{Despeckle, Edge{Despeckle: e.Despeckle, About: neutralAbout}}, despeckles(e.Despeckle)},
		{EdgeStage{Align, Edge{Align: e.Align, About: neutralAbout}}, e.Align > 0},
		{EdgeStage{Harden, Edge{Harden: e.Harden, About: e.About}}, e.Harden != 0 || e.About != neutralAbout},
		{EdgeStage{Grow, Edge{Grow: e.Grow, About: neutralAbout}}, e.Grow != 0},
		{EdgeStage{Soften, Edge{Soften: e.Soften, About: neutralAbout}}, softens(e.Soften)},
	} {
		if s.changes {
			all = append(all, s.EdgeStage)
		}
	}
	return all
}

// OnPick reports whether the stage treats the pick alone, before masks cut it. The others
// treat the matte that is handed on, so that they reach the edges of masks too.
func (s EdgeStage) OnPick() bool { return s.Name != Grow && s.Name != Soften }

// ReadsGuide reports whether the stage reads the picture to align to.
func (s EdgeStage) ReadsGuide() bool { return s.Name == Align }

func (t *Treatment) run(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, in domain, s EdgeStage, workers int) error {
	switch s.Name {
	case Despeckle:
		return t.despeckle.run(ctx, dst, src, in, s.Edge.Despeckle, workers)
	case Align:
		return t.align.run(ctx, dst, src, guide, in, s.Edge.Align, workers)
	case Harden:
		return harden(ctx, dst, src, s.Edge, workers)
	case Grow:
		return t.grow.run(ctx, dst, src, in, s.Edge.Grow, workers)
	case Soften:
		return t.soft.run(ctx, dst, src, in, s.Edge.Soften, workers)
	}
	panic("selection: an edge stage that Stages does not name")
}
