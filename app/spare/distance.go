package spare

import (
	"context"
	"image"
	"math"
	"slices"

	"halocline/colour"
	"halocline/mask"
	"halocline/mask/edge"
)

// farthest is the distance, in pixels of a picture of at most 1080 lines, from which one
// outline is as far from another as can be.
const farthest = 24

// worstShare is the share of both outlines that is their worst part.
const worstShare = 0.05

// apart is how far two outlines lie apart in a picture of a size, in pixels: the mean over
// both, and the mean over their worst twentieth.
func apart(ctx context.Context, a, b mask.Shape, size image.Point) (mean, worst float64, err error) {
	var all []float64
	for _, way := range [][2]mask.Shape{{a, b}, {b, a}} {
		if all, err = distances(ctx, all, way[0], way[1], size); err != nil {
			return 0, 0, err
		}
	}
	if len(all) == 0 {
		return 0, 0, nil // both lie outside of the picture
	}
	slices.Sort(all)
	return meanOf(all), meanOf(all[int(float64(len(all)-1)*(1-worstShare)):]), nil
}

func meanOf(all []float64) float64 {
	sum := 0.
	for _, v := range all {
		sum += v
	}
	return sum / float64(len(all))
}

// distances appends those of places along an outline, a pixel or less apart, as far as they lie
// in the picture, from another.
func distances(ctx context.Context, all []float64, from, to mask.Shape, size image.Point) ([]float64, error) {
	reach := farthest * edge.Unit(size.Y)
	box := edge.Around(to, size, reach)
	d := mask.Raster{X0: box.Min.X, Y0: box.Min.Y}
	if !box.Empty() {
		d.Plane = colour.NewPlane(box.Dx(), box.Dy())
		if err := to.Depths(ctx, &d.Plane, mask.Region{X0: box.Min.X, Y0: box.Min.Y, X1: box.Max.X, Y1: box.Max.Y, Factor: 1}, reach, 1); err != nil {
			return nil, err
		}
	}
	for i, p := range from.Points {
		next := from.Points[(i+1)%len(from.Points)]
		steps := max(1, int(math.Ceil(math.Hypot(next.X-p.X, next.Y-p.Y))))
		for k := range steps {
			at := from.OnSide(i, (float64(k)+0.5)/float64(steps))
			if at.X >= 0 && at.Y >= 0 && at.X < float64(size.X) && at.Y < float64(size.Y) {
				all = append(all, math.Abs(between(&d, at, reach)))
			}
		}
	}
	return all, nil
}

// between is the depth at a place between pixels' centres.
func between(d *mask.Raster, p mask.Point, off float64) float64 {
	x, y := p.X-0.5, p.Y-0.5
	i, j := math.Floor(x), math.Floor(y)
	fx, fy := x-i, y-j
	at := func(di, dj int) float64 { return float64(d.At(int(i)+di, int(j)+dj, float32(off))) }
	upper := at(0, 0) + fx*(at(1, 0)-at(0, 0))
	lower := at(0, 1) + fx*(at(1, 1)-at(0, 1))
	return upper + fy*(lower-upper)
}
