package ink

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"
)

// Disc fills a circle of radius r, in pixels, about c.
func Disc(dst *image.RGBA, c Pt, r float64, fill color.NRGBA) { circle(dst, c, 0, r, fill) }

// Ring draws a circle of radius r, in pixels, about c. Its dashes begin at the
// right and go clockwise.
func Ring(dst *image.RGBA, c Pt, r float64, p Pen) {
	if p.Dash == nil {
		circle(dst, c, r-p.Width/2, r+p.Width/2, p.Colour)
		return
	}
	if !c.known() || !(r > 0) || bounds(dst.Rect, []Pt{c}, r+p.Width).Empty() {
		return
	}
	n := int(min(max(8, 4*math.Sqrt(r)*math.Pi), 512)) // at most 1/32 px flat up to r = 800
	pts := make([]Pt, n)
	for i := range pts {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		pts[i] = Pt{c.X + r*cos, c.Y + r*sin}
	}
	Polyline(dst, pts, true, p)
}

// circle fills what lies from inner to outer of c; an inner radius of 0 or less
// leaves no hole.
func circle(dst *image.RGBA, c Pt, inner, outer float64, fill color.NRGBA) {
	if !c.known() || !(outer > 0) || !known(inner) {
		return
	}
	in := bounds(dst.Rect, []Pt{c}, outer+1)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		dy := math.Abs(float64(y) + 0.5 - c.Y)
		half := chord(outer+1, dy)
		cols := around(in, c.X-half, float64(y), c.X+half, float64(y))
		hole := chord(inner-1, dy) - 1
		for x := cols.Min.X; x < cols.Max.X; x++ {
			dx := math.Abs(float64(x) + 0.5 - c.X)
			if dx < hole { // over the hole at once
				x = max(x, min(int(c.X+hole)-1, cols.Max.X))
				continue
			}
			d := math.Hypot(dx, dy)
			cover := min(outer+0.5-d, 2*outer, 1)
			if inner > 0 {
				cover = min(cover, d-inner+0.5, outer-inner)
			}
			if cover > 0 {
				run(dst, y, x, x+1, fill, code(cover))
			}
		}
	}
}

// chord is half the length of a circle's chord at a distance of its centre; 0
// where there is none.
func chord(r, distance float64) float64 {
	if r <= distance {
		return 0
	}
	return math.Sqrt(r*r - distance*distance)
}

// Box draws the sides of a rectangle, the pen's middle on them, corners square.
func Box(dst *image.RGBA, r Rect, p Pen) {
	h := p.Width / 2
	if !(h > 0) || r.X0 > r.X1 || r.Y0 > r.Y1 {
		return
	}
	if p.Dash != nil {
		Polyline(dst, []Pt{{r.X0, r.Y0}, {r.X1, r.Y0}, {r.X1, r.Y1}, {r.X0, r.Y1}}, true, p)
		return
	}
	out, in := Rect{r.X0 - h, r.Y0 - h, r.X1 + h, r.Y1 + h}, Rect{r.X0 + h, r.Y0 + h, r.X1 - h, r.Y1 - h}
	if in.X0 >= in.X1 || in.Y0 >= in.Y1 {
		Fill(dst, out, p.Colour)
		return
	}
	Fill(dst, Rect{out.X0, out.Y0, out.X1, in.Y0}, p.Colour)
	Fill(dst, Rect{out.X0, in.Y1, out.X1, out.Y1}, p.Colour)
	Fill(dst, Rect{out.X0, in.Y0, in.X0, in.Y1}, p.Colour)
	Fill(dst, Rect{in.X1, in.Y0, out.X1, in.Y1}, p.Colour)
}

// Polygon fills a polygon by the exact share of each pixel that it covers. Where
// it crosses itself, parts that run the same way round are filled once.
func Polygon(dst *image.RGBA, pts []Pt, fill color.NRGBA) {
	in := bounds(dst.Rect, pts, 0)
	if len(pts) < 3 || in.Empty() {
		return
	}
	z := vector.NewRasterizer(in.Dx(), in.Dy())
	at := func(p Pt) (x, y float32) {
		// Beyond this a float32 no longer holds a tenth of a pixel, and rows are
		// walked one by one.
		const far = 1 << 16
		return float32(min(max(p.X-float64(in.Min.X), -far), far)), float32(min(max(p.Y-float64(in.Min.Y), -far), far))
	}
	z.MoveTo(at(pts[0]))
	for _, p := range pts[1:] {
		z.LineTo(at(p))
	}
	z.ClosePath()
	z.Draw(dst, in, image.NewUniform(fill), image.Point{})
}
