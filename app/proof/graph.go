package proof

import (
	"fmt"
	"image"
	"math"
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

func (f graphFrame) at(v, y float64) point {
	u := (v - f.low) / (f.high - f.low)
	return point{float64(f.area.Min.X) + u*float64(f.area.Dx()), float64(f.area.Max.Y) - y/f.top*float64(f.area.Dy())}
}

// Draw draws the graph over a rectangle of a picture; scale is pixels for a
// typographic unit, 1 where text of 11 pixels is small.
func (g Graph) Draw(dst *image.RGBA, in image.Rectangle, of *Type, scale float64) error {
	p := newPen(dst, of)
	defer p.close()
	p.fill(in, plot)
	px := func(v float64) int { return int(math.Round(v * scale)) }
	f := graphFrame{area: image.Rect(in.Min.X+px(40), in.Min.Y+px(34), in.Max.X-px(16), in.Max.Y-px(30))}
	if len(g.Values) < 2 || f.area.Dx() < 20 || f.area.Dy() < 20 {
		return nil
	}
	f.low, f.high = g.Values[0], g.Values[len(g.Values)-1]
	f.top = g.top()
	small := text{size: 11 * scale, ink: secondInk}
	if err := g.axes(p, f, scale, small); err != nil {
		return err
	}
	if !math.IsNaN(g.Least) {
		foot, head := f.at(g.Least, 0), f.at(g.Least, f.top)
		p.line([]point{foot, head}, 2*scale, 0, accent)
	}
	p.line(measured(f, g.Values, g.Misfit), 3.6*scale, 0, secondInk)
	p.line(measured(f, g.Values, g.Bleed), 1.8*scale, 4*scale, bone)
	p.line(measured(f, g.Values, g.Rim), 1.8*scale, 0, bone)
	for _, q := range measured(f, g.Values, g.Bleed) {
		p.square(q, 7*scale, plot, bone)
	}
	for _, q := range measured(f, g.Values, g.Rim) {
		p.disc(q, 3.5*scale, bone)
	}
	return g.legend(p, in, scale)
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

func (g Graph) axes(p *pen, f graphFrame, scale float64, small text) error {
	const lines = 4
	for i := range lines + 1 {
		v := f.top * float64(i) / lines
		q := f.at(f.low, v)
		p.fill(image.Rect(f.area.Min.X, int(q.y), f.area.Max.X, int(q.y)+1), grid)
		t := small
		t.anchor = 1
		if err := p.write(q.x-8*scale, q.y+4*scale, fmt.Sprintf("%.3g", v), t); err != nil {
			return err
		}
	}
	last := math.Inf(-1)
	for i, v := range g.Values {
		q := f.at(v, 0)
		t := small
		t.anchor = 0.5
		s := fmt.Sprintf("%.3g", v)
		if i == len(g.Values)-1 && g.Unit != "" {
			t.anchor = 0.8
			s += " " + g.Unit
		}
		if room := 9 * scale * float64(len(s)); q.x-last < room && i < len(g.Values)-1 || i < len(g.Values)-1 && f.at(f.high, 0).x-q.x < 40*scale && i > 0 {
			continue
		}
		last = q.x
		if err := p.write(q.x, float64(f.area.Max.Y)+18*scale, s, t); err != nil {
			return err
		}
	}
	return nil
}

// measured are the places of the figures that there are.
func measured(f graphFrame, values, figures []float64) (out []point) {
	for i, v := range figures {
		if !math.IsNaN(v) {
			out = append(out, f.at(values[i], v))
		}
	}
	return out
}

// legend says above the lines which is which.
func (g Graph) legend(p *pen, in image.Rectangle, scale float64) error {
	y := float64(in.Min.Y) + 18*scale
	x := float64(in.Min.X) + 12*scale
	sample := func(width, dash float64, mark func(at point)) {
		c := bone
		if mark == nil {
			c = secondInk
		}
		p.line([]point{{x, y - 4*scale}, {x + 20*scale, y - 4*scale}}, width*scale, dash*scale, c)
		if mark != nil {
			mark(point{x + 10*scale, y - 4*scale})
		}
		x += 25 * scale
	}
	name := func(s string, ahead float64) error {
		err := p.write(x, y, s, text{size: 11 * scale, ink: ink})
		x += ahead * scale
		return err
	}
	if g.Graded {
		sample(1.8, 0, func(at point) { p.disc(at, 3.5*scale, bone) })
		if err := name("rim", 36); err != nil {
			return err
		}
		sample(1.8, 4, func(at point) { p.square(at, 7*scale, plot, bone) })
		if err := name("bleed", 56); err != nil {
			return err
		}
	}
	sample(3.6, 0, nil)
	if g.Graded {
		return name("misfit, ΔE", 0)
	}
	return name("edge mismatch, no trial", 0)
}
