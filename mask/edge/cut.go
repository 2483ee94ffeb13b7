package edge

import (
	"context"
	"image"
	"math"
	"sync"

	"halocline/colour"
)

// Costs, in units of the logarithm of a ratio of likelihoods.
const (
	colourMost = 5   // that the colour counts
	costScale  = 256 // whole numbers to a unit
)

// A manner is how much things count in a search.
type manner struct {
	contrast   float64 // to cut between neighbours of one colour, in units as above
	localShare float32 // of what colours nearby say; the rest is what all colours say
	bandReach  float32 // on both sides of the first cut, where the second one is made, in lengths
}

var usual = manner{contrast: 30, localShare: 0.6, bandReach: 12}

func costOf(v float32) int16 { return int16(math.Round(float64(v) * costScale)) }

// Models of colours.
const (
	globalParts = 5
	globalMost  = 2400 // colours that a side is learnt from
	ringWidth   = 40   // of the ground about the outline whose colours are learnt
	rounds      = 4    // of making a model better
	floorShare  = 0.015
	floorLeast  = 0.05 // squares of CIELAB units
	floorMost   = 8
)

// first finds the edge by what the colours about the outline and deep inside of it say.
func (g *ground) first(ctx context.Context) error {
	of := g.samples()
	g.says, g.found = make([]int16, len(g.place)), make([]bool, len(g.place))
	g.floor = min(max(floorShare*g.spread(), floorLeast), floorMost)
	g.link = g.links()
	in, out := stressed(of.in, of.dabbedIn), stressed(of.out, of.dabbedOut)
	if len(in) < fewest || len(out) < fewest {
		return g.solve(ctx, g.given)
	}
	outside := learn(out, globalParts, g.floor, rounds)
	g.inside, g.outside = learn(in, globalParts, g.floor, rounds), outside
	if err := g.weigh(ctx, g.inside, outside); err != nil {
		return err
	}
	if err := g.solve(ctx, g.given); err != nil {
		return err
	}
	less := g.unlike(of)
	if share := float64(len(less)) / float64(len(of.in)); share > mostUnlike || share < leastUnlike {
		return nil
	}
	return g.dispute(ctx, learn(stressed(less, of.dabbedIn), globalParts, g.floor, rounds), outside)
}

func (g *ground) given(i int) place { return g.place[i] }

// spread is the sum of the variances of L*, a* and b*.
func (g *ground) spread() (sum float64) {
	var n float64
	var s, q vector
	for i, p := range g.place {
		if p == offFrame {
			continue
		}
		n++
		for k, v := range g.lab[i].vector() {
			s[k] += v
			q[k] += v * v
		}
	}
	for k := range s {
		sum += max(0, q[k]/n-s[k]/n*(s[k]/n))
	}
	return sum
}

// weigh works out what the colours say.
func (g *ground) weigh(ctx context.Context, inside, outside mixture) error {
	return colour.EachBand(ctx, g.workers, g.h, func(y0, y1 int) {
		for i := y0 * g.w; i < y1*g.w; i++ {
			if g.place[i] == undecided {
				g.says[i] = costOf(float32(ratio(inside, outside, g.lab[i].vector())))
			}
		}
	})
}

// ratio is the logarithm of how much likelier a colour is inside, within colourMost.
func ratio(inside, outside mixture, c vector) float64 {
	return min(max(inside.log(c)-outside.log(c), -colourMost), colourMost)
}

// links are what it costs to cut between neighbours, by the square of their difference.
type links struct {
	scale float32
	cost  [384]uint16
}

const linkGrain = 32 // steps to a unit of the exponent

func (g *ground) links() (l links) {
	sum, n := 0., 0.
	for y := range g.h - 1 {
		for x := range g.w - 1 {
			i := y*g.w + x
			if g.place[i] != offFrame && g.place[i+1] != offFrame && g.place[i+g.w] != offFrame {
				sum += float64(g.square(i, i+1)) + float64(g.square(i, i+g.w))
				n += 2
			}
		}
	}
	mean := max(1e-3, sum/max(n, 1))
	l.scale = float32(linkGrain / (2 * mean))
	for k := range l.cost {
		l.cost[k] = uint16(math.Round(g.contrast * costScale * math.Exp(-float64(k)/linkGrain)))
	}
	return l
}

func (g *ground) square(i, j int) float32 {
	a, b := &g.lab[i], &g.lab[j]
	l, m, n := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return l*l + m*m + n*n
}

// between is what a cut between neighbours costs.
func (g *ground) between(i, j int) uint16 {
	return g.link.cost[int(min(g.square(i, j)*g.link.scale+0.5, float32(len(g.link.cost)-1)))]
}

// slanted is a cost over the root of 2, the distance of neighbours across a corner.
func slanted(cost uint16) uint16 { return uint16(uint32(cost) * 46341 >> 16) }

// networks keeps the memory of networks, which is the largest.
var networks = sync.Pool{New: func() any { return new(network) }}

// solve finds the cut among the pixels that are undecided.
func (g *ground) solve(ctx context.Context, place func(i int) place) error {
	net := networks.Get().(*network)
	defer networks.Put(net)
	net.reset(g.boxOf(place))
	for y := net.box.Min.Y; y < net.box.Max.Y; y++ {
		for x := net.box.Min.X; x < net.box.Max.X; x++ {
			if place(y*g.w+x) == undecided {
				g.join(net, x, y, place)
			}
		}
	}
	if err := net.cut(ctx); err != nil {
		return err
	}
	for y := range g.h {
		for x := range g.w {
			i := y*g.w + x
			p := place(i)
			g.found[i] = p == sureIn || p == undecided && net.isInside(net.index(x, y))
		}
	}
	return nil
}

// boxOf is the box of the pixels that are undecided.
func (g *ground) boxOf(place func(i int) place) (box image.Rectangle) {
	for y := range g.h {
		for x := range g.w {
			if place(y*g.w+x) == undecided {
				box = box.Union(image.Rect(x, y, x+1, y+1))
			}
		}
	}
	return box
}

// join puts a pixel into the network, linked to its neighbours.
func (g *ground) join(net *network, x, y int, place func(i int) place) {
	i := y*g.w + x
	at := net.index(x, y)
	net.prefer(at, int32(g.says[i])+int32(g.prior[i]))
	for d, step := range [8]image.Point{{-1, -1}, {0, -1}, {1, -1}, {-1, 0}, {1, 0}, {-1, 1}, {0, 1}, {1, 1}} {
		nx, ny := x+step.X, y+step.Y
		if nx < 0 || ny < 0 || nx >= g.w || ny >= g.h {
			continue
		}
		j := ny*g.w + nx
		p := place(j)
		if p == offFrame || p == undecided && d < 4 {
			continue
		}
		cost := g.between(i, j)
		if step.X != 0 && step.Y != 0 {
			cost = slanted(cost)
		}
		switch p {
		case undecided:
			net.link(at, d, cost)
		case sureIn:
			net.prefer(at, int32(cost))
		case sureOut:
			net.prefer(at, -int32(cost))
		}
	}
}
