package check

import (
	"context"
	"errors"
	"fmt"

	"halocline/colour"
	"halocline/selection"
)

// A matte's edge is where alpha lies between these, both left out. What is above
// the first may be a speck, what is below the second a hole, as when despeckling.
const (
	edgeAbove = 0.1
	edgeBelow = 0.9
)

// LargestSpeck is the area in pixels from which a component is no speck or hole.
const LargestSpeck = 50

// Figures say what a matte is like, without a truth.
type Figures struct {
	Area      float64 `json:"area"`      // mean alpha
	EdgeWidth float64 `json:"edgeWidth"` // pixels: the area of 0.1 < alpha < 0.9 over Contour; 0 where that is 0
	Contour   float64 `json:"contour"`   // pixels: the length of the contour at one half; 0: there is no edge
	Specks    int     `json:"specks"`    // 4-connected components of alpha > 0.1 below 50 px of area
	Holes     int     `json:"holes"`     // 4-connected components of alpha < 0.9 below 50 px of area
}

// Measure returns a matte's figures, worked out on workers goroutines (0 = one
// for each processor). The frame's border is no edge. Alphas outside [0,1] are
// clamped and what is not a number is 0. An empty matte is an error.
//
// EdgeWidth counts whole pixels, so that a hard edge has no width; along an edge that
// is level or upright all its way the same fraction of one may be missing or too
// much everywhere. The contour of a hard edge is made of level, upright and
// diagonal pieces and comes out up to 8 % too long.
func Measure(ctx context.Context, matte colour.Plane, workers int) (Figures, error) {
	return MeasurePart(ctx, matte, len(matte.Pix), 1, workers)
}

// MeasurePart is Measure for a part of a matte outside of which alpha is 0. pixels is how
// many the whole matte has, and each stands for factor x factor of the source's; figures
// are in pixels of the source.
func MeasurePart(ctx context.Context, matte colour.Plane, pixels, factor, workers int) (Figures, error) {
	if len(matte.Pix) == 0 {
		return Figures{}, errors.New("check: the matte is empty")
	}
	a := Clamped(matte)
	largest := float64(LargestSpeck) / float64(factor*factor)
	rows := make([]rowFigures, a.H)
	f := Figures{}
	// Two kinds of component take as long as all the rest: they go side by side.
	err := colour.EachStrip(ctx, workers, 3, 1, func(task, _ int) {
		switch task {
		case 0:
			f.Specks = countSmall(a, largest, func(alpha float32) bool { return alpha > edgeAbove })
		case 1:
			f.Holes = countSmall(a, largest, func(alpha float32) bool { return alpha < edgeBelow })
		case 2:
			for y := range rows {
				rows[y] = measureRow(a, y)
			}
		}
	})
	if err != nil {
		return Figures{}, fmt.Errorf("check: %w", err)
	}
	sum := rowFigures{}
	for _, r := range rows { // in order, for any number of workers
		sum.area += r.area
		sum.contour += r.contour
		sum.edge += r.edge
	}
	f.Area, f.Contour = sum.area/float64(pixels), sum.contour*float64(factor)
	if f.Contour > 0 {
		f.EdgeWidth = float64(sum.edge*factor) / sum.contour
	}
	return f, nil
}

// rowFigures are one row's part in the sums.
type rowFigures struct {
	area, contour float64
	edge          int // pixels
}

func measureRow(a colour.Plane, y int) (r rowFigures) {
	for _, v := range a.Row(y) {
		r.area += float64(v)
		if v > edgeAbove && v < edgeBelow {
			r.edge++
		}
	}
	if y+1 < a.H {
		colour.ContourRow(a, y, func(_ int, s colour.Segment) { r.contour += s.Length() })
	}
	return r
}

// countSmall counts the components of what is in that are smaller than largest,
// in pixels, and not all of the matte.
func countSmall(a colour.Plane, largest float64, is func(alpha float32) bool) (n int) {
	in, label := make([]bool, len(a.Pix)), make([]int32, len(a.Pix))
	for i, v := range a.Pix {
		in[i] = is(v)
	}
	for _, c := range selection.Components(label, in, a.W, a.H) {
		if float64(c.Area) < largest && c.Area < len(a.Pix) {
			n++
		}
	}
	return n
}
