package batch

import (
	"math"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// The keep mask that the scene's skin gets: a rough outline about all of it, as
// a person would draw in a minute.
const (
	swimmerName     = "swimmer"
	swimmerVertices = 24
	// swimmerClear is how far the outline stays off the true skin, in pixels: a
	// little more than 8, so that pixels' corners do too.
	swimmerClear = 9
	// swimmerFeather is how far the mask fades outward.
	swimmerFeather = 4
)

// addSwimmer gives the matte the mask.
func addSwimmer(s *study.Study, m *study.Matte, truth colour.Plane, frame int) {
	points := outlineAbout(truth, swimmerVertices, swimmerClear)
	if points == nil {
		return
	}
	s.AddMask(m, swimmerName, study.Keep, study.MaskKey{
		Frame: frame, Points: points, Outer: swimmerFeather, Opacity: 1,
	})
}

// outlineAbout returns a convex polygon of n vertices that clears every pixel
// where truth is above 0 by at least clear: n lines, evenly turned, each moved
// out until all of the pixels lie behind it. nil where there is no such pixel.
func outlineAbout(truth colour.Plane, n int, clear float64) []mask.Point {
	reach := make([]float64, n)
	sin, cos := make([]float64, n), make([]float64, n)
	for k := range n {
		reach[k] = math.Inf(-1)
		sin[k], cos[k] = math.Sincos(2 * math.Pi * float64(k) / float64(n))
	}
	for y := range truth.H {
		row := truth.Row(y)
		for x, v := range row {
			if v <= 0 || x > 0 && x < truth.W-1 && row[x-1] > 0 && row[x+1] > 0 {
				continue // only the ends of a row can be outermost
			}
			for k := range n {
				reach[k] = max(reach[k], cos[k]*(float64(x)+0.5)+sin[k]*(float64(y)+0.5))
			}
		}
	}
	if math.IsInf(reach[0], -1) {
		return nil
	}
	const corner = math.Sqrt2 / 2 // from a pixel's middle to its corner
	points := make([]mask.Point, n)
	for k := range n {
		// Where this line meets the next.
		j := (k + 1) % n
		a, b := reach[k]+clear+corner, reach[j]+clear+corner
		det := cos[k]*sin[j] - sin[k]*cos[j]
		points[k] = mask.Point{X: tenth((a*sin[j] - b*sin[k]) / det), Y: tenth((b*cos[k] - a*cos[j]) / det)}
	}
	return points
}

// tenth rounds to a tenth of a pixel, which is more than a hand can place.
func tenth(v float64) float64 { return math.Round(10*v) / 10 }
