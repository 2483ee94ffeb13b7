package ink

import (
	"image"
	"math"
)

// A dasher cuts the segments of one stroke into dashes. Where it stands in the
// pattern runs on from segment to segment.
type dasher struct {
	pattern []float64 // nil: solid
	total   float64
	at      float64 // how far along the pattern the next segment begins
}

// leastDash keeps the number of dashes in proportion to a stroke's pixels: a
// pattern of less than a pixel all told would show as grey at best.
const leastDash = 1

func newDasher(dash []float64) dasher {
	d := dasher{}
	for _, v := range dash {
		if !(v >= 0) {
			return dasher{}
		}
		d.total += v
	}
	if len(dash)%2 == 0 && d.total >= leastDash && known(d.total) {
		d.pattern = dash
	}
	return d
}

// each calls do for the dashes of g that may show in the pixels in.
func (d *dasher) each(g segment, in image.Rectangle, do func(segment)) {
	from, to := g.inside(in)
	if from < to {
		t := from - math.Mod(d.at+from, d.total) // where a pattern begins
		for i := 0; t < to; i++ {
			on := d.pattern[i%len(d.pattern)]
			if i%2 == 0 && t+on > from {
				do(g.part(max(t, 0), min(t+on, g.length)))
			}
			t += on
		}
	}
	d.at = math.Mod(d.at+g.length, d.total)
}

// part is the segment from one length along g to another. A dash goes round a
// corner as two parts that meet there.
func (g segment) part(from, to float64) segment {
	p := g
	p.a = Pt{g.a.X + g.ux*from, g.a.Y + g.uy*from}
	p.b = Pt{g.a.X + g.ux*to, g.a.Y + g.uy*to}
	p.length = to - from
	p.cutStart, p.cutEnd = g.cutStart || from > 0, g.cutEnd || to < g.length
	return p
}

// inside returns from which length along g to which it may show in the pixels
// in (the method of Liang and Barsky, ACM TOG 3, 1984).
func (g segment) inside(in image.Rectangle) (from, to float64) {
	reach := g.half + 1
	from, to = 0, g.length
	clip := func(at, by, lo, hi float64) {
		if by == 0 {
			if at < lo || at > hi {
				to = from
			}
			return
		}
		t0, t1 := (lo-at)/by, (hi-at)/by
		from, to = max(from, min(t0, t1)), min(to, max(t0, t1))
	}
	clip(g.a.X, g.ux, float64(in.Min.X)-reach, float64(in.Max.X)+reach)
	clip(g.a.Y, g.uy, float64(in.Min.Y)-reach, float64(in.Max.Y)+reach)
	return from, to
}
