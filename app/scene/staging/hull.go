package staging

import (
	"math"

	"halocline/colour"
	"halocline/mask"
)

// A hull says how far something reaches in evenly turned directions, in pixels
// from the frame's corner: the k-th of n directions is k turns of 360/n degrees
// from the right, downwards. Outlines of two hulls correspond, vertex by vertex.
// nil is the hull of nothing.
type hull []float64

// corner is the way from a pixel's middle to its corner.
const corner = math.Sqrt2 / 2

// hullOf returns the hull, in n directions, of the pixels of columns [x0,x1)
// where truth is above 0.
func hullOf(truth colour.Plane, x0, x1, n int) hull {
	h := make(hull, n)
	sin, cos := make([]float64, n), make([]float64, n)
	for k := range n {
		h[k] = math.Inf(-1)
		sin[k], cos[k] = math.Sincos(2 * math.Pi * float64(k) / float64(n))
	}
	for y := range truth.H {
		row := truth.Row(y)[x0:x1]
		for x, v := range row {
			if v <= 0 || x > 0 && x < len(row)-1 && row[x-1] > 0 && row[x+1] > 0 {
				continue // only the ends of a row can be outermost
			}
			for k := range n {
				h[k] = max(h[k], cos[k]*(float64(x0+x)+0.5)+sin[k]*(float64(y)+0.5)+corner)
			}
		}
	}
	if math.IsInf(h[0], -1) {
		return nil
	}
	return h
}

// outline returns the polygon whose sides lie clear pixels outside the hull: each
// vertex is where the line of one direction meets the next.
func (h hull) outline(clear float64) []mask.Point {
	if h == nil {
		return nil
	}
	points := make([]mask.Point, len(h))
	for k := range h {
		j := (k + 1) % len(h)
		sk, ck := math.Sincos(2 * math.Pi * float64(k) / float64(len(h)))
		sj, cj := math.Sincos(2 * math.Pi * float64(j) / float64(len(h)))
		a, b := h[k]+clear, h[j]+clear
		det := ck*sj - sk*cj
		points[k] = mask.Point{X: tenth((a*sj - b*sk) / det), Y: tenth((b*ck - a*cj) / det)}
	}
	return points
}

// span returns from where to where, along a level line y pixels down, the outline
// that clears the hull reaches; from is the greater where it does not.
func (h hull) span(y, clear float64) (from, to float64) {
	from, to = math.Inf(-1), math.Inf(1)
	for k, v := range h {
		sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(len(h)))
		left := v + clear - sin*y
		switch {
		case cos > 1e-9:
			to = min(to, left/cos)
		case cos < -1e-9:
			from = max(from, left/cos)
		case left < 0:
			return 0, -1
		}
	}
	return from, to
}

// tenth rounds to a tenth of a pixel, which is more than a hand can place.
func tenth(v float64) float64 { return math.Round(10*v) / 10 }
