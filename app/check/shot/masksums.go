package shot

import (
	"context"
	"image"
	"math"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// The pick about a mask is summed by columns and by rows of the mask's box and a
// margin around it: in 64 intervals to the box.
const (
	intervalsToBox = 64
	intervals      = intervalsToBox * 3 / 2
	margin         = 0.25 // boxes to each side
)

// maskSums say where the pick lies about one keep mask. They are of the pick alone, so
// that a mask that was moved does not hide what it was moved off.
type maskSums struct {
	mask int                   // its id
	size [2]float64            // of its box, in pixels of the source
	sums [2][intervals]float32 // of the pick by columns and by rows
}

// sumByMask sums the picks of all mattes that are in the shot about each of their keep
// masks that is on.
func (p *pass) sumByMask(ctx context.Context, r *render.Renderer, f *Frame, now *moment) error {
	for _, part := range p.maskedPicks() {
		q := now.request
		q.Settings = part.settings
		var pick colour.Plane
		for i := range part.settings.Masks {
			m := &part.settings.Masks[i]
			if m.Kind != study.Keep || !m.Works(f.Number) {
				continue
			}
			if pick.Pix == nil {
				var err error
				if pick, err = r.Pick(ctx, q); err != nil {
					return err
				}
			}
			low, high := boxOf(m.At(f.Number))
			f.maskSums = append(f.maskSums, newMaskSums(m.ID, pick, now.region(), low, high))
		}
	}
	return nil
}

// newMaskSums sums a pick of a region about the box from low to high.
func newMaskSums(id int, pick colour.Plane, region mask.Region, low, high mask.Point) maskSums {
	// The box in pixels of the pick.
	factor := float64(region.Factor)
	x0, x1 := (low.X-float64(region.X0))/factor, (high.X-float64(region.X0))/factor
	y0, y1 := (low.Y-float64(region.Y0))/factor, (high.Y-float64(region.Y0))/factor
	columns, rows := make([]float64, pick.W), make([]float64, pick.H)
	for y := range pick.H {
		beside := float64(y)+0.5 < y0 || float64(y)+0.5 >= y1
		for x, v := range pick.Row(y) {
			if v == 0 {
				continue
			}
			if !beside {
				columns[x] += float64(v)
			}
			if at := float64(x) + 0.5; at >= x0 && at < x1 {
				rows[y] += float64(v)
			}
		}
	}
	s := maskSums{mask: id, size: [2]float64{high.X - low.X, high.Y - low.Y}}
	sumIntervals(&s.sums[0], columns, x0, x1)
	sumIntervals(&s.sums[1], rows, y0, y1)
	return s
}

// sumIntervals makes dst the sums of values, each spread evenly over its pixel, by the
// intervals of a box from low to high and its margins.
func sumIntervals(dst *[intervals]float32, values []float64, low, high float64) {
	until := make([]float64, len(values)+1) // sums of what comes before
	for i, v := range values {
		until[i+1] = until[i] + v
	}
	sum := func(at float64) float64 {
		at = min(max(at, 0), float64(len(values)))
		i := min(int(at), len(values)-1)
		return until[i] + float64((at-float64(i))*values[i])
	}
	before := sum(low - margin*(high-low))
	for k := range dst {
		to := sum(low + (float64(k+1)/intervalsToBox-margin)*(high-low))
		dst[k] = float32(to - before)
		before = to
	}
}

// aboutMasks is where the pick is summed on a frame: the boxes of all keep masks and their
// margins, so that the sums are those of the whole frame.
func (p *pass) aboutMasks(frame int) (out image.Rectangle) {
	for _, part := range p.maskedPicks() {
		for i := range part.settings.Masks {
			m := &part.settings.Masks[i]
			if m.Kind != study.Keep || !m.Works(frame) {
				continue
			}
			low, high := boxOf(m.At(frame))
			x, y := margin*(high.X-low.X), margin*(high.Y-low.Y)
			out = out.Union(image.Rect(int(math.Floor(low.X-x)), int(math.Floor(low.Y-y)), int(math.Ceil(high.X+x)), int(math.Ceil(high.Y+y))))
		}
	}
	return out
}

// boxOf is the box about a shape without its feather.
func boxOf(s mask.Shape) (low, high mask.Point) {
	s.Outer = 0
	return s.Bounds()
}
