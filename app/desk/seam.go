package desk

import (
	"fmt"
	"math"

	"halocline/app/check"
	"halocline/app/check/seam"
	"halocline/app/desk/watch"
	"halocline/app/study"
)

// Seam is what is known of the seam of the matte as it is now; nil for nothing.
func (d *Desk) Seam() *watch.Seam {
	if s := d.Found.Seam; d.Fresh() && s != nil && s.About == d.Found.About && s.MatteID == d.Found.MatteID && s.Frame == d.Found.Frame {
		return s
	}
	return nil
}

// SeamVerdict says how the grade sits in the picture.
func SeamVerdict(s *watch.Seam) seam.Verdict {
	if s.Why != "" {
		return seam.NoneError{Reason: s.Why}.Verdict()
	}
	return seam.VerdictOn(s.Figures, &s.Coverage)
}

// NoiseWords says what a grade does to the noise inside the matte.
func NoiseWords(n *check.NoiseChange) string {
	switch {
	case n == nil:
		return "What it does to the noise is not known."
	case n.Decibels >= 0.5:
		return fmt.Sprintf("It lifts the noise inside the matte by %.1f dB.", n.Decibels)
	case n.Decibels <= -0.5:
		return fmt.Sprintf("It lowers the noise inside the matte by %.1f dB.", -n.Decibels)
	}
	return "It leaves the noise inside the matte about as it is."
}

// BestSoftness is the softness, in px, at which the seam of the matte as it is now misfits
// least: the number that every part of the window offers. ok: it is known.
func (d *Desk) BestSoftness() (px float64, ok bool) {
	s := d.Seam()
	if s == nil || s.Why != "" {
		return 0, false
	}
	return s.Best, true
}

// SoftenBest softens the matte's edge as its seam misfits least.
func (d *Desk) SoftenBest() {
	best, ok := d.BestSoftness()
	if !ok {
		return
	}
	frame := d.Frame
	d.EditMatte("Soften: least misfit", func(m *study.Matte) error {
		m.Edge.Soften.Set(frame, best)
		return nil
	})
}

// CanSoftenBest reports whether a softness of less misfit than the matte's own is
// known.
func (d *Desk) CanSoftenBest() bool {
	best, ok := d.BestSoftness()
	m := d.Matte()
	return ok && m != nil && math.Abs(best-m.Edge.Soften.At(d.Frame)) >= 0.1
}

// SeamSteps are the steps that the map of the seam is for: elsewhere it would lie on what
// is worked on.
var SeamSteps = map[Step]bool{StepEdge: true, StepTrial: true}

// ToggleSeam shows the map of the seam, or hides it. From a step that it is not for it
// opens Trial.
func (d *Desk) ToggleSeam() {
	d.Set(func() {
		d.ShowSeam = !(d.ShowSeam && SeamSteps[d.Step])
		if d.ShowSeam && !SeamSteps[d.Step] {
			d.OpenStep(StepTrial)
		}
	})
}
