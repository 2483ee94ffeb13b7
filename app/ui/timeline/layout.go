package timeline

import (
	"math"

	"halocline/app/ui/look"
)

// Heights and widths, in Fyne's units.
const (
	gutterWide  = 112 // at least: it follows the longest name
	gutterMost  = 176 // longer names are cut
	nameLeft    = 26  // a lane's name, beside its mark
	nameRight   = 8   // of what follows it
	rulerHigh   = 24
	laneHigh    = 24
	stripHigh   = 48
	plotInset   = 8 // so that a notch at either end is whole
	notchRadius = 5.5
	notchReach  = 8 // from a notch's middle
	endReach    = 6 // from the brackets
	endTop      = 7 // brackets stand in the lower part of the ruler
	playWide    = 30
)

// A box is a rectangle of pixels.
type box struct{ x0, y0, x1, y1 float64 }

func (b box) contains(x, y float64) bool { return x >= b.x0 && x < b.x1 && y >= b.y0 && y < b.y1 }

// A plan is where things stand in a picture of w x h pixels.
type plan struct {
	w, h   int
	scale  float64 // pixels per unit
	gutter float64 // units
	span   span
	ruler  box // these without the gutter
	lanes  box
	strip  box
	scroll float64 // pixels of lanes that lie above the lanes' box
	count  int     // lanes
}

// gutterFor is how wide the gutter is that has the names of lanes.
func gutterFor(lanes []Lane) float64 {
	wide := float64(gutterWide)
	for i := range lanes {
		wide = max(wide, nameLeft+look.Type.Width(lanes[i].Name, look.SmallSize)+nameRight+1)
	}
	return min(wide, gutterMost)
}

// newPlan lays out an area whose gutter is so wide, in units.
func newPlan(w, h int, scale, gutter, lo, hi float64, count int, scroll float64) plan {
	p := plan{w: w, h: h, scale: scale, gutter: gutter, count: count}
	left, right, foot := math.Round(p.dp(gutter)), float64(w), float64(h)
	top, bottom := math.Round(p.dp(rulerHigh)), foot-math.Round(p.dp(stripHigh))
	p.ruler = box{left, 0, right, top}
	p.lanes = box{left, top, right, max(top, bottom)}
	p.strip = box{left, max(top, bottom), right, foot}
	p.span = span{lo, hi, left + p.dp(plotInset), right - p.dp(plotInset)}
	p.scroll = min(max(0, scroll), max(0, float64(count)*p.dp(laneHigh)-(p.lanes.y1-p.lanes.y0)))
	return p
}

func (p *plan) dp(v float64) float64 { return v * p.scale }

// usable reports whether there is room to draw in.
func (p *plan) usable() bool { return p.span.x1 > p.span.x0+1 && float64(p.h) > p.ruler.y1 }

// lane is the row of a lane, which may lie outside of the lanes' box.
func (p *plan) lane(i int) box {
	y := p.lanes.y0 + math.Round(float64(i)*p.dp(laneHigh)-p.scroll)
	return box{p.lanes.x0, y, p.lanes.x1, y + p.dp(laneHigh)}
}

// laneAt is the number of the lane at a height; -1 for none.
func (p *plan) laneAt(y float64) int {
	if y < p.lanes.y0 || y >= p.lanes.y1 {
		return -1
	}
	if i := int((y - p.lanes.y0 + p.scroll) / p.dp(laneHigh)); i < p.count {
		return i
	}
	return -1
}

// A partKind is a kind of thing that can be pressed.
type partKind int

const (
	nothing partKind = iota
	playButton
	unitsLabel
	theRuler
	inEnd
	outEnd
	laneName
	aLane
	aNotch
	theStrip
	aFlag
	theLegend
)

// A part is one thing that can be pressed.
type part struct {
	kind  partKind
	lane  int // its number
	frame int // of a notch or a flag
}

// hit finds what is at a place.
func (a *Area) hit(p *plan, x, y float64) part {
	lane := p.laneAt(y)
	switch {
	case !p.usable() || x < 0 || y < 0 || x >= float64(p.w) || y >= float64(p.h):
		return part{}
	case x < p.ruler.x0 && y < p.ruler.y1 && x < p.dp(playWide):
		return part{kind: playButton}
	case x < p.ruler.x0 && y < p.ruler.y1:
		return part{kind: unitsLabel}
	case x < p.ruler.x0 && lane >= 0:
		return part{kind: laneName, lane: lane}
	case x < p.ruler.x0:
		return part{kind: theLegend}
	case y < p.ruler.y1:
		return a.hitRuler(p, x, y)
	case lane >= 0:
		return a.hitLane(p, lane, x, y)
	case p.strip.contains(x, y):
		return a.hitStrip(p, x, y)
	}
	return part{}
}

// hitRuler finds the brackets before the ruler itself: of the two the nearer. Where the playhead
// lies over them it is what is taken hold of.
func (a *Area) hitRuler(p *plan, x, y float64) part {
	in, out := math.Abs(x-p.span.x(float64(a.in))), math.Abs(x-p.span.x(float64(a.out)))
	reach := p.dp(endReach)
	switch {
	case y < p.dp(endTop), math.Abs(x-p.span.x(float64(a.frame))) <= reach:
	case in <= reach && (in < out || in == out && x <= p.span.x(float64(a.in))):
		return part{kind: inEnd}
	case out <= reach:
		return part{kind: outEnd}
	}
	return part{kind: theRuler}
}

// hitLane finds the nearest notch within reach.
func (a *Area) hitLane(p *plan, lane int, x, _ float64) part {
	best, found := p.dp(notchReach), part{kind: aLane, lane: lane}
	for _, k := range a.lanes[lane].Keys {
		if d := math.Abs(x - p.span.x(float64(k.Frame))); d <= best {
			best, found = d, part{aNotch, lane, k.Frame}
		}
	}
	return found
}

func (a *Area) hitStrip(p *plan, x, y float64) part {
	if y < p.strip.y0+p.dp(flagHigh) {
		for _, f := range a.notes.Flags {
			if d := x - p.span.x(float64(f.Frame)); d >= -p.dp(3) && d <= p.dp(flagWide) {
				return part{kind: aFlag, frame: f.Frame}
			}
		}
	}
	return part{kind: theStrip}
}
