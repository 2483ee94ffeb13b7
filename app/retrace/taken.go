package retrace

import (
	"fmt"
	"strings"

	"halocline/app/study"
)

// Taken tells what became of an edge beside the outline itself.
type Taken struct {
	Mask   string // whose outline it became
	Frame  int
	Drawn  []Drawn // for further parts and for holes
	Here   bool    // these work on the frame alone: the mask has keys at other frames
	Filled []Filled
	Small  Small
}

// Small counts what was left out for being small.
type Small struct{ Parts, Holes int }

func (s *Small) add(hole bool) {
	if hole {
		s.Holes++
	} else {
		s.Parts++
	}
}

// Words say what was left out, with the unit of an area: "3 parts and 1 hole of less than 100
// px were left out"; "" for nothing.
func (s Small) Words(unit string) string {
	var all []string
	for _, c := range []struct {
		n    int
		what string
	}{{s.Parts, "part"}, {s.Holes, "hole"}} {
		switch {
		case c.n == 1:
			all = append(all, "1 "+c.what)
		case c.n > 1:
			all = append(all, fmt.Sprintf("%d %ss", c.n, c.what))
		}
	}
	verb := "were"
	switch s.Parts + s.Holes {
	case 0:
		return ""
	case 1:
		verb = "was"
	}
	return fmt.Sprintf("%s of less than %d %s %s left out", strings.Join(all, " and "), Least, unit, verb)
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
	if words := t.Small.Words("pixels"); words != "" {
		lines = append(lines, words)
	}
	return lines
}
