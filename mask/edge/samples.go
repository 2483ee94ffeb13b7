package edge

import "slices"

// dabShare is what the colours of dabs count, of those that the outline tells. A larger share
// lets a dab change the edge far from it: at 0.3 two dabs made one of five open pictures
// worse (IoU .61 to .51; at 0.1 better, .67), and the demo's volunteer better by .01.
const dabShare = 0.1

// Shares of colours outside that are the least likely ones: a colour inside that is likelier
// is alike.
const alikeOut, alikeDab = 0.25, 0.1

// Shares of the colours inside that are unlike those about the outline: above the one there
// is no gap, below the other the subject itself is like what lies about it.
const leastUnlike, mostUnlike = 0.1, 0.97

// samples are colours inside and outside: those of the deeper half of what is drawn, those of
// the ring about it, and those of dabs.
type samples struct{ in, out, dabbedIn, dabbedOut []vector }

func (g *ground) samples() (all samples) {
	to := [2]*[]vector{&all.out, &all.in}
	g.thinned(g.sampled, func(i, side int) { *to[side] = append(*to[side], g.lab[i].vector()) })
	for i, is := range g.dabbed {
		switch is {
		case sureIn:
			all.dabbedIn = append(all.dabbedIn, g.lab[i].vector())
		case sureOut:
			all.dabbedOut = append(all.dabbedOut, g.lab[i].vector())
		}
	}
	return all
}

// thinned visits the pixels that belong to a side, 0 or 1, evenly thinned out: of many about
// globalMost on each.
func (g *ground) thinned(of func(i int) (side int, ok bool), visit func(i, side int)) {
	var counts, seen [2]int
	for i := range g.lab {
		if side, ok := of(i); ok {
			counts[side]++
		}
	}
	for i := range g.lab {
		if side, ok := of(i); ok {
			if seen[side]++; seen[side]%max(1, counts[side]/globalMost) == 0 {
				visit(i, side)
			}
		}
	}
}

// stressed is colours with those of dabs, as often as makes them count dabShare of the others.
func stressed(colours, dabbed []vector) []vector {
	if len(dabbed) == 0 {
		return colours
	}
	all := slices.Clone(colours)
	for float64(len(all)-len(colours)) < dabShare*float64(len(colours)) {
		all = append(all, dabbed...)
	}
	return all
}

// sampled tells whether a pixel's colour is learnt, and on which side: 1 is inside.
func (g *ground) sampled(i int) (side int, ok bool) {
	d := g.depth[i]
	switch {
	case g.place[i] == offFrame || g.dabbed[i] != offFrame:
		return 0, false
	case d > 0:
		return 1, 2*d >= g.half[i]
	}
	return 0, g.place[i] == sureOut && -d <= float32(ringWidth*g.unit)
}

// unlike returns the colours inside that are unlike those about the outline, and unlike those
// of dabs outside.
func (g *ground) unlike(of samples) []vector {
	less := of.in
	for _, c := range []struct {
		colours []vector
		alike   float64
	}{{of.out, alikeOut}, {of.dabbedOut, alikeDab}} {
		if len(c.colours) >= fewest {
			less = without(less, c.colours, learn(c.colours, globalParts, g.floor, rounds), c.alike)
		}
	}
	return less
}

// without returns the colours that are less likely by a model than a share of those that it
// was learnt from.
func without(colours, from []vector, model mixture, share float64) (less []vector) {
	logs := make([]float64, len(from))
	for i, c := range from {
		logs[i] = model.log(c)
	}
	slices.Sort(logs)
	usual := logs[int(share*float64(len(logs)))]
	for _, c := range colours {
		if model.log(c) < usual {
			less = append(less, c)
		}
	}
	return less
}
