package edge

import (
	"context"

	"halocline/colour"
	"halocline/mask"
)

// What the place below the outline counts, in units of the logarithm of a ratio of
// likelihoods, and lengths.
const (
	depthMost  = 2   // at most
	tightMost  = 1.5 // at most, for a tight outline
	tightReach = 10  // on both sides of a tight outline
	narrow     = 0.4 // of the half width of what is drawn: no edge is expected deeper
)

// outline decides what the outline and the dabs decide, and works out depths and what they
// say.
func (g *ground) outline(ctx context.Context, s mask.Shape, how mask.Search) error {
	if err := g.fill(ctx, s); err != nil {
		return err
	}
	n := len(g.filled)
	g.depth, g.half, g.prior = make([]float32, n), make([]float32, n), make([]int16, n)
	signedDepths(g.depth, g.filled, g.w, g.h)
	for i, d := range g.depth {
		g.half[i] = max(d, 0)
	}
	depth := how.Depth / float64(g.factor)
	widest(g.half, g.w, g.h, int(2*depth+0.5))
	if how.Tight {
		g.expectOnLine(tightReach)
	} else {
		g.expectAt(float32(depth))
	}
	g.dab(how.Dabs)
	return nil
}

// fill notes which pixels the outline fills.
func (g *ground) fill(ctx context.Context, s mask.Shape) error {
	var cover colour.Plane
	region := mask.Region{X0: g.area.Min.X, Y0: g.area.Min.Y, X1: g.area.Max.X, Y1: g.area.Max.Y, Factor: g.factor}
	if err := s.Draw(ctx, &cover, region, 1); err != nil {
		return err
	}
	g.filled = make([]bool, len(cover.Pix))
	for i, v := range cover.Pix {
		g.filled[i] = v >= 0.5
	}
	return nil
}

// expectAt expects the edge at half a depth below the outline, less deep where what is
// drawn is narrow.
func (g *ground) expectAt(depth float32) {
	for i, d := range g.depth {
		switch {
		case g.place[i] == offFrame:
		case d <= 0:
			g.place[i] = sureOut
		default:
			z := min(depth/2, narrow*g.half[i])
			g.prior[i] = costOf(depthMost * min(max(d/z-1, -1), 1))
		}
	}
}

// expectOnLine expects the edge on the line, and looks so many lengths to both sides of it.
func (g *ground) expectOnLine(lengths float64) {
	reach := float32(lengths * g.unit)
	for i, d := range g.depth {
		switch {
		case g.place[i] == offFrame:
		case d < -reach:
			g.place[i] = sureOut
		case d > reach:
			g.place[i] = sureIn
		default:
			g.prior[i] = costOf(tightMost * d / reach)
		}
	}
}

// dab decides what dabs cover, as far as the outline lets it be inside.
func (g *ground) dab(dabs []mask.Dab) {
	g.dabbed = make([]place, len(g.place))
	n := float64(g.factor)
	for _, d := range dabs {
		is := sureOut
		if d.Inside {
			is = sureIn
		}
		x, y := (d.X-float64(g.area.Min.X))/n, (d.Y-float64(g.area.Min.Y))/n
		colour.EachInDisc(x, y, d.Radius/n, g.w, g.h, func(x, y int) {
			if i := y*g.w + x; g.place[i] == undecided || g.place[i] == sureIn || g.dabbed[i] != offFrame {
				g.place[i], g.dabbed[i] = is, is
			}
		})
	}
}
