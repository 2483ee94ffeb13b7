package field

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/selection"
)

// A lineScene is what a PlaneLine draws.
type lineScene struct {
	lineGeometry
	pick    selection.Pick
	lying   *lying
	held    levelPart // drawn in the accent
	preview bool      // the pick is not set yet
	focused bool
}

func (s lineScene) draw(dst *image.RGBA) {
	draw.Draw(dst, dst.Rect, image.NewUniform(look.Column), image.Point{}, draw.Src) // opaque, as ink wants it
	fill(dst, s.ground(), look.Plot)
	s.drawDabs(dst)
	s.drawAxis(dst)
	if !s.pick.Limits[selection.Across].Off {
		s.drawLeftOut(dst)
		s.drawWeights(dst)
		s.drawRange(dst)
	}
	s.drawNames(dst)
	if s.focused {
		frame(dst, box{0, 0, float64(s.w), float64(s.h)}.grown(-s.dp(1)), ink.Pen{Width: s.dp(2), Colour: look.Accent})
	}
}

// ground is where the dabs are drawn.
func (s lineScene) ground() box {
	return box{0, math.Round(s.dp(levelTop + 7)), float64(s.w), math.Round(float64(s.h) - s.dp(axisFoot))}
}

// drawDabs draws how much of the dabs lies where: to keep upward from the middle, filled, to
// drop downward, as an outline.
func (s lineScene) drawDabs(dst *image.RGBA) {
	g := s.ground()
	middle := math.Round((g.y0 + g.y1) / 2)
	keep, drop := s.columns(&s.lying.keep), s.columns(&s.lying.drop)
	most := 0.0
	for x := range keep {
		most = max(most, keep[x], drop[x])
	}
	if most == 0 {
		return
	}
	room := (g.y1-g.y0)/2 - s.dp(2)
	line(dst, 0, middle, float64(s.w), middle, ink.Pen{Width: s.dp(1), Colour: look.Chosen})
	before := 0.0
	for x := range keep {
		if keep[x] > 0 {
			fill(dst, box{float64(x), middle - max(1, room*keep[x]/most), float64(x) + 1, middle}, look.Bone)
		}
		down := room * drop[x] / most
		if drop[x] > 0 || before > 0 {
			top, foot := min(before, down), max(before, down)
			fill(dst, box{float64(x), middle + max(0, top-s.dp(1)), float64(x) + 1, middle + max(foot, s.dp(1))}, look.Third)
			fill(dst, box{float64(x), middle, float64(x) + 1, middle + max(0, top-s.dp(1))}, frameBar)
		}
		before = down
	}
}

// drawNames says which dabs are which.
func (s lineScene) drawNames(dst *image.RGBA) {
	g, size := s.ground(), s.dp(look.AxisSize)
	if !(s.lying.low <= s.lying.high) {
		text(dst, float64(s.w)/2, (g.y0+g.y1)/2, "no dabs yet", size, look.Second, ink.MidCentre)
		return
	}
	for name, y := range map[string]float64{"keep": g.y0 + s.dp(9), "drop": g.y1 - s.dp(9)} {
		fill(dst, box{s.dp(2), y - s.dp(7), s.dp(8) + look.Type.Width(name, size), y + s.dp(7)}, look.Plot)
		text(dst, s.dp(5), y, name, size, look.Second, ink.MidLeft)
	}
}

// columns returns how much lies in each column of pixels, smoothed over two Lab units.
func (s lineScene) columns(all *[lyingSlots]float64) []float64 {
	out := make([]float64, s.w)
	const smooth = 2 // slots to either side
	for x := range out {
		at := slotOf(s.low + (float64(x)+0.5)*s.perPixel())
		for i := max(0, at-smooth); i <= min(lyingSlots-1, at+smooth); i++ {
			out[x] += all[i] / (2*smooth + 1)
		}
	}
	return out
}

// drawAxis draws numbers along the foot.
func (s lineScene) drawAxis(dst *image.RGBA) {
	interval := intervalOf([]float64{1, 2, 5, 10, 20, 50, 100}, s.high-s.low, float64(s.w), s.dp(42))
	g := s.ground()
	for v := math.Ceil(s.low/interval) * interval; v <= s.high; v += interval {
		x := s.pixel(v)
		line(dst, x, g.y1-s.dp(3), x, g.y1, ink.Pen{Width: s.dp(1), Colour: look.Third})
		if x > s.dp(12) && x < float64(s.w)-s.dp(12) {
			text(dst, x, float64(s.h)-s.dp(axisFoot)/2, fmt.Sprintf("%.0f", v+0), s.dp(look.AxisSize), look.Second, ink.MidCentre)
		}
	}
}

// drawLeftOut hatches what the range leaves out altogether.
func (s lineScene) drawLeftOut(dst *image.RGBA) {
	g, pitch := s.ground(), max(3, int(math.Round(s.dp(6))))
	out := box{0, g.y0, s.pixel(valueAt(s.pick, dropFade)), g.y1}
	if s.pick.Limits[selection.Across].Inverted {
		out = box{s.pixel(valueAt(s.pick, keepFade)), g.y0, float64(s.w), g.y1}
	}
	if out.w() > 0 {
		hatch(dst, out.cut(g), pitch)
	}
}

// drawWeights draws the weight, 0 at the foot and 1 above.
func (s lineScene) drawWeights(dst *image.RGBA) {
	g := s.ground()
	pts := make([]ink.Pt, 0, s.w)
	for x := 0; x < s.w; x += 2 {
		v := selection.Point{selection.Across: s.low + (float64(x)+0.5)*s.perPixel()}
		pts = append(pts, ink.Pt{X: float64(x) + 0.5, Y: g.y1 - s.dp(1) - (g.h()-s.dp(2))*s.pick.Weight(v)})
	}
	ink.Polyline(dst, pts, false, ink.Pen{Width: s.dp(3), Colour: color.NRGBA{look.Plot.R, look.Plot.G, look.Plot.B, 0xa0}})
	ink.Polyline(dst, pts, false, ink.Pen{Width: s.dp(1.4), Colour: look.Accent})
}

// drawRange draws the level and the ends of its fades, with their handles.
func (s lineScene) drawRange(dst *image.RGBA) {
	g := s.ground()
	for _, what := range []levelPart{dropFade, keepFade, theLevel} {
		x, y := s.handle(s.pick, what)
		pen := ink.Pen{Width: s.dp(1.5), Colour: look.Bone}
		if what == s.held || s.preview {
			pen.Colour = look.Accent
		}
		under := ink.Pen{Width: s.dp(3), Colour: color.NRGBA{look.Plot.R, look.Plot.G, look.Plot.B, 0xa0}}
		top := g.y0
		if what == theLevel {
			top = y
		} else {
			pen.Dash = []float64{s.dp(4), s.dp(3)}
		}
		line(dst, x, top, x, g.y1, under)
		line(dst, x, top, x, g.y1, pen)
		if s.preview {
			continue
		}
		radius := s.dp(5)
		if what != theLevel {
			radius = s.dp(4)
		}
		ink.Disc(dst, ink.Pt{X: x, Y: y}, radius+s.dp(1), look.Plot)
		ink.Disc(dst, ink.Pt{X: x, Y: y}, radius, pen.Colour)
	}
}
