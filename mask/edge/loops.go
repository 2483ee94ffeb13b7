package edge

import (
	"math"

	"halocline/mask"
)

// A Loop is one of the closed lines of a found edge.
type Loop struct {
	Points []mask.Point // pixels of the source
	Hole   bool         // what it goes about lies outside
}

// Area returns how many pixels a loop goes about.
func (l Loop) Area() float64 { return math.Abs(mask.DoubleArea(l.Points)) / 2 }

// Loops returns the closed lines of the outline apart, the largest first, each simplified
// to within so many pixels; what then has no area is left out.
func (f *Found) Loops(slack float64) (all []Loop) {
	for _, line := range f.Contours {
		if points := lean(line, slack); len(points) >= 3 {
			all = append(all, Loop{points, mask.DoubleArea(line) < 0})
		}
	}
	return all
}
