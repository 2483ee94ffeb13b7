package edge

import (
	"context"
	"slices"
)

// Parts in dispute.
const (
	gapShare  = 0.6 // see belongsOutside
	fewLinks  = 8   // of a border: it says nothing
	leastPart = 12  // pixels: smaller parts stay inside
)

// dispute mends a cut whose outline spans a gap. What shows through the gap was learnt as
// if it were inside. So the edge is found once more by colours that are unlike those about
// the outline, and each part that the first cut alone keeps is judged by its border.
func (g *ground) dispute(ctx context.Context, inside, outside mixture) error {
	kept, says := slices.Clone(g.found), slices.Clone(g.says)
	if err := g.weigh(ctx, inside, outside); err != nil {
		return err
	}
	if err := g.solve(ctx, g.given); err != nil {
		return err
	}
	usual := g.meanLink(kept)
	some := false
	left := make([]bool, len(kept)) // parts that were judged
	for i := range kept {
		if !kept[i] || g.found[i] || left[i] {
			continue
		}
		p := g.part(i, kept, left)
		if p.belongsOutside(usual) {
			some = true
			continue
		}
		for _, j := range p.pixels {
			g.found[j] = true
		}
	}
	for i, is := range kept {
		g.found[i] = g.found[i] && is
	}
	if !some {
		g.says = says
	}
	return nil
}

// A part is what one cut keeps and the next does not, in one piece.
type part struct {
	pixels      []int
	cost, links [2]float64 // of its border towards what both leave out, and what both keep
	dab         place      // that touches it; offFrame for none
}

// part gathers the part about a pixel, and marks it.
func (g *ground) part(start int, kept, left []bool) (p part) {
	left[start] = true
	p.pixels = []int{start}
	for n := 0; n < len(p.pixels); n++ {
		i := p.pixels[n]
		g.beside(i, func(j int) {
			switch {
			case g.dabbed[j] != offFrame:
				p.dab = g.dabbed[j]
			case kept[j] && !g.found[j]:
				if !left[j] {
					left[j] = true
					p.pixels = append(p.pixels, j)
				}
			case left[j]: // given back to what is kept
			case kept[j]:
				p.cost[1] += float64(g.between(i, j))
				p.links[1]++
			default:
				p.cost[0] += float64(g.between(i, j))
				p.links[0]++
			}
		})
	}
	return p
}

// beside calls visit for a pixel's four neighbours that lie in the frame.
func (g *ground) beside(i int, visit func(j int)) {
	x, y := i%g.w, i/g.w
	if x > 0 && g.place[i-1] != offFrame {
		visit(i - 1)
	}
	if x < g.w-1 && g.place[i+1] != offFrame {
		visit(i + 1)
	}
	if y > 0 && g.place[i-g.w] != offFrame {
		visit(i - g.w)
	}
	if y < g.h-1 && g.place[i+g.w] != offFrame {
		visit(i + g.w)
	}
}

// belongsOutside judges a part by which of its borders is the better edge, of the lesser
// mean cost. A gap lies between limbs, so that most of its border is towards what is kept:
// the more of it, the less must that edge be the better one. Where it has no border
// outside, the usual cost of the cut is its measure. A dab that touches it decides.
func (p *part) belongsOutside(usual float64) bool {
	switch {
	case p.dab != offFrame:
		return p.dab == sureOut
	case len(p.pixels) < leastPart || p.links[1] == 0:
		return false
	}
	outer := usual
	if p.links[0] >= fewLinks {
		outer = p.cost[0] / p.links[0]
	}
	return p.cost[1]/p.links[1] <= gapShare*outer*p.links[1]/max(p.links[0], 1)
}

// meanLink is the mean cost of what a cut cuts, off the outline.
func (g *ground) meanLink(kept []bool) float64 {
	sum, n := 0., 0.
	for i, in := range kept {
		if !in || g.place[i] != undecided {
			continue
		}
		g.beside(i, func(j int) {
			if !kept[j] && g.place[j] == undecided {
				sum += float64(g.between(i, j))
				n++
			}
		})
	}
	return sum / max(n, 1)
}
