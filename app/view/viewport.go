package view

import (
	"image"
	"math"
)

// The zooms there are: 32 source pixels to one of the screen, and 16 pixels of
// the screen to one of the source.
const (
	MinZoom = 1.0 / 32
	MaxZoom = 16
)

// A Viewport says which part of a picture a view shows, and how large. Its
// methods return changed copies whose zoom is in [MinZoom,MaxZoom]. At a zoom
// that is a whole number a source pixel covers exactly that many whole pixels of
// the screen, each way. The zero value shows nothing.
type Viewport struct {
	W, H   int     // the picture, source px
	VW, VH int     // the view, screen px
	Zoom   float64 // screen px per source px
	X, Y   float64 // the source point at the view's centre
	Fitted bool    // it was made by Fit and stays so when resized
}

// Empty reports whether there is nothing to show, or nowhere to show it.
func (v Viewport) Empty() bool {
	return v.W <= 0 || v.H <= 0 || v.VW <= 0 || v.VH <= 0 || !(v.Zoom > 0)
}

// origin returns where on the screen the picture's top left corner lies.
func (v Viewport) origin() (x, y float64) {
	return float64(v.VW)/2 - v.X*v.Zoom, float64(v.VH)/2 - v.Y*v.Zoom
}

// ToScreen returns where on the screen a source point lies.
func (v Viewport) ToScreen(x, y float64) (sx, sy float64) {
	return float64(v.VW)/2 + (x-v.X)*v.Zoom, float64(v.VH)/2 + (y-v.Y)*v.Zoom
}

// ToPicture returns the source point that lies at a point of the screen; the
// centre's where the zoom is 0.
func (v Viewport) ToPicture(sx, sy float64) (x, y float64) {
	if !(v.Zoom > 0) {
		return v.X, v.Y
	}
	return v.X + (sx-float64(v.VW)/2)/v.Zoom, v.Y + (sy-float64(v.VH)/2)/v.Zoom
}

// Visible returns the source pixels of which the view shows any part.
func (v Viewport) Visible() image.Rectangle {
	if v.Empty() {
		return image.Rectangle{}
	}
	const slack = 1e-6 // screen px: no pixel is visible by a rounding error
	x0, y0 := v.ToPicture(slack, slack)
	x1, y1 := v.ToPicture(float64(v.VW)-slack, float64(v.VH)-slack)
	r := image.Rect(int(math.Floor(x0)), int(math.Floor(y0)), int(math.Ceil(x1)), int(math.Ceil(y1)))
	return r.Intersect(image.Rect(0, 0, v.W, v.H))
}

// Percent is the zoom in percent: 100 is one screen pixel to a source pixel.
func (v Viewport) Percent() float64 { return v.Zoom * 100 }

// Fit shows the whole picture as large as it fits, in the middle.
func (v Viewport) Fit() Viewport {
	v.X, v.Y, v.Zoom, v.Fitted = float64(v.W)/2, float64(v.H)/2, 1, true
	if v.Empty() {
		return v
	}
	v.Zoom = limited(min(float64(v.VW)/float64(v.W), float64(v.VH)/float64(v.H)))
	return v.aligned()
}

// ZoomedAt zooms so that the source point at a point of the screen stays there,
// to half a pixel of the screen where the zoom is a whole number. For a point
// beside the picture the picture's nearest stays. A zoom that is not a number
// changes nothing.
func (v Viewport) ZoomedAt(sx, sy, zoom float64) Viewport {
	if v.Empty() || math.IsNaN(zoom) {
		return v
	}
	x, y := v.ToPicture(sx, sy)
	x, y = min(max(x, 0), float64(v.W)), min(max(y, 0), float64(v.H))
	sx, sy = v.ToScreen(x, y)
	v.Zoom, v.Fitted = limited(zoom), false
	v.X, v.Y = x+(float64(v.VW)/2-sx)/v.Zoom, y+(float64(v.VH)/2-sy)/v.Zoom
	return v.aligned()
}

// At is the viewport about another source point, which is taken into the picture.
func (v Viewport) At(x, y float64) Viewport {
	if v.Empty() {
		return v
	}
	v.X, v.Y, v.Fitted = min(max(x, 0), float64(v.W)), min(max(y, 0), float64(v.H)), false
	return v.aligned()
}

// Around shows a part of the picture as large as it fits, with a tenth of its size
// free about it, but no larger than 1:1; where that would show nearly the whole
// picture, or the part is empty, the whole.
func (v Viewport) Around(part image.Rectangle) Viewport {
	part = part.Intersect(image.Rect(0, 0, v.W, v.H))
	fit := v.Fit()
	if part.Empty() || fit.Empty() {
		return fit
	}
	zoom := min(float64(v.VW)/(1.2*float64(part.Dx())), float64(v.VH)/(1.2*float64(part.Dy())), 1)
	if zoom < 1.05*fit.Zoom {
		return fit
	}
	fit.Zoom = limited(zoom)
	// What lies beside the picture is not shown where the picture fills the view.
	inside := func(at float64, view, size int) float64 {
		half := float64(view) / fit.Zoom / 2
		if 2*half >= float64(size) {
			return float64(size) / 2
		}
		return min(max(at, half), float64(size)-half)
	}
	return fit.At(inside(float64(part.Min.X+part.Max.X)/2, v.VW, v.W), inside(float64(part.Min.Y+part.Max.Y)/2, v.VH, v.H))
}

// zoomPerNotch is how much one notch of the wheel zooms.
const zoomPerNotch = 1.25

// ZoomedByNotches zooms by notches of the wheel, in for positive ones. It does not pass
// by 100 % and settles on a whole number where one is near.
func (v Viewport) ZoomedByNotches(sx, sy, notches float64) Viewport {
	zoom := v.Zoom * math.Pow(zoomPerNotch, notches)
	if (v.Zoom < 1 && zoom > 1) || (v.Zoom > 1 && zoom < 1) {
		zoom = 1
	}
	// Near is less than what was asked for, so that small notches get away from a
	// whole number again.
	near := min(0.04, 0.4*math.Abs(zoom/v.Zoom-1))
	if whole := math.Round(zoom); math.Abs(zoom-whole) <= near*zoom {
		zoom = whole
	}
	return v.ZoomedAt(sx, sy, zoom)
}

// Panned moves the picture by screen pixels. The view's centre does not leave
// the picture.
func (v Viewport) Panned(dx, dy float64) Viewport {
	if v.Empty() {
		return v
	}
	within := func(at, by float64, size int) float64 {
		return min(max(at-by/v.Zoom, min(0, at)), max(float64(size), at))
	}
	v.X, v.Y, v.Fitted = within(v.X, dx, v.W), within(v.Y, dy, v.H), false
	return v.aligned()
}

// Resized is the viewport in a view of another size: fitted if it was, else
// about the same centre.
func (v Viewport) Resized(vw, vh int) Viewport {
	v.VW, v.VH = vw, vh
	if v.Fitted {
		return v.Fit()
	}
	return v.aligned()
}

// aligned puts the picture's corner on whole screen pixels where the zoom is a
// whole number.
func (v Viewport) aligned() Viewport {
	if v.Zoom < 1 || v.Zoom != math.Trunc(v.Zoom) {
		return v
	}
	ox, oy := v.origin()
	v.X, v.Y = (float64(v.VW)/2-math.Round(ox))/v.Zoom, (float64(v.VH)/2-math.Round(oy))/v.Zoom
	return v
}

func limited(zoom float64) float64 { return min(max(zoom, MinZoom), MaxZoom) }
