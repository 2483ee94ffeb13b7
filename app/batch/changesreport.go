package batch

import (
	"fmt"
	"halocline/app/clip"
	"io"
	"slices"
	"strings"
)

// What changes prints: a line for each matte, or JSON.

type changesReport struct {
	A      string        `json:"a"`
	B      string        `json:"b"`
	Mattes []changeMatte `json:"mattes"` // that both have
	OnlyA  []string      `json:"mattesInAAlone"`
	OnlyB  []string      `json:"mattesInBAlone"`
	Sheet  string        `json:"sheet,omitempty"`
}

type changeMatte struct {
	Name     string        `json:"name"`
	Compared int           `json:"compared"` // frames
	Changed  int           `json:"changed"`  // of these, by more than rounding
	MeanIoU  *float64      `json:"meanIoU,omitempty"`
	Mean     *float64      `json:"meanChange,omitempty"`
	DtSSD    *float64      `json:"dtSSD,omitempty"` // the mean over frames that follow one another
	Worst    []int         `json:"worst"`           // frames, the most changed first
	MissingA string        `json:"missingInA,omitempty"`
	MissingB string        `json:"missingInB,omitempty"`
	Frames   []changeFrame `json:"frames"`
	missing  [2][]int      // frames that A and that B lack
}

type changeFrame struct {
	Frame   int      `json:"frame"`
	IoU     *float64 `json:"iou,omitempty"` // left out where both are empty
	Mean    float64  `json:"change"`
	Largest float64  `json:"largest"`
	DtSSD   *float64 `json:"dtSSD,omitempty"` // left out where the frame before is not in both
	changed bool
}

// print writes a line for each matte.
func (r changesReport) print(w io.Writer) error {
	for _, m := range r.Mattes {
		line := fmt.Sprintf("%s: %s compared, %d changed", m.Name, frameCount(m.Compared), m.Changed)
		if m.Changed > 0 {
			line += fmt.Sprintf("; IoU %.4f, mean change %.4f", *m.MeanIoU, *m.Mean)
			if m.DtSSD != nil {
				line += fmt.Sprintf(", dtSSD %.3f", *m.DtSSD)
			}
			line += "; most on " + m.worstText()
		}
		if _, err := fmt.Fprintln(w, line); err != nil {
			return fmt.Errorf("batch: the result cannot be written: %w", err)
		}
	}
	return nil
}

// worstText names the frames that changed most, with their IoU.
func (m changeMatte) worstText() string {
	var parts []string
	for _, n := range m.Worst {
		parts = append(parts, fmt.Sprintf("%d (IoU %.4f)", n, *m.frame(n).IoU))
	}
	return strings.Join(parts, ", ")
}

// frame is a frame that was compared.
func (m changeMatte) frame(n int) changeFrame {
	i := slices.IndexFunc(m.Frames, func(f changeFrame) bool { return f.Frame == n })
	return m.Frames[i]
}

// oneSided is an error where anything is on one side alone, or nothing was compared.
func (r changesReport) oneSided() error {
	var wrong []string
	for _, m := range r.Mattes {
		for side, folder := range []string{r.A, r.B} {
			if frames := m.missing[side]; len(frames) > 0 {
				wrong = append(wrong, fmt.Sprintf("%s lacks %s of matte %q", folder, clip.FramesWord(clip.SpansOf(frames)), m.Name))
			}
		}
	}
	for _, side := range []struct {
		folder string
		names  []string
	}{{r.B, r.OnlyA}, {r.A, r.OnlyB}} {
		if len(side.names) > 0 {
			wrong = append(wrong, fmt.Sprintf("%s lacks matte %s", side.folder, quotedNames(side.names, func(s string) string { return s })))
		}
	}
	if len(wrong) == 0 {
		return nil
	}
	return fmt.Errorf("batch: %s", strings.Join(wrong, "; "))
}
