package edge

import (
	"context"
	"image"
)

// Local models of colours.
const (
	localParts  = 3
	localMost   = 400 // colours that a side is learnt from
	localRounds = 2
	localRadius = 36  // half a window's side
	localEvery  = 24  // from a window to the next
	localOff    = 2   // on both sides of the cut, where colours are mixed
	localShare  = 0.6 // the rest is what all colours say
	bandReach   = 12  // on both sides of the first cut, where the second one is made
)

// second finds the edge once more in a band about the first one, by what the colours near
// each of its parts say.
func (g *ground) second(ctx context.Context) error {
	l := local{ground: g, off: make([]float32, len(g.place)), band: float32(bandReach * g.unit)}
	signedDepths(l.off, g.found, g.w, g.h)
	l.sum, l.weight = g.half, make([]float32, len(g.place)) // half has done its work
	clear(l.sum)
	for _, at := range l.windows() {
		if err := ctx.Err(); err != nil {
			return err
		}
		l.look(at)
	}
	for i, n := range l.weight {
		if n > 0 {
			g.says[i] = costOf((1-localShare)*float32(g.says[i])/costScale + localShare*l.sum[i]/n)
		}
	}
	return g.solve(ctx, l.inBand)
}

// local is what is known along the first cut.
type local struct {
	*ground
	off         []float32 // from the cut, in pixels; inside above 0
	band        float32
	sum, weight []float32 // what windows say of each pixel
	colours     [2][]vector
}

// inBand decides what lies off the band.
func (l *local) inBand(i int) place {
	switch p := l.place[i]; {
	case p != undecided || l.near(i):
		return p
	case l.off[i] > 0:
		return sureIn
	}
	return sureOut
}

func (l *local) near(i int) bool { return l.off[i] > -l.band && l.off[i] < l.band }

// windows returns the middles of windows along the cut: of each square of a grid, the pixel
// beside the cut that is nearest to the square's middle.
func (l *local) windows() (at []image.Point) {
	every := int(localEvery * l.unit)
	for y0 := 0; y0 < l.h; y0 += every {
		for x0 := 0; x0 < l.w; x0 += every {
			best, found := image.Point{}, 1<<30
			for y := y0; y < min(y0+every, l.h); y++ {
				for x := x0; x < min(x0+every, l.w); x++ {
					i := y*l.w + x
					dx, dy := x-x0-every/2, y-y0-every/2
					if d := dx*dx + dy*dy; d < found && l.off[i] > 0 && l.off[i] < 1 && l.place[i] != offFrame {
						best, found = image.Pt(x, y), d
					}
				}
			}
			if found < 1<<30 {
				at = append(at, best)
			}
		}
	}
	return at
}

// look learns the colours on both sides of the cut within a window, and adds what they say
// of the band's pixels in it, more in its middle.
func (l *local) look(at image.Point) {
	reach := int(localRadius * l.unit)
	in := image.Rect(at.X-reach, at.Y-reach, at.X+reach+1, at.Y+reach+1).Intersect(image.Rect(0, 0, l.w, l.h))
	sides := l.sides(in)
	if len(sides[0]) < 8*fewest || len(sides[1]) < 8*fewest {
		return
	}
	outside, inside := learn(sides[0], localParts, l.floor, localRounds), learn(sides[1], localParts, l.floor, localRounds)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		dy := float32(y-at.Y) / float32(reach+1)
		for x := in.Min.X; x < in.Max.X; x++ {
			i := y*l.w + x
			if l.place[i] != undecided || !l.near(i) {
				continue
			}
			dx := float32(x-at.X) / float32(reach+1)
			share := (1 - dx*dx) * (1 - dy*dy)
			l.sum[i] += share * float32(ratio(inside, outside, l.lab[i].vector()))
			l.weight[i] += share
		}
	}
}

// sides returns colours of a window outside and inside the cut, until it is called again.
func (l *local) sides(in image.Rectangle) [2][]vector {
	var counts, seen [2]int
	off := float32(localOff * l.unit)
	each := func(visit func(i, side int)) {
		for y := in.Min.Y; y < in.Max.Y; y++ {
			for i := y*l.w + in.Min.X; i < y*l.w+in.Max.X; i++ {
				switch d := l.off[i]; {
				case l.place[i] == offFrame:
				case d >= off:
					visit(i, 1)
				case d <= -off:
					visit(i, 0)
				}
			}
		}
	}
	each(func(_, side int) { counts[side]++ })
	l.colours[0], l.colours[1] = l.colours[0][:0], l.colours[1][:0]
	each(func(i, side int) {
		if seen[side]++; seen[side]%max(1, counts[side]/localMost) == 0 {
			l.colours[side] = append(l.colours[side], l.lab[i].vector())
		}
	})
	return l.colours
}
