package desk

import (
	"math"

	"halocline/selection"
)

// Narrowest is the channel that is on and keeps the least part of its full scale; hue
// where none is on. A plane has one channel.
func Narrowest(p selection.Pick) selection.Channel {
	best, least := p.Model.Channels()[0], math.Inf(1)
	for i, l := range p.Limits {
		c := selection.Channel(i)
		if part := (l.To - l.From) / c.FullScale(p.Model); !l.Off && part < least {
			best, least = c, part
		}
	}
	return best
}
