package timeline

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
)

// Greys of the plot: bone reads on both.
var (
	laneWorks = color.NRGBA{0x2e, 0x2e, 0x2e, 0xff}
	laneRests = look.Well // where the mask has no say
	seam      = look.Plot
)

// ground draws all that stays while the playhead moves.
func (a *Area) ground(dst *image.RGBA, p *plan) {
	fill(dst, box{0, 0, float64(p.w), float64(p.h)}, look.Row)
	fill(dst, p.lanes, laneRests)
	fill(dst, p.strip, look.Plot)
	fill(dst, box{0, p.strip.y0, p.strip.x0, p.strip.y1}, look.Row)
	a.drawRuler(dst, p)
	for i := range a.lanes {
		if r := p.lane(i); r.y1 > p.lanes.y0 && r.y0 < p.lanes.y1 {
			a.drawLane(clip(dst, box{0, p.lanes.y0, float64(p.w), p.lanes.y1}), p, i)
		}
	}
	a.drawScroll(dst, p)
	a.drawStrip(dst, p)
	fill(dst, box{p.ruler.x0 - 1, 0, p.ruler.x0, float64(p.h)}, seam)
}

func fill(dst *image.RGBA, b box, c color.NRGBA) {
	ink.Fill(dst, ink.Rect{X0: b.x0, Y0: b.y0, X1: b.x1, Y1: b.y1}, c)
}

// clip is the part of a picture within a box.
func clip(dst *image.RGBA, b box) *image.RGBA {
	r := image.Rect(int(math.Round(b.x0)), int(math.Round(b.y0)), int(math.Round(b.x1)), int(math.Round(b.y1)))
	return dst.SubImage(r).(*image.RGBA)
}

func (a *Area) drawRuler(dst *image.RGBA, p *plan) {
	foot := p.ruler.y1
	for _, t := range ticks(p.span, a.units, a.clip.Rate, p.scale) {
		x := math.Floor(p.span.x(float64(t.frame))) + 0.5
		long, c := 3.0, look.Off
		if t.text != "" {
			long, c = 6, look.Third
			look.Type.Text(clip(dst, p.ruler), ink.Pt{X: x, Y: p.dp(9)}, t.text, p.dp(look.AxisSize), look.Second, ink.MidCentre)
		}
		ink.Line(dst, ink.Pt{X: x, Y: foot - p.dp(long)}, ink.Pt{X: x, Y: foot}, ink.Pen{Width: math.Max(1, math.Round(p.scale)), Colour: c})
	}
	in := clip(dst, p.ruler)
	a.clip.gaps(func(before, after int) { drawGap(in, p, before, after) })
	for n := range a.clip.Unread {
		x := p.span.x(float64(n))
		ink.Polygon(in, []ink.Pt{{X: x, Y: foot - p.dp(8)}, {X: x + p.dp(5), Y: foot}, {X: x - p.dp(5), Y: foot}}, look.Warn)
	}
	a.drawExtent(dst, p)
}

// drawGap marks numbers that the footage lacks: a dark trough with a broken line.
func drawGap(in *image.RGBA, p *plan, before, after int) {
	x0, x1 := p.span.x(float64(before)+0.5), p.span.x(float64(after)-0.5)
	x1 = math.Max(x1, x0+2)
	if x1 < p.ruler.x0 || x0 > p.ruler.x1 {
		return
	}
	foot := p.ruler.y1
	fill(in, box{x0, foot - p.dp(6), x1, foot}, look.Plot)
	y := math.Floor(foot-p.dp(3)) + 0.5
	ink.Line(in, ink.Pt{X: math.Max(x0, p.ruler.x0), Y: y}, ink.Pt{X: math.Min(x1, p.ruler.x1), Y: y}, ink.Pen{Width: p.dp(1.2), Colour: look.Warn, Dash: []float64{p.dp(3), p.dp(3)}})
}

// drawExtent shows at the ruler's head which part of the clip is in view.
func (a *Area) drawExtent(dst *image.RGBA, p *plan) {
	first, whole := float64(a.clip.first()), float64(max(1, a.clip.last()-a.clip.first()))
	if p.span.hi-p.span.lo >= whole {
		return
	}
	wide := p.span.x1 - p.span.x0
	x0 := p.span.x0 + wide*(p.span.lo-first)/whole
	x1 := math.Max(p.span.x0+wide*(p.span.hi-first)/whole, x0+p.dp(6))
	fill(dst, box{p.span.x0, 0, p.span.x1, p.dp(2)}, look.Plot)
	fill(dst, box{x0, 0, x1, p.dp(2)}, look.Off)
}

// drawScroll shows which of the lanes are in view, where not all are.
func (a *Area) drawScroll(dst *image.RGBA, p *plan) {
	all, seen := float64(p.count)*p.dp(laneHigh), p.lanes.y1-p.lanes.y0
	if all <= seen+0.5 || seen <= 0 {
		return
	}
	y0 := p.lanes.y0 + seen*p.scroll/all
	x := p.lanes.x0 - p.dp(5)
	fill(dst, box{x, p.lanes.y0, x + p.dp(3), p.lanes.y1}, look.Plot)
	fill(dst, box{x, y0, x + p.dp(3), y0 + seen*seen/all}, look.Off)
}

// overlay draws what moves: the ends, the playhead, what is pointed at.
func (a *Area) overlay(dst *image.RGBA, p *plan) {
	a.drawHead(dst, p)
	a.drawEnds(dst, p)
	x := math.Round(p.span.x(float64(a.frame)))
	text := a.timeText(a.frame)
	half := (look.Type.Width(text, p.dp(look.SmallSize)) + p.dp(12)) / 2
	if in := clip(dst, box{p.ruler.x0, 0, p.ruler.x1, float64(p.h)}); x+half > p.ruler.x0 && x-half < p.ruler.x1 {
		ink.Line(in, ink.Pt{X: x + 0.5, Y: p.ruler.y1 - p.dp(4)}, ink.Pt{X: x + 0.5, Y: float64(p.h)}, ink.Pen{Width: p.dp(1.4), Colour: look.Bone})
		mid := math.Min(math.Max(x, p.ruler.x0+half), p.ruler.x1-half)
		fill(in, box{mid - half, p.dp(2), mid + half, p.ruler.y1 - p.dp(4)}, look.Bone)
		look.Type.Text(in, ink.Pt{X: mid, Y: (p.dp(2) + p.ruler.y1 - p.dp(4)) / 2}, text, p.dp(look.SmallSize), look.OnAccent, ink.MidCentre)
	}
	a.drawHover(dst, p)
	if a.focused && !a.byPress {
		d := p.dp(1)
		ink.Box(dst, ink.Rect{X0: d, Y0: d, X1: float64(p.w) - d, Y1: float64(p.h) - d}, ink.Pen{Width: p.dp(2), Colour: look.Accent})
	}
}

// drawHead draws the play button and the frame in words.
func (a *Area) drawHead(dst *image.RGBA, p *plan) {
	mid := p.ruler.y1 / 2
	x := p.dp(playWide) / 2
	c := look.Text
	if a.hover.kind == playButton {
		c = look.White
	}
	if a.playing {
		fill(dst, box{x - p.dp(5), mid - p.dp(6), x - p.dp(1.5), mid + p.dp(6)}, c)
		fill(dst, box{x + p.dp(1.5), mid - p.dp(6), x + p.dp(5), mid + p.dp(6)}, c)
	} else {
		ink.Polygon(dst, []ink.Pt{{X: x - p.dp(4), Y: mid - p.dp(6)}, {X: x + p.dp(6), Y: mid}, {X: x - p.dp(4), Y: mid + p.dp(6)}}, c)
	}
	text := a.timeText(a.frame)
	if a.units == Frames {
		text = fmt.Sprintf("frame %d", a.frame)
	}
	look.Type.Text(clip(dst, box{0, 0, p.ruler.x0 - 2, p.ruler.y1}), ink.Pt{X: p.dp(playWide), Y: mid}, text, p.dp(look.SmallSize), look.Text, ink.MidLeft)
}

// drawEnds draws the brackets of the part in work, and dims what lies beyond.
func (a *Area) drawEnds(dst *image.RGBA, p *plan) {
	in := clip(dst, p.ruler)
	veil := color.NRGBA{look.Plot.R, look.Plot.G, look.Plot.B, 0x90}
	top, foot := p.dp(endTop+7), p.ruler.y1-p.dp(1) // below the labels
	for _, e := range []struct {
		frame int
		arm   float64
	}{{a.in, 1}, {a.out, -1}} {
		x := math.Round(p.span.x(float64(e.frame)))
		if e.arm > 0 && a.in > a.clip.first() {
			fill(in, box{p.ruler.x0, 0, x, p.ruler.y1}, veil)
		}
		if e.arm < 0 && a.out < a.clip.last() {
			fill(in, box{x, 0, p.ruler.x1, p.ruler.y1}, veil)
		}
		x -= e.arm * p.dp(1)
		arm := x + e.arm*p.dp(5)
		ink.Polyline(in, []ink.Pt{{X: arm, Y: top}, {X: x, Y: top}, {X: x, Y: foot}, {X: arm, Y: foot}}, false, ink.Pen{Width: p.dp(2), Colour: look.Bone})
	}
}

// drawHover says on a small dark ground what lies under the pointer.
func (a *Area) drawHover(dst *image.RGBA, p *plan) {
	text := a.words(a.hover, a.hoverFrame)
	if text == "" || a.hover.kind == playButton || a.hover.kind == unitsLabel {
		return
	}
	size := p.dp(look.SmallSize)
	wide, high := look.Type.Width(text, size)+p.dp(12), p.dp(18)
	x := math.Min(math.Max(a.hoverX+p.dp(10), p.ruler.x0+2), float64(p.w)-wide-2)
	y := a.hoverY - high - p.dp(6)
	if y < 1 {
		y = a.hoverY + p.dp(14)
	}
	y = math.Min(y, float64(p.h)-high-1)
	fill(dst, box{x - 1, y - 1, x + wide + 1, y + high + 1}, look.Plot)
	fill(dst, box{x, y, x + wide, y + high}, look.Raised)
	look.Type.Text(dst, ink.Pt{X: x + p.dp(6), Y: y + high/2}, text, size, look.Text, ink.MidLeft)
}
