package scene

import "math"

// tile is the side, in pixels, of the squares that share one list of solids.
// Squares start at multiples of it, whatever the number of workers.
const tile = 16

// A tileView is what of the figure a square of the picture can see.
type tileView struct {
	list      []ball
	near, far float64
}

// viewOf lists the solids that rays through the square at (x0, y0) may meet.
func (f *moment) viewOf(g *figure, cam *camera, x0, y0 int, list []ball) tileView {
	mid := cam.ray(float64(x0)+tile/2, float64(y0)+tile/2)
	spread := (0.72*tile + 1) / cam.focal
	v := tileView{list: list[:0], near: math.Inf(1)}
	for i := range g.shapes {
		s := &g.shapes[i]
		d := s.middle.sub(cam.at)
		along := d.dot(mid)
		r := s.bound
		gap := d.along(mid, -along).length()
		if s.kind == taper {
			r = max(s.r1, s.r2)
			gap = rayGap(cam.at, mid, s.a, s.b)
		}
		if gap > r+s.blend+0.01+spread*(along+s.bound) {
			continue
		}
		v.list = append(v.list, g.balls[i])
		v.near = min(v.near, along-s.bound-s.blend)
		v.far = max(v.far, along+s.bound+s.blend)
	}
	return v
}

// rayGap returns about the least distance between the line from o along d and
// the points between a and b.
func rayGap(o, d, a, b vec) float64 {
	// Both seen along d, the line is a point and the rod a shorter rod.
	flat := func(p vec) vec { p = p.sub(o); return p.along(d, -p.dot(d)) }
	return toRod(vec{}, flat(a), flat(b))
}

// meet follows a ray from cam until it touches the figure.
func (v *tileView) meet(g *figure, at, ray vec) (p vec, reach float64, which int, ok bool) {
	d := v.near
	for range 64 {
		p = at.along(ray, d)
		e, nearest := union(g.shapes, v.list, p)
		if e < 0.0004*d {
			return p, d, nearest, true
		}
		d += 0.9 * e
		if d > v.far {
			break
		}
	}
	return p, d, -1, false
}

// normal returns the direction in which the distance grows fastest at p.
func (v *tileView) normal(g *figure, p vec) vec {
	const e = 0.0015
	at := func(x, y, z float64) float64 {
		d, _ := union(g.shapes, v.list, vec{p.X + x*e, p.Y + y*e, p.Z + z*e})
		return d
	}
	a, b, c, d := at(1, -1, -1), at(-1, -1, 1), at(-1, 1, -1), at(1, 1, 1)
	n := vec{a - b - c + d, -a - b + c + d, -a + b - c + d}
	if n.dot(n) == 0 {
		return vec{0, 1, 0}
	}
	return n.unit()
}

// instants is how many moments of the open shutter make up a frame.
const instants = 5

// jitter spreads the instants' rays over the pixel.
var jitter = [instants][2]float64{{0.1, 0.5}, {0.7, 0.1}, {0.5, 0.9}, {0.3, 0.3}, {0.9, 0.7}}

// swimmer draws the volunteer onto rows [y0,y1) of l: the mean of the
// instants.
func (f *moment) swimmer(l *layer, y0, y1 int) {
	var list []ball
	for ty := y0 / tile * tile; ty < y1; ty += tile {
		for tx := 0; tx < l.w; tx += tile {
			for k := range f.figures {
				v := f.viewOf(f.figures[k], &f.cams[k], tx, ty, list)
				list = v.list
				if len(v.list) > 0 {
					f.tileOf(l, k, &v, tx, max(ty, y0), min(ty+tile, y1))
				}
			}
		}
	}
}

// tileOf adds one instant of one square to l.
func (f *moment) tileOf(l *layer, k int, v *tileView, x0, y0, y1 int) {
	g, cam := f.figures[k], &f.cams[k]
	for y := y0; y < y1; y++ {
		for x := x0; x < min(x0+tile, l.w); x++ {
			ray := cam.ray(float64(x)+jitter[k][0], float64(y)+jitter[k][1])
			p, reach, which, ok := v.meet(g, cam.at, ray)
			if !ok {
				continue
			}
			s := f.surfaceOf(g, v, p, ray, reach, which)
			l.put(x, y, l.get(x, y).plus(s, 1.0/instants))
		}
	}
}
