package desk

import (
	"math"

	"halocline/selection"
)

// LargestLimit is the largest value that a bound of a channel takes: 360 degrees of hue,
// 1 in HSL, 100 of lightness and 200 of chroma in LCh.
func LargestLimit(m selection.Model, c selection.Channel) float64 {
	switch {
	case c == selection.Hue:
		return 360
	case m == selection.HSL:
		return 1
	case c == selection.Sat:
		return 200
	}
	return 100
}

// Narrowest is the channel that is on and keeps the least part of what its bounds may
// be; hue where none is on.
func Narrowest(p selection.Pick) selection.Channel {
	best, least := selection.Hue, math.Inf(1)
	for i, l := range p.Limits {
		c := selection.Channel(i)
		if part := (l.To - l.From) / LargestLimit(p.Model, c); !l.Off && part < least {
			best, least = c, part
		}
	}
	return best
}
