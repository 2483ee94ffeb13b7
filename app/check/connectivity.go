package check

import (
	"context"

	"halocline/colour"
	"halocline/selection"
)

// connectivityThresholds is the number of thresholds: 0.1, 0.2 and so on up to 1.
const connectivityThresholds = 10

// connectivityTheta is the least distance above its connected level at which a
// pixel counts as loose.
const connectivityTheta = 0.15

// threshold returns threshold k of connectivityThresholds. As both are rounded once,
// an alpha of 51/255 is at threshold 2 exactly.
func threshold(k uint8) float32 { return float32(k) / connectivityThresholds }

// connectivityError sums |phi(a) - phi(g)| over known pixels, nil for all.
//
// At each threshold the source is the largest 4-connected set of pixels where
// both alphas reach it; of equal ones the first in reading order; where no pixel
// does there is none. A pixel's connected level l is the last threshold (or 0)
// before the first one at which it is not in the source, 1 where it always is.
// phi = 1 - d where d = alpha - l is at least connectivityTheta, else 1.
func connectivityError(ctx context.Context, a, g colour.Plane, known []bool) (float64, error) {
	c := newConnected(a, g)
	for k := uint8(1); k <= connectivityThresholds; k++ {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		c.leaveAt(k)
	}
	rows := make([]float64, a.H)
	err := colour.EachBand(ctx, 0, a.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			rows[y] = loose(a.Row(y), g.Row(y), c.leave[y*c.w:(y+1)*c.w], knownRow(known, y, c.w))
		}
	})
	sum := 0.0
	for _, r := range rows {
		sum += r
	}
	return sum, err
}

// loose sums what two rows differ by in phi.
func loose(a, g []float32, leave []uint8, known []bool) (sum float64) {
	for x, k := range leave {
		if known != nil && !known[x] || a[x] == g[x] {
			continue
		}
		level := 1.0
		if k <= connectivityThresholds {
			level = float64(threshold(k - 1))
		}
		da, dg := distance(a[x], level), distance(g[x], level)
		sum += max(da-dg, dg-da)
	}
	return sum
}

// distance is 1 - phi.
func distance(alpha float32, level float64) float64 {
	if d := float64(alpha) - level; d >= connectivityTheta {
		return d
	}
	return 0
}

// connected finds the threshold at which each pixel leaves the source.
type connected struct {
	w     int
	reach []uint8                         // the last threshold that both alphas reach
	leave []uint8                         // the first threshold without this pixel; one past the last if there is none
	boxes [connectivityThresholds + 1]box // by threshold, what covers all pixels that reach it
	in    []bool                          // of a box
	label []int32                         // of a box
}

// A box is a range of columns and one of rows, ends excluded.
type box struct{ x0, y0, x1, y1 int }

func newConnected(a, g colour.Plane) *connected {
	c := &connected{w: a.W, reach: make([]uint8, len(a.Pix)), leave: make([]uint8, len(a.Pix))}
	var limits [connectivityThresholds]float32
	for k := range limits {
		limits[k] = threshold(uint8(k + 1))
	}
	for y := range a.H {
		rowA, rowG := a.Row(y), g.Row(y)
		for x, v := range rowA {
			if w := rowG[x]; w < v {
				v = w
			}
			k := min(uint8(v*connectivityThresholds), connectivityThresholds)
			// The product's rounding may have led past a threshold or not up to it.
			if k > 0 && v < limits[k-1] {
				k--
			} else if k < connectivityThresholds && v >= limits[k] {
				k++
			}
			c.reach[y*c.w+x], c.leave[y*c.w+x] = k, k+1
			if k > 0 {
				c.boxes[k].cover(x, y)
			}
		}
	}
	for k := connectivityThresholds - 1; k > 0; k-- {
		c.boxes[k].join(c.boxes[k+1])
	}
	return c
}

// cover widens b to cover the pixel (x,y).
func (b *box) cover(x, y int) { b.join(box{x, y, x + 1, y + 1}) }

// join widens b to cover o.
func (b *box) join(o box) {
	switch {
	case o.x0 == o.x1:
	case b.x0 == b.x1:
		*b = o
	default:
		*b = box{min(b.x0, o.x0), min(b.y0, o.y0), max(b.x1, o.x1), max(b.y1, o.y1)}
	}
}

// leaveAt notes which pixels are not in the source of threshold k.
func (c *connected) leaveAt(k uint8) {
	b := c.boxes[k]
	w, h := b.x1-b.x0, b.y1-b.y0
	if w*h == 0 {
		return
	}
	if cap(c.in) < w*h {
		c.in, c.label = make([]bool, w*h), make([]int32, w*h)
	}
	in, label := c.in[:w*h], c.label[:w*h]
	for y := range h {
		for x, r := range c.reach[(b.y0+y)*c.w+b.x0:][:w] {
			in[y*w+x] = r >= k
		}
	}
	sets := selection.Components(label, in, w, h)
	largest := int32(0)
	for i, s := range sets {
		if s.Area > sets[largest].Area {
			largest = int32(i)
		}
	}
	if len(sets) == 1 {
		return
	}
	for y := range h {
		leave := c.leave[(b.y0+y)*c.w+b.x0:][:w]
		for x, l := range label[y*w:][:w] {
			if l >= 0 && l != largest {
				leave[x] = min(leave[x], k)
			}
		}
	}
}
