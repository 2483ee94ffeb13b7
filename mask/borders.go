package mask

import "fmt"

// Borders returns the edge of what the shape fills as closed polygons, within
// tolerance of it as in Outline. What is filled lies where a quarter turn from
// the x axis to the y axis leads from the way along them: they run clockwise on
// the screen, and anticlockwise about holes. Pieces of the outline that lie
// inside what is filled are left out. They touch, in corners, but do not cross.
// There is an error where the shape does not pass Check, or crosses itself too
// often.
func Borders(s Shape, tolerance float64) ([][]Point, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	a, err := fill(s.corners(tolerance))
	if err != nil {
		return nil, fmt.Errorf("mask: %w", err)
	}
	return a.loops(), nil
}

// loops strings the borders together. As many end in a corner as begin there,
// so that a walk along them comes back to where it began.
func (a *area) loops() [][]Point {
	from := make(map[spot][]int, len(a.borders)) // those that begin in a spot and were not walked yet
	for i, b := range a.borders {
		from[b.from] = append(from[b.from], i)
	}
	var out [][]Point
	for _, first := range a.borders {
		var loop []Point
		for at := first.from; len(from[at]) > 0; {
			rest := from[at]
			loop = append(loop, at.point())
			from[at] = rest[1:]
			at = a.borders[rest[0]].to
		}
		if len(loop) > 0 {
			out = append(out, loop)
		}
	}
	return out
}
