package study

import (
	"fmt"

	"halocline/colour"
)

// Trial is a correction tried under the matte: slope, offset and power per
// channel, then saturation (ASC CDL 1.2; colour.CDL says what each does). It
// never changes the matte.
type Trial struct {
	Off        bool
	Slope      [3]Number
	Offset     [3]Number
	Power      [3]Number
	Saturation Number
}

// Settings returns the trial's numbers. The tracks are the trial's own.
func (t *Trial) Settings() []Setting {
	all := perChannel("slope", "", 1, 0, 64, &t.Slope)
	all = append(all, perChannel("offset", "", 0, -8, 8, &t.Offset)...)
	all = append(all, perChannel("power", "", 1, 0.01, 64, &t.Power)...)
	return append(all, Setting{"saturation", "", 1, 0, 16, &t.Saturation})
}

// TrialAt is a trial at one frame.
type TrialAt struct {
	Off                  bool
	Slope, Offset, Power [3]float64
	Saturation           float64
}

// At returns the trial at a frame.
func (t *Trial) At(frame int) TrialAt {
	return TrialAt{
		Off: t.Off, Slope: at3(&t.Slope, frame), Offset: at3(&t.Offset, frame),
		Power: at3(&t.Power, frame), Saturation: t.Saturation.At(frame),
	}
}

// CDL returns the trial's numbers as a grade, also where the trial is off.
func (t TrialAt) CDL() colour.CDL {
	return colour.CDL{Slope: t.Slope, Offset: t.Offset, Power: t.Power, Saturation: t.Saturation}
}

// Grades reports whether the trial changes anything: it is on and not neutral.
func (t TrialAt) Grades() bool { return !t.Off && !t.CDL().IsNeutral() }

// SetCDL gives the trial's numbers the values of a grade at a frame. One that
// has them already stays as it is; one with keys gets a key there. It fails, and
// changes nothing, where a value is beyond what a study holds.
func (t *Trial) SetCDL(frame int, d colour.CDL) error {
	values := append(append(append([]float64{}, d.Slope[:]...), d.Offset[:]...), d.Power[:]...)
	values = append(values, d.Saturation)
	all := t.Settings()
	for i, s := range all {
		if v := values[i]; !(s.Min <= v && v <= s.Max) {
			return fmt.Errorf("study: trial: %s is %s, want %s to %s", s.Label(), shortest(v), shortest(s.Min), shortest(s.Max))
		}
	}
	for i, s := range all {
		if s.Track.At(frame) != values[i] {
			s.Track.Set(frame, values[i])
		}
	}
	return nil
}
