package field

import (
	"math"

	"halocline/colour"
	"halocline/selection"
)

// How much of the hue circle the field shows, in degrees.
const (
	openWidth = 210
	minWidth  = 30
	maxWidth  = 420
)

// A hueWindow is the part of the hue circle that the field shows, in degrees.
// Wider than 360 it shows some hues twice.
type hueWindow struct{ centre, width float64 }

// opened returns the window about a hue limit. Where every hue counts it is the
// whole circle with 0 at both ends.
func opened(l selection.Limit) hueWindow {
	if l.Off || l.Span() >= 360 {
		return hueWindow{180, 360}
	}
	extent := l.Before + l.Span() + l.After
	return hueWindow{middleOf(l.Range), min(max(openWidth, extent*1.1), maxWidth)}
}

// middleOf returns the hue in the middle of a range's full part.
func middleOf(r selection.Range) float64 { return norm(r.From + r.Span()/2) }

func norm(hue float64) float64 { return float64(colour.Degrees(hue).Norm()) }

// arc returns the shortest signed turn from a to b.
func arc(a, b float64) float64 { return float64(colour.Degrees(a).ArcTo(colour.Degrees(b))) }

// at returns the hue at a share of the width, not brought into [0,360).
func (w hueWindow) at(share float64) float64 { return w.centre + (share-0.5)*w.width }

// share returns where a hue stands that is not brought into [0,360).
func (w hueWindow) share(hue float64) float64 { return 0.5 + (hue-w.centre)/w.width }

// near returns the turn of hue nearest to the window's centre.
func (w hueWindow) near(hue float64) float64 { return w.centre + arc(w.centre, hue) }

// zoomed returns the window with its width times factor; the hue at share stays.
func (w hueWindow) zoomed(share, factor float64) hueWindow {
	width := min(max(w.width*factor, minWidth), maxWidth)
	return hueWindow{norm(w.at(share) - (share-0.5)*width), width}
}

// contains reports whether a limit's full part lies in the window.
func (w hueWindow) contains(r selection.Range) bool {
	return math.Abs(arc(w.centre, middleOf(r)))+r.Span()/2 <= w.width/2
}

// A tick is a mark of an axis, its value in the axis's unit.
type tick struct {
	share float64
	value float64
}

// ticks returns the marks at whole intervals of degrees that have at least room
// between them, of which length is one window's width. Values are in [0,360).
func (w hueWindow) ticks(length, room float64) (ticks []tick) {
	interval := intervalOf([]float64{1, 2, 5, 10, 15, 30, 60, 90, 180}, w.width, length, room)
	for h := math.Ceil(w.at(0)/interval) * interval; h <= w.at(1); h += interval {
		ticks = append(ticks, tick{w.share(h), norm(h) + 0}) // no -0
	}
	return ticks
}

// zeros returns where the hue 0 stands.
func (w hueWindow) zeros() (shares []float64) {
	for h := math.Ceil(w.at(0)/360) * 360; h <= w.at(1); h += 360 {
		shares = append(shares, w.share(h))
	}
	return shares
}

// upTicks returns the marks of an axis from 0 to top, without its ends.
func upTicks(top, length, room float64) (ticks []tick) {
	interval := intervalOf([]float64{0.1, 0.2, 0.5, 5, 10, 20, 50}, top, length, room)
	for i := 1; float64(i)*interval < top*0.999; i++ {
		v := float64(i) * interval
		ticks = append(ticks, tick{v / top, v})
	}
	return ticks
}

// intervalOf returns the first interval that takes at least room.
func intervalOf(intervals []float64, span, length, room float64) float64 {
	for _, s := range intervals {
		if s/span*length >= room {
			return s
		}
	}
	return intervals[len(intervals)-1]
}
