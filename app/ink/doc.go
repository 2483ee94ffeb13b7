// Package ink draws smooth-edged marks into finished pictures: lines, rings,
// discs, boxes, polygons, words.
//
// Coordinates are pixels of the picture drawn into, y downward; pixel (x,y)
// covers [x,x+1) x [y,y+1), so a line one pixel wide is crisp where it runs
// through pixel centres, x+0.5. The picture is opaque and stays so; marks are
// blended over it in display-encoded values. Nothing outside its rectangle is
// touched, points may lie anywhere, and a mark with a coordinate that is not a
// number is left out. The cost goes with a mark's own area, not with the
// picture's: strokes are found row by row from the distance to their segments,
// and overlapping parts of one stroke are not blended twice.
//
// All functions may be called from several goroutines at once for different
// pictures.
package ink

import (
	"image"
	"image/color"
	"math"
)

// A Pt is a point, in pixels.
type Pt struct{ X, Y float64 }

// A Rect is the area from (X0,Y0) to (X1,Y1), in pixels; empty unless X0 < X1
// and Y0 < Y1.
type Rect struct{ X0, Y0, X1, Y1 float64 }

// A Pen draws strokes. Below a width of 1 px they grow fainter instead of
// thinner. A stroke's ends are cut straight, its corners are round.
type Pen struct {
	Width  float64 // px
	Colour color.NRGBA
	Dash   []float64 // px on, off, on, off ...; an even number; nil for a solid stroke
}

func (p Pt) known() bool { return known(p.X) && known(p.Y) }

func known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// around returns the whole pixels that [x0,x1] x [y0,y1] touches, clipped to r.
func around(r image.Rectangle, x0, y0, x1, y1 float64) image.Rectangle {
	lo := func(v float64, a, b int) int { return int(math.Floor(min(max(v, float64(a)), float64(b)))) }
	hi := func(v float64, a, b int) int { return int(math.Ceil(min(max(v, float64(a)), float64(b)))) }
	return image.Rect(lo(x0, r.Min.X, r.Max.X), lo(y0, r.Min.Y, r.Max.Y), hi(x1, r.Min.X, r.Max.X), hi(y1, r.Min.Y, r.Max.Y))
}
