package proof

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"math"

	"halocline/app/ink"
)

// A Graph shows what a sweep costs: rim as a line with discs, bleed dashed with
// squares, misfit thick, over the value that is swept; the least misfit is marked.
// Without a trial it is the edge mismatch alone.
type Graph struct {
	Unit   string    // of the values
	Values []float64 // rising
	Rim    []float64 // of each value; NaN: not known
	Bleed  []float64
	Misfit []float64 // the edge mismatch where there is no trial
	Least  float64   // NaN: not known
	Chosen float64   // is ringed; NaN: none
	Graded bool      // there is a trial
}

// GraphOf returns the graph of a sweep's items, the figures of which may still be
// coming.
func GraphOf(sweep *Sweep, items []Item, all []Figures) Graph {
	g := Graph{Unit: sweep.Of.Unit, Least: math.NaN(), Chosen: math.NaN()}
	or := func(v *float64) float64 {
		if v == nil {
			return math.NaN()
		}
		return *v
	}
	for i, it := range items {
		if it.Swept && all[i].Misfit != nil {
			g.Graded = true
		}
	}
	for i, it := range items {
		if !it.Swept {
			continue
		}
		f := all[i]
		g.Values = append(g.Values, it.Value)
		g.Rim, g.Bleed = append(g.Rim, or(f.Rim)), append(g.Bleed, or(f.Bleed))
		if g.Graded {
			g.Misfit = append(g.Misfit, or(f.Misfit))
		} else {
			g.Misfit = append(g.Misfit, or(f.EdgeMismatch))
		}
	}
	if l, ok := LeastMisfit(items, all); ok {
		g.Least = l.At
	}
	return g
}

// A frame is where on a picture a graph's lines lie.
type graphFrame struct {
	area     image.Rectangle
	low, top float64 // of the values, of the figures
	high     float64
}

func (f graphFrame) at(v, y float64) ink.Pt {
	u := (v - f.low) / (f.high - f.low)
	return ink.Pt{X: float64(f.area.Min.X) + u*float64(f.area.Dx()), Y: float64(f.area.Max.Y) - y/f.top*float64(f.area.Dy())}
}

// A graphPen draws a graph's lines and words; lengths are in typographic units.
type graphPen struct {
	dst   *image.RGBA
	of    ink.Type
	scale float64 // px to a unit
}

const axisSize = 11

// grid is the grey of the lines across a graph.
var grid = color.NRGBA{0x38, 0x38, 0x38, 0xff}

func (p graphPen) write(x, y float64, s string, c color.NRGBA, anchor ink.Anchor) {
	p.of.Text(p.dst, ink.Pt{X: x, Y: y}, s, axisSize*p.scale, c, anchor)
}

func (p graphPen) line(pts []ink.Pt, width, dash float64, c color.NRGBA) {
	pen := ink.Pen{Width: width * p.scale, Colour: c}
	if dash > 0 {
		pen.Dash = []float64{dash * p.scale, dash * p.scale}
	}
	ink.Polyline(p.dst, pts, false, pen)
}

func (p graphPen) disc(at ink.Pt) { ink.Disc(p.dst, at, 3.5*p.scale, ink.Bone) }

// square draws a hollow one, which hides what lies behind it.
func (p graphPen) square(at ink.Pt) {
	half, width := 3.2*p.scale, 1.2*p.scale
	r := ink.Rect{X0: at.X - half, Y0: at.Y - half, X1: at.X + half, Y1: at.Y + half}
	ink.Fill(p.dst, r, ink.Plot)
	ink.Box(p.dst, r, ink.Pen{Width: width, Colour: ink.Bone})
}

// Draw draws the graph over a rectangle of a picture; scale is pixels for a
// typographic unit, 1 where text of 11 pixels is small.
func (g Graph) Draw(dst *image.RGBA, in image.Rectangle, of ink.Type, scale float64) {
	p := graphPen{dst, of, scale}
	draw.Draw(dst, in, image.NewUniform(ink.Plot), image.Point{}, draw.Src)
	px := func(v float64) int { return int(math.Round(v * scale)) }
	f := graphFrame{area: image.Rect(in.Min.X+px(40), in.Min.Y+px(34), in.Max.X-px(16), in.Max.Y-px(30))}
	if len(g.Values) < 2 || f.area.Dx() < 20 || f.area.Dy() < 20 {
		return
	}
	f.low, f.high = g.Values[0], g.Values[len(g.Values)-1]
	f.top = g.top()
	g.axes(p, f)
	if !math.IsNaN(g.Least) {
		p.line([]ink.Pt{f.at(g.Least, 0), f.at(g.Least, f.top)}, 2, 0, ink.Accent)
	}
	p.line(measured(f, g.Values, g.Misfit), 3.6, 0, ink.Second)
	p.line(measured(f, g.Values, g.Bleed), 1.8, 4, ink.Bone)
	p.line(measured(f, g.Values, g.Rim), 1.8, 0, ink.Bone)
	for _, q := range measured(f, g.Values, g.Bleed) {
		p.square(q)
	}
	for _, q := range measured(f, g.Values, g.Rim) {
		p.disc(q)
	}
	g.legend(p, in)
}

// top is a round number that no figure is above.
func (g Graph) top() float64 {
	most := 0.0
	for _, row := range [][]float64{g.Rim, g.Bleed, g.Misfit} {
		for _, v := range row {
			if v > most {
				most = v
			}
		}
	}
	if most == 0 {
		return 1
	}
	unit := math.Pow(10, math.Floor(math.Log10(most)))
	for _, k := range []float64{1, 2, 3, 4, 5, 6, 8, 10} {
		if k*unit >= 1.02*most {
			return k * unit
		}
	}
	return 20 * unit
}

func (g Graph) axes(p graphPen, f graphFrame) {
	const lines = 4
	for i := range lines + 1 {
		v := f.top * float64(i) / lines
		q := f.at(f.low, v)
		y := math.Floor(q.Y)
		ink.Fill(p.dst, ink.Rect{X0: float64(f.area.Min.X), Y0: y, X1: float64(f.area.Max.X), Y1: y + 1}, grid)
		p.write(q.X-8*p.scale, q.Y+4*p.scale, fmt.Sprintf("%.3g", v), ink.Second, ink.BaseRight)
	}
	y := float64(f.area.Max.Y) + 18*p.scale
	last := math.Inf(-1)
	for i, v := range g.Values {
		s, x := fmt.Sprintf("%.3g", v), f.at(v, 0).X
		if i == len(g.Values)-1 {
			if g.Unit != "" { // most of it lies before the end
				s += " " + g.Unit
				x -= 0.3 * p.of.Width(s, axisSize*p.scale)
			}
			p.write(x, y, s, ink.Second, ink.BaseCentre)
			break
		}
		crowded := x-last < 9*p.scale*float64(len(s)) || i > 0 && f.at(f.high, 0).X-x < 40*p.scale
		if !crowded {
			last = x
			p.write(x, y, s, ink.Second, ink.BaseCentre)
		}
	}
}

// measured are the places of the figures that there are.
func measured(f graphFrame, values, figures []float64) (out []ink.Pt) {
	for i, v := range figures {
		if !math.IsNaN(v) {
			out = append(out, f.at(values[i], v))
		}
	}
	return out
}

// legend says above the lines which is which.
func (g Graph) legend(p graphPen, in image.Rectangle) {
	x, y := float64(in.Min.X)+12*p.scale, float64(in.Min.Y)+18*p.scale
	sample := func(width, dash float64, c color.NRGBA, mark func(at ink.Pt)) {
		mid := y - 4*p.scale
		p.line([]ink.Pt{{X: x, Y: mid}, {X: x + 20*p.scale, Y: mid}}, width, dash, c)
		if mark != nil {
			mark(ink.Pt{X: x + 10*p.scale, Y: mid})
		}
		x += 25 * p.scale
	}
	name := func(s string, ahead float64) {
		p.write(x, y, s, ink.Text, ink.BaseLeft)
		x += ahead * p.scale
	}
	misfit := "edge mismatch, no trial"
	if g.Graded {
		sample(1.8, 0, ink.Bone, p.disc)
		name("rim", 36)
		sample(1.8, 4, ink.Bone, p.square)
		name("bleed", 56)
		misfit = "misfit, ΔE"
	}
	sample(3.6, 0, ink.Second, nil)
	name(misfit, 0)
}
