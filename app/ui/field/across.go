package field

import (
	"math"

	"halocline/app/study"
	"halocline/selection"
)

// lyingSlots is how finely a line tells where dabs lie across a plane.
const lyingSlots = 680 // half a Lab unit over all levels that there are

// A lying says how much of the keep dabs and of the drop dabs lies where across a plane.
// Each dab counts the same; the dabs of a kind sum to 1.
type lying struct {
	keep, drop [lyingSlots]float64
	low, high  float64 // the ends of where anything lies; low is above high for nothing
}

// lyingAcross measures dabs across a pick's plane.
func lyingAcross(p selection.Pick, dabs []selection.Dab) (l lying) {
	l.low, l.high = math.Inf(1), math.Inf(-1)
	counts := map[bool]int{}
	for _, d := range dabs {
		counts[d.Keep]++
	}
	for _, d := range dabs {
		of := &l.drop
		if d.Keep {
			of = &l.keep
		}
		each := 1 / float64(len(d.Colours)*counts[d.Keep])
		for _, c := range d.Colours {
			v := p.At(c)[selection.Across]
			l.low, l.high = min(l.low, v), max(l.high, v)
			of[slotOf(v)] += each
		}
	}
	return l
}

// slotOf returns the slot of a value, for what lies outside the first or the last.
func slotOf(v float64) int {
	lowest, highest := study.LevelSpec.Min, study.LevelSpec.Max
	return min(max(int((v-lowest)/(highest-lowest)*lyingSlots), 0), lyingSlots-1)
}

// A reach is the part of the levels that a line shows, in Lab units.
type reach struct{ low, high float64 }

// leastReach is the least that a line shows, in Lab units; edgeOfReach is what it shows
// beyond the outermost thing, of all.
const (
	leastReach  = 30
	edgeOfReach = 0.06
)

// reachOf shows all dabs, the level and its fades.
func reachOf(p selection.Pick, l *lying) reach {
	r := p.Limits[selection.Across]
	low, high := min(l.low, r.From-r.Before), max(l.high, r.From+r.After)
	if more := leastReach - (high - low); more > 0 {
		low, high = low-more/2, high+more/2
	}
	edge := edgeOfReach * (high - low)
	return reach{low - edge, high + edge}
}

// A levelPart is what of a plane's range can be grabbed.
type levelPart int

const (
	noLevelPart levelPart = iota
	dropFade              // the end of the fade on the drop side
	theLevel
	keepFade // the end of the fade on the keep side
)

// valueAt returns where a part stands.
func valueAt(p selection.Pick, what levelPart) float64 {
	r := p.Limits[selection.Across].Range
	switch what {
	case dropFade:
		return r.From - r.Before
	case keepFade:
		return r.From + r.After
	}
	return r.From
}

// movedLevel returns p with one part moved. The fades go along with the level; the end of a
// fade does not pass it.
func movedLevel(p selection.Pick, what levelPart, by float64) selection.Pick {
	if by == 0 { // nothing is rounded that nobody moved
		return p
	}
	r := &p.Limits[selection.Across].Range
	v := rounded(valueAt(p, what)+by, fine(p.Model, selection.Across))
	switch what {
	case dropFade:
		*r = study.WithPlaneNumber(*r, study.DropFadeSpec.Name, between(tidy(r.From-v), 0, study.DropFadeSpec.Max))
	case keepFade:
		*r = study.WithPlaneNumber(*r, study.KeepFadeSpec.Name, between(tidy(v-r.From), 0, study.KeepFadeSpec.Max))
	case theLevel:
		*r = study.WithPlaneNumber(*r, study.LevelSpec.Name, between(v, study.LevelSpec.Min, study.LevelSpec.Max))
	}
	return p
}

// A lineGeometry says where things of a PlaneLine are, in screen pixels.
type lineGeometry struct {
	w, h  int
	scale float64 // screen pixels per unit
	reach
}

// Heights in a PlaneLine, in Fyne's units.
const (
	levelTop  = 7  // the middle of the level's handle, above
	fadesFoot = 20 // the middle of the fades' handles, above the foot
	axisFoot  = 14 // the room for numbers
	grabReach = 9  // how far from a handle or a line a press still takes it
)

func (g lineGeometry) dp(units float64) float64 { return units * g.scale }
func (g lineGeometry) perPixel() float64        { return (g.high - g.low) / float64(g.w) }
func (g lineGeometry) pixel(v float64) float64  { return (v - g.low) / g.perPixel() }

// handle returns the middle of a part's handle. The level's is above, those of the fades
// are below, so that a fade of no width can be taken beside the level.
func (g lineGeometry) handle(p selection.Pick, what levelPart) (x, y float64) {
	x, y = g.pixel(valueAt(p, what)), float64(g.h)-g.dp(fadesFoot)
	if what == theLevel {
		y = g.dp(levelTop)
	}
	return x, y
}

// hit returns what a press takes: the nearest handle, else the nearest line.
func (g lineGeometry) hit(p selection.Pick, x, y float64) levelPart {
	if g.w == 0 || p.Model != selection.PlaneModel || p.Limits[selection.Across].Off {
		return noLevelPart
	}
	best, least := noLevelPart, g.dp(grabReach)
	for _, what := range []levelPart{theLevel, dropFade, keepFade} {
		hx, hy := g.handle(p, what)
		d := math.Hypot(x-hx, y-hy)
		if what == keepFade && d == least && x >= hx {
			d-- // both fades have no width: the side of the press tells
		}
		if d < least {
			best, least = what, d
		}
	}
	if best != noLevelPart {
		return best
	}
	for _, what := range []levelPart{theLevel, dropFade, keepFade} {
		if d := math.Abs(x - g.pixel(valueAt(p, what))); d < least {
			best, least = what, d
		}
	}
	return best
}
