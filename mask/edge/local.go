package edge

import (
	"context"
	"image"
	"slices"

	"halocline/colour"
)

// Local models of colours.
const (
	localParts  = 3
	localMost   = 400 // colours that a side is learnt from
	localRounds = 2
	localRadius = 36 // half a window's side
	localEvery  = 24 // from a window to the next
	localOff    = 2  // on both sides of the cut, where colours are mixed
)

// second finds the edge once more in a band about the first one, by what the colours near
// each of its parts say.
func (g *ground) second(ctx context.Context) error {
	l := local{ground: g, off: make([]float32, len(g.place)), band: g.bandReach * float32(g.unit)}
	signedDepths(l.off, g.found, g.w, g.h)
	l.sum, l.weight = g.half, make([]float32, len(g.place)) // half has done its work
	clear(l.sum)
	if err := l.lookAll(ctx); err != nil {
		return err
	}
	for i, n := range l.weight {
		if n > 0 {
			g.says[i] = costOf((1-g.localShare)*float32(g.says[i])/costScale + g.localShare*l.sum[i]/n)
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

// lookAll adds what the windows say, in their order, so that sums are the same for any
// number of workers.
func (l *local) lookAll(ctx context.Context) error {
	all := l.windows()
	views := make([]view, min(len(all), viewsAtOnce))
	for len(all) > 0 {
		n := min(len(all), len(views))
		err := colour.EachStrip(ctx, l.workers, n, 1, func(i, _ int) { views[i].look(l, all[i]) })
		if err != nil {
			return err
		}
		for i := range views[:n] {
			views[i].add(l)
		}
		all = all[n:]
	}
	return nil
}

// viewsAtOnce is how many windows are kept before they are added.
const viewsAtOnce = 8

// A view is what one window says.
type view struct {
	middle  image.Point
	reach   int
	in      image.Rectangle
	colours [2][]vector
	says    []float32 // of the pixels of in
	known   bool
}

// look learns the colours on both sides of the cut within a window, and what they say of the
// band's pixels in it.
func (v *view) look(l *local, at image.Point) {
	v.middle, v.reach = at, int(localRadius*l.unit)
	v.in = image.Rect(at.X-v.reach, at.Y-v.reach, at.X+v.reach+1, at.Y+v.reach+1).Intersect(image.Rect(0, 0, l.w, l.h))
	v.readSides(l)
	v.known = len(v.colours[0]) >= 8*fewest && len(v.colours[1]) >= 8*fewest
	if !v.known {
		return
	}
	outside, inside := learn(v.colours[0], localParts, l.floor, localRounds), learn(v.colours[1], localParts, l.floor, localRounds)
	v.says = slices.Grow(v.says[:0], v.in.Dx()*v.in.Dy())[:v.in.Dx()*v.in.Dy()]
	v.each(l, func(i, k, _, _ int) { v.says[k] = float32(ratio(inside, outside, l.lab[i].vector())) })
}

// add adds what the window says, more in its middle.
func (v *view) add(l *local) {
	if !v.known {
		return
	}
	wide := float32(v.reach + 1)
	v.each(l, func(i, k, x, y int) {
		dx, dy := float32(x-v.middle.X)/wide, float32(y-v.middle.Y)/wide
		share := (1 - dx*dx) * (1 - dy*dy)
		l.sum[i] += share * v.says[k]
		l.weight[i] += share
	})
}

// each visits the band's pixels in the window, by their places in the ground and in it.
func (v *view) each(l *local, visit func(i, k, x, y int)) {
	k := 0
	for y := v.in.Min.Y; y < v.in.Max.Y; y++ {
		for x := v.in.Min.X; x < v.in.Max.X; x++ {
			if i := y*l.w + x; l.place[i] == undecided && l.near(i) {
				visit(i, k, x, y)
			}
			k++
		}
	}
}

// readSides reads colours of the window outside and inside the cut.
func (v *view) readSides(l *local) {
	var counts, seen [2]int
	off := float32(localOff * l.unit)
	each := func(visit func(i, side int)) {
		for y := v.in.Min.Y; y < v.in.Max.Y; y++ {
			for i := y*l.w + v.in.Min.X; i < y*l.w+v.in.Max.X; i++ {
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
	v.colours[0], v.colours[1] = v.colours[0][:0], v.colours[1][:0]
	each(func(i, side int) {
		if seen[side]++; seen[side]%max(1, counts[side]/localMost) == 0 {
			v.colours[side] = append(v.colours[side], l.lab[i].vector())
		}
	})
}
