package retrace

import (
	"fmt"

	"halocline/app/study"
)

// Taken tells what became of an edge beside the outline itself.
type Taken struct {
	Mask   string // whose outline it became
	Frame  int
	Drawn  []Drawn // for further parts and for holes
	Here   bool    // these work on the frame alone: the mask has keys at other frames
	Filled []Filled
	Small  int // parts and holes that were left out
}

// Drawn is a mask that was drawn for a part or for a hole.
type Drawn struct {
	Kind study.Kind
	Name string
}

// Filled is a hole for which no mask can be drawn.
type Filled struct {
	Area float64 // pixels
	At   study.Point
	Why  string
}

// Notices are what there is to know of parts and holes, a line each; none where every one
// has a mask that works wherever the first does.
func (t *Taken) Notices() (lines []string) {
	if t.Here {
		for _, d := range t.Drawn {
			lines = append(lines, fmt.Sprintf("%s mask %q works on frame %d alone: mask %q has keys at other frames", d.Kind, d.Name, t.Frame, t.Mask))
		}
	}
	for _, f := range t.Filled {
		lines = append(lines, fmt.Sprintf("a hole of %.0f pixels near %.0f,%.0f stays filled: %s", f.Area, f.At.X, f.At.Y, f.Why))
	}
	if t.Small > 0 {
		lines = append(lines, fmt.Sprintf("%d parts and holes of less than %d pixels are left out", t.Small, Least))
	}
	return lines
}
