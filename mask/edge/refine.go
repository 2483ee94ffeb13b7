package edge

import "context"

// refineReach is how far, in pixels of the smaller ground, the edge may move at full size.
const refineReach = 3

// refine finds the edge at full size, in a band about the one that was found at a smaller
// one, s. What colours and depths say is taken from there; a link's cost is known better.
func (g *ground) refine(ctx context.Context, s *ground, tight bool) error {
	off := s.depth // has done its work
	signedDepths(off, s.found, s.w, s.h)
	n := s.factor
	g.says, g.prior, g.found = make([]int16, len(g.place)), make([]int16, len(g.place)), make([]bool, len(g.place))
	g.dabbed = make([]place, len(g.place))
	for y := range g.h {
		for x := range g.w {
			i, j := y*g.w+x, y/n*s.w+x/n
			if g.place[i] == offFrame {
				continue
			}
			g.place[i] = s.place[j]
			if !g.filled[i] && !tight {
				g.place[i] = sureOut
			}
			if g.place[i] != undecided {
				continue
			}
			g.found[i] = s.found[j]
			// There are n times as many pixels to a link of the edge as there.
			g.says[i] = int16((int(s.says[j]) + int(s.prior[j])) / n)
		}
	}
	g.link = g.links()
	return g.solve(ctx, func(i int) place {
		p := g.place[i]
		if p != undecided {
			return p
		}
		switch d := off[i/g.w/n*s.w+i%g.w/n]; {
		case d > refineReach:
			return sureIn
		case d < -refineReach:
			return sureOut
		}
		return undecided
	})
}
