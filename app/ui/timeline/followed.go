package timeline

import (
	"fmt"
	"image"
	"image/color"
	"math"

	"halocline/app/ink"
)

// A Sure is how likely a followed outline is right on a frame where it was found.
type Sure struct {
	Frame int
	Value float64 // in [0,1]
	Low   bool    // it may be wrong
}

// A leg is a part of a lane's line along which its mask follows the picture.
type leg struct {
	from, to ink.Pt
}

// along is the place of a leg's line at an x.
func (g leg) along(x float64) ink.Pt {
	if g.to.X <= g.from.X {
		return g.from
	}
	u := (x - g.from.X) / (g.to.X - g.from.X)
	return ink.Pt{X: x, Y: g.from.Y + u*(g.to.Y-g.from.Y)}
}

// follows reports whether the lane's mask follows the picture to a frame.
func (l *Lane) follows(frame int) bool {
	next, at := l.key(frame)
	switch {
	case at || len(l.Keys) == 0:
		return false
	case next == 0:
		return l.Before
	case next == len(l.Keys):
		return l.After
	}
	return l.Keys[next-1].Way == Follow
}

// sure is what is known of a frame; nil for nothing.
func (l *Lane) sure(frame int) *Sure {
	for i := range l.Sure {
		if l.Sure[i].Frame == frame {
			return &l.Sure[i]
		}
	}
	return nil
}

// followWords say how a lane's mask comes to a frame where it follows the picture; "" elsewhere.
func (l *Lane) followWords(frame int) string {
	if !l.follows(frame) {
		return ""
	}
	if s := l.sure(frame); s != nil {
		return "follows, " + sureWords(s.Value)
	}
	return "follows the picture, not found yet"
}

// sureWords say a confidence; it is rounded down.
func sureWords(confidence float64) string {
	return fmt.Sprintf("%.0f %% sure", math.Floor(100*confidence))
}

// legs are the parts of a lane's line along which its mask follows the picture.
func legs(l *Lane, s span, r box, dp float64) (all []leg) {
	at := func(i int) ink.Pt { return ink.Pt{X: s.x(float64(l.Keys[i].Frame)), Y: lineHeight(r, dp, i)} }
	last := len(l.Keys) - 1
	if last < 0 {
		return nil
	}
	if first := at(0); l.Before && first.X > r.x0 {
		all = append(all, leg{from: ink.Pt{X: r.x0, Y: first.Y}, to: first})
	}
	for i := range last {
		if l.Keys[i].Way == Follow {
			all = append(all, leg{from: at(i), to: at(i + 1)})
		}
	}
	if end := at(last); l.After && end.X < r.x1 {
		all = append(all, leg{from: end, to: ink.Pt{X: r.x1, Y: end.Y}})
	}
	return all
}

// drawLegs draws where a lane's mask follows the picture: as two fine lines where nothing is
// known of it; else as one, the thinner the less sure the outline is, and broken where it may
// be wrong.
func (a *Area) drawLegs(in *image.RGBA, p *plan, l *Lane, r box, c color.NRGBA) {
	for _, g := range legs(l, p.span, r, p.dp(1)) {
		x := g.from.X
		for _, s := range l.Sure {
			x0, x1 := p.span.x(float64(s.Frame)-0.5), p.span.x(float64(s.Frame)+0.5)
			if !l.follows(s.Frame) || x1 <= g.from.X || x0 >= g.to.X {
				continue
			}
			x0, x1 = math.Max(x0, g.from.X), math.Min(x1, g.to.X)
			drawUnknown(in, p, g, x, x0, c)
			drawSure(in, p, g, x0, x1, s, c)
			x = x1
		}
		drawUnknown(in, p, g, x, g.to.X, c)
	}
}

func drawUnknown(in *image.RGBA, p *plan, g leg, x0, x1 float64, c color.NRGBA) {
	if x1 <= x0 {
		return
	}
	for _, off := range []float64{-1.5, 1.5} {
		a, b := g.along(x0), g.along(x1)
		a.Y, b.Y = a.Y+p.dp(off), b.Y+p.dp(off)
		ink.Line(in, a, b, ink.Pen{Width: p.dp(0.7), Colour: c})
	}
}

// Widths of the line where an outline is as sure as can be, and where it is less so that it
// may just not be wrong; and the length of a broken one's pieces. In Fyne's units.
const (
	sureWide = 2.4
	sureThin = 0.8
	broken   = 3
)

func drawSure(in *image.RGBA, p *plan, g leg, x0, x1 float64, s Sure, c color.NRGBA) {
	if !s.Low {
		wide := sureThin + (sureWide-sureThin)*math.Max(s.Value-0.5, 0)/0.5
		ink.Line(in, g.along(x0), g.along(x1), ink.Pen{Width: p.dp(wide), Colour: c})
		return
	}
	piece := p.dp(broken)
	for k := math.Floor(x0 / piece); k*piece < x1; k++ {
		if math.Mod(k, 2) == 0 {
			from, to := math.Max(k*piece, x0), math.Min((k+1)*piece, x1)
			ink.Line(in, g.along(from), g.along(to), ink.Pen{Width: p.dp(sureThin), Colour: c})
		}
	}
}
