package timeline

import (
	"fmt"
	"image"
	"image/color"
	"math"
	"slices"

	"halocline/app/ink"
	"halocline/app/ui/look"
)

// Sizes of the strip's marks, in Fyne's units.
const (
	flagHigh = 11
	flagWide = 13
)

// Least full scales of the strip's figures, so that what is too small to be seen
// in the picture does not fill the strip.
const (
	leastFlicker = 0.02
	leastLeak    = 0.02
	leastMisfit  = 2
)

var (
	areaGrey  = color.NRGBA{0x4a, 0x4a, 0x4a, 0xff}
	staleGrey = color.NRGBA{0x30, 0x30, 0x30, 0xff}
)

// columns are the strip's figures by pixels from the strip's left.
type columns struct {
	area    []float64 // below 0: not known
	flicker []float64 // largest of the pixel's frames; below 0: none
	leak    []float64
	misfit  []float64
	stale   []bool
	tops    [4]float64 // full scales of area, flicker, leak, misfit
}

// columnsOf gathers notes by pixels.
func columnsOf(n *Notes, s span, x0 float64, wide int) *columns {
	c := &columns{stale: make([]bool, wide)}
	for _, p := range []*[]float64{&c.area, &c.flicker, &c.leak, &c.misfit} {
		*p = make([]float64, wide)
		for i := range *p {
			(*p)[i] = -1
		}
	}
	c.tops = [4]float64{1e-6, leastFlicker, leastLeak, leastMisfit}
	c.noteStale(n.Notes, s, x0)
	for i := range n.Notes {
		o := &n.Notes[i]
		x := int(s.x(float64(o.Frame)) - x0)
		in := x >= 0 && x < wide
		c.tops[0] = max(c.tops[0], o.Area)
		if in && o.Stale == c.stale[x] {
			c.area[x] = o.Area
		}
		for k, v := range []struct {
			known *float64
			line  []float64
		}{{o.Flicker, c.flicker}, {o.Leak, c.leak}, {o.Misfit, c.misfit}} {
			if v.known == nil {
				continue
			}
			c.tops[1+k] = max(c.tops[1+k], *v.known)
			if in && o.Stale == c.stale[x] {
				v.line[x] = max(v.line[x], *v.known)
			}
		}
	}
	c.fillArea(n.Notes, s, x0)
	return c
}

// noteStale notes which pixels have stale figures alone: where fresh ones are, these are shown.
func (c *columns) noteStale(notes []Note, s span, x0 float64) {
	fresh := make([]bool, len(c.stale))
	for i := range notes {
		if x := int(s.x(float64(notes[i].Frame)) - x0); x >= 0 && x < len(fresh) {
			fresh[x] = fresh[x] || !notes[i].Stale
			c.stale[x] = !fresh[x]
		}
	}
}

// fillArea runs from note to note where frames follow on each other, and half a
// frame to each side of one that stands alone, or beside which the other is stale or fresh.
func (c *columns) fillArea(notes []Note, s span, x0 float64) {
	if len(notes) == 0 {
		return
	}
	i := 0
	for x := range c.area {
		if c.area[x] >= 0 {
			continue // a frame's own
		}
		f := s.frameAt(x0 + float64(x) + 0.5)
		for i+1 < len(notes) && float64(notes[i+1].Frame) <= f {
			i++
		}
		a := &notes[i]
		u := f - float64(a.Frame)
		switch next := min(i+1, len(notes)-1); {
		case u >= 0 && notes[next].Frame == a.Frame+1 && notes[next].Stale == a.Stale:
			c.area[x] = a.Area + u*(notes[next].Area-a.Area)
			c.stale[x] = a.Stale
		case math.Abs(u) <= 0.5:
			c.area[x] = a.Area
			c.stale[x] = a.Stale
		case next > i && float64(notes[next].Frame)-f <= 0.5:
			c.area[x] = notes[next].Area
			c.stale[x] = notes[next].Stale
		}
	}
}

func (a *Area) drawStrip(dst *image.RGBA, p *plan) {
	s := p.strip
	in := clip(dst, s)
	c := columnsOf(&a.notes, p.span, s.x0, int(s.x1-s.x0))
	high := s.y1 - s.y0 - p.dp(flagHigh+2)
	c.drawArea(in, p, high)
	c.drawFlicker(in, p, high)
	c.drawLine(in, p, high, c.leak, c.tops[2], ink.Pen{Width: p.dp(1.4), Colour: look.Warn, Dash: []float64{p.dp(3), p.dp(3)}})
	c.drawLine(in, p, high, c.misfit, c.tops[3], ink.Pen{Width: p.dp(1), Colour: look.White})
	for i := len(a.notes.Flags) - 1; i >= 0; i-- { // the worst on top
		drawFlag(in, p, a.notes.Flags[i])
	}
	a.drawLegend(clip(dst, box{0, s.y0, s.x0, s.y1}), p)
}

func (c *columns) drawArea(in *image.RGBA, p *plan, high float64) {
	before := -1.0
	for x, v := range c.area {
		if x > 0 && c.stale[x] != c.stale[x-1] {
			before = -1
		}
		if v < 0 {
			before = -1
			continue
		}
		ground, line := areaGrey, look.Third
		if c.stale[x] {
			ground, line = staleGrey, look.Off
		}
		y, x0 := p.strip.y1-high*v/c.tops[0], p.strip.x0+float64(x)
		if before < 0 {
			before = y
		}
		fill(in, box{x0, y, x0 + 1, p.strip.y1}, ground)
		fill(in, box{x0, min(y, before) - 0.6, x0 + 1, max(y, before) + 0.6}, line)
		before = y
	}
}

func (c *columns) drawFlicker(in *image.RGBA, p *plan, high float64) {
	half := min(max(0.5, p.span.perFrame()/8), p.dp(1.5))
	for x, v := range c.flicker {
		if v <= 0 {
			continue
		}
		ink := look.Text
		if c.stale[x] {
			ink = look.Off
		}
		mid := p.strip.x0 + float64(x) + 0.5
		fill(in, box{mid - half, p.strip.y1 - high*0.8*v/c.tops[1], mid + half, p.strip.y1}, ink)
	}
}

// drawLine draws a line of a figure for each run of frames that are known, at
// least as far apart as the frames or the pixels are. Stale figures have lines of their own, in
// grey.
func (c *columns) drawLine(in *image.RGBA, p *plan, high float64, values []float64, top float64, pen ink.Pen) {
	apart := max(1.5, p.span.perFrame()*1.5)
	var run []ink.Pt
	stale := false // the run
	flush := func() {
		with := pen
		if stale {
			with.Colour = look.Off
		}
		if len(run) > 1 {
			ink.Polyline(in, run, false, with)
		} else if len(run) == 1 {
			ink.Line(in, ink.Pt{X: run[0].X - p.dp(2), Y: run[0].Y}, ink.Pt{X: run[0].X + p.dp(2), Y: run[0].Y}, ink.Pen{Width: with.Width, Colour: with.Colour})
		}
		run = run[:0]
	}
	for x, v := range values {
		if v < 0 {
			continue
		}
		at := ink.Pt{X: p.strip.x0 + float64(x) + 0.5, Y: p.strip.y1 - p.dp(1) - (high-p.dp(1))*v/top}
		if len(run) > 0 && (at.X-run[len(run)-1].X > apart || stale != c.stale[x]) {
			flush()
		}
		stale, run = c.stale[x], append(run, at)
	}
	flush()
}

func drawFlag(in *image.RGBA, p *plan, f Flag) {
	x, y := math.Round(p.span.x(float64(f.Frame))), p.strip.y0+1
	ink.Line(in, ink.Pt{X: x + 0.5, Y: y}, ink.Pt{X: x + 0.5, Y: p.strip.y1}, ink.Pen{Width: p.dp(1), Colour: look.Warn})
	w, h := p.dp(flagWide), p.dp(flagHigh)
	ink.Polygon(in, []ink.Pt{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w - p.dp(3), Y: y + h/2}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}, look.Warn)
	look.Type.Text(in, ink.Pt{X: x + w/2 - p.dp(1), Y: y + h/2}, fmt.Sprint(f.Rank), p.dp(look.AxisSize-1), look.OnAccent, ink.MidCentre)
}

// misfits reports whether a misfit is known of any frame.
func (n *Notes) misfits() bool {
	return slices.ContainsFunc(n.Notes, func(o Note) bool { return o.Misfit != nil })
}

// drawLegend names the figures beside the strip.
func (a *Area) drawLegend(in *image.RGBA, p *plan) {
	x0, x1 := p.dp(10), p.dp(24)
	size := p.dp(look.AxisSize)
	names, pitch := []string{"area", "flicker", "leak"}, 15.0
	if a.notes.misfits() {
		names, pitch = append(names, "misfit"), 11
	}
	for i, name := range names {
		y := p.strip.y0 + p.dp(9+pitch*float64(i))
		switch i {
		case 0:
			fill(in, box{x0, y - p.dp(4), x1, y + p.dp(4)}, areaGrey)
			fill(in, box{x0, y - p.dp(4), x1, y - p.dp(2.8)}, look.Third)
		case 1:
			for k := range 3 {
				x := x0 + p.dp(2+4.5*float64(k))
				fill(in, box{x, y - p.dp([]float64{2, 5, 3}[k]), x + p.dp(1.6), y + p.dp(4)}, look.Text)
			}
		case 2:
			ink.Line(in, ink.Pt{X: x0, Y: y}, ink.Pt{X: x1, Y: y}, ink.Pen{Width: p.dp(1.6), Colour: look.Warn, Dash: []float64{p.dp(3), p.dp(2.5)}})
		}
		if i == 3 {
			ink.Line(in, ink.Pt{X: x0, Y: y}, ink.Pt{X: x1, Y: y}, ink.Pen{Width: p.dp(1), Colour: look.White})
		}
		look.Type.Text(in, ink.Pt{X: p.dp(30), Y: y}, name, size, look.Second, ink.MidLeft)
	}
	if a.checking != "" {
		for i, words := range []string{"checked", a.checking} { // alone beside "area", a share would be taken for the area
			look.Type.Text(in, ink.Pt{X: p.strip.x0 - p.dp(6), Y: p.strip.y0 + p.dp(9+pitch*float64(i))}, words, size, look.Third, ink.MidRight)
		}
	}
}
