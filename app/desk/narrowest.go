package desk

import (
	"math"

	"halocline/selection"
)

// Narrowest is the channel that is on and keeps the least part of its full scale; hue
// where none is on.
func Narrowest(p selection.Pick) selection.Channel {
	best, least := selection.Hue, math.Inf(1)
	for i, l := range p.Limits {
		c := selection.Channel(i)
		if part := (l.To - l.From) / c.FullScale(p.Model); !l.Off && part < least {
			best, least = c, part
		}
	}
	return best
}
