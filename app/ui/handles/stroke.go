package handles

import (
	"iter"
	"math"

	"halocline/app/ink"
)

// A stroke is a straight piece of a contour, or an arc where it has a radius.
type stroke struct {
	from   ink.Pt  // where it begins; an arc's centre
	way    ink.Pt  // of length 1: where it goes; from an arc's centre to where it begins
	long   float64 // a straight one's length, px
	radius float64 // px
	turn   float64 // an arc's angle, radians, from the x axis toward the y axis
}

func (s stroke) length() float64 {
	if s.radius > 0 {
		return s.radius * math.Abs(s.turn)
	}
	return s.long
}

// at returns the place so far along the stroke.
func (s stroke) at(along float64) ink.Pt {
	if s.radius > 0 {
		sin, cos := math.Sincos(math.Copysign(along/s.radius, s.turn))
		return beyond(s.from, ink.Pt{X: cos*s.way.X - sin*s.way.Y, Y: sin*s.way.X + cos*s.way.Y}, s.radius)
	}
	return beyond(s.from, s.way, along)
}

// every yields the places at whole multiples of gap, counted from so much before
// the stroke begins, that lie in a rectangle.
func (s stroke) every(gap, before float64, in ink.Rect) iter.Seq[ink.Pt] {
	return func(yield func(ink.Pt) bool) {
		from, to := s.visible(in)
		first := math.Ceil((before + from) / gap)
		for k := first; k*gap-before < to; k++ {
			at := s.at(k*gap - before)
			if at.X < in.X0 || at.X > in.X1 || at.Y < in.Y0 || at.Y > in.Y1 {
				continue
			}
			if !yield(at) {
				return
			}
		}
	}
}

// visible returns the part of the stroke, by length, outside of which nothing
// lies in a rectangle; to is not above from where nothing does at all.
func (s stroke) visible(in ink.Rect) (from, to float64) {
	if s.radius > 0 {
		if s.from.X+s.radius < in.X0 || s.from.X-s.radius > in.X1 || s.from.Y+s.radius < in.Y0 || s.from.Y-s.radius > in.Y1 {
			return 0, 0
		}
		return 0, s.length()
	}
	from, to = 0, s.long
	for _, axis := range [2][4]float64{{s.from.X, s.way.X, in.X0, in.X1}, {s.from.Y, s.way.Y, in.Y0, in.Y1}} {
		at, way, low, high := axis[0], axis[1], axis[2], axis[3]
		if way == 0 {
			if at < low || at > high {
				return 0, 0
			}
			continue
		}
		a, b := (low-at)/way, (high-at)/way
		from, to = max(from, min(a, b)), min(to, max(a, b))
	}
	return from, to
}
