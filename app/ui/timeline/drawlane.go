package timeline

import (
	"image"
	"image/color"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
)

// drawLane draws a lane with its name. What sticks out of the lane's row is cut
// off: that is what makes a notch of a disc.
func (a *Area) drawLane(dst *image.RGBA, p *plan, i int) {
	l, r := &a.lanes[i], p.lane(i)
	a.drawName(clip(dst, box{0, r.y0, p.lanes.x0, r.y1}), p, l, r)
	in := clip(dst, r)
	works := r
	if l.In.Set {
		works.x0 = math.Max(r.x0, p.span.x(float64(l.In.Frame)-0.5))
	}
	if l.Out.Set {
		works.x1 = math.Min(r.x1, p.span.x(float64(l.Out.Frame)+0.5))
	}
	if !l.Off {
		fill(in, works, laneWorks)
	}
	line := look.Third
	if l.Off {
		line = look.Off
	}
	for _, path := range lanePaths(l, p.span, r, p.dp(1)) {
		ink.Polyline(in, path, false, ink.Pen{Width: p.dp(1.3), Colour: line})
	}
	a.drawLegs(in, p, l, r, line)
	for _, rest := range []box{{r.x0, r.y0, works.x0, r.y1}, {works.x1, r.y0, r.x1, r.y1}} {
		fill(in, rest, color.NRGBA{laneRests.R, laneRests.G, laneRests.B, 0xa0})
	}
	a.drawNotches(in, p, l, r)
	fill(in, box{r.x0, r.y1 - 1, r.x1, r.y1}, seam)
}

// drawNotches draws the keys; those that an edit reaches together in the accent,
// and chained.
func (a *Area) drawNotches(in *image.RGBA, p *plan, l *Lane, r box) {
	before := math.NaN() // of the last that is reached
	for _, k := range l.Keys {
		x := p.span.x(float64(k.Frame))
		c := look.Text
		switch {
		case k.Reached:
			c = look.Accent
			y := r.y0 + p.dp(1)
			ink.Line(in, ink.Pt{X: before, Y: y}, ink.Pt{X: x, Y: y}, ink.Pen{Width: p.dp(2), Colour: c})
			before = x
		case l.Off:
			c = look.Off
		}
		if x < r.x0-p.dp(10) || x > r.x1+p.dp(10) {
			continue
		}
		at := ink.Pt{X: x, Y: r.y0}
		ink.Disc(in, at, p.dp(notchRadius), c)
		if a.key == (chosenKey{true, l.ID, k.Frame}) {
			ink.Disc(in, at, p.dp(notchRadius), look.Accent)
			ink.Ring(in, at, p.dp(notchRadius+2.2), ink.Pen{Width: p.dp(1.5), Colour: look.Accent})
		}
	}
}

// lineHeight is where a lane's line passes by key i: low and high by turns.
func lineHeight(r box, dp float64, i int) float64 {
	if i%2 == 0 {
		return r.y1 - 4.5*dp
	}
	return r.y0 + 9*dp
}

// lanePaths are the line that goes low and high by turns, from key to key in the
// way of each; it has gaps where the mask follows the picture.
func lanePaths(l *Lane, s span, r box, dp float64) (all [][]ink.Pt) {
	keys := l.Keys
	height := func(i int) float64 { return lineHeight(r, dp, i) }
	pts := []ink.Pt{{X: r.x0, Y: height(0)}}
	gap := func() { all, pts = append(all, pts), nil }
	if l.Before && len(keys) > 0 {
		gap()
	}
	for i, k := range keys {
		x, y := s.x(float64(k.Frame)), height(i)
		pts = append(pts, ink.Pt{X: x, Y: y})
		if i == len(keys)-1 {
			break
		}
		x1, y1 := s.x(float64(keys[i+1].Frame)), height(i+1)
		switch k.Way {
		case Step:
			pts = append(pts, ink.Pt{X: x1, Y: y})
		case Curved:
			n := min(24, int(x1-x)/3)
			for j := 1; j < n; j++ {
				u := float64(j) / float64(n)
				pts = append(pts, ink.Pt{X: x + u*(x1-x), Y: y + (3-2*u)*u*u*(y1-y)})
			}
		case Follow:
			gap()
		}
	}
	if l.After && len(keys) > 0 {
		return append(all, pts)
	}
	return append(all, append(pts, ink.Pt{X: r.x1, Y: height(max(len(keys)-1, 0))}))
}

// drawName draws a lane's mark and name into the gutter.
func (a *Area) drawName(in *image.RGBA, p *plan, l *Lane, r box) {
	mid := (r.y0 + r.y1) / 2
	text, mark := look.Second, look.Bone
	if l.Chosen {
		fill(in, box{0, r.y0, r.x0, r.y1}, look.Card)
		fill(in, box{0, r.y0, p.dp(2), r.y1}, look.Accent)
		text = look.White
	}
	if l.Off {
		text, mark = look.Off, look.Off
	}
	x := p.dp(15)
	switch l.Kind {
	case Keep:
		ink.Disc(in, ink.Pt{X: x, Y: mid}, p.dp(4), mark)
	case Drop:
		ink.Box(in, ink.Rect{X0: x - p.dp(3.5), Y0: mid - p.dp(3.5), X1: x + p.dp(3.5), Y1: mid + p.dp(3.5)}, ink.Pen{Width: p.dp(1.6), Colour: mark})
	}
	left := p.dp(nameLeft)
	name := look.Type.Cut(l.Name, p.dp(look.SmallSize), r.x0-left-p.dp(nameRight))
	look.Type.Text(in, ink.Pt{X: left, Y: mid}, name, p.dp(look.SmallSize), text, ink.MidLeft)
	fill(in, box{0, r.y1 - 1, r.x0, r.y1}, seam)
}
