package study

import (
	"fmt"

	"halocline/colour"
)

// Trial is a correction tried through the matte: slope, offset and power per
// channel, then saturation (ASC CDL 1.2; colour.CDL says what each does). It
// never changes the matte.
type Trial struct {
	Off        bool
	Slope      [3]Number
	Offset     [3]Number
	Power      [3]Number
	Saturation Number
	// Pivot is the encoded value that the contrast control leaves alone. The numbers
	// above do not hold it, and without it the controls would read something else
	// the next time; the grade is the same whatever it is.
	Pivot float64
}

// Settings returns the trial's numbers. The tracks are the trial's own.
func (t *Trial) Settings() []Setting {
	// Spec: name, label, hint, unit, neutral, min, max, low, high, increment, decimals.
	all := perChannel(Spec{"slope", "slope", "A factor; 1 changes nothing", "", 1, 0, 64, 0, 2, 0.01, 2}, &t.Slope)
	all = append(all, perChannel(Spec{"offset", "offset", "What is added after the slope; 0 changes nothing", "", 0, -8, 8, -0.5, 0.5, 0.005, 3}, &t.Offset)...)
	all = append(all, perChannel(Spec{"power", "power", "An exponent after the offset; 1 changes nothing", "", 1, 0.01, 64, 0.5, 2, 0.01, 2}, &t.Power)...)
	return append(all, Setting{Spec{"saturation", "saturation", "0 is grey, 1 changes nothing", "", 1, 0, 16, 0, 2, 0.01, 2}, &t.Saturation})
}

// PivotSpec is what a trial's pivot may be.
var PivotSpec = Spec{"pivot", "pivot", "The encoded value that contrast leaves alone; a grey card has 0.46", "", colour.MiddlePivot, 0.02, 1, 0.02, 1, 0.01, 2}

// A Control writes slopes and powers of a trial, and reads back from them.
type Control struct {
	Spec
	Of func(k *colour.CDLControls) *float64
}

// Controls are the controls of a trial.
var Controls = []Control{
	{Spec{"lightness", "lightness", "Stops on all channels; over 0 lighter", "", 0, -6, 6, -2, 2, 0.01, 2}, func(k *colour.CDLControls) *float64 { return &k.Lightness }},
	{Spec{"contrast", "contrast", "Steeper or flatter about the pivot; 1 changes nothing", "", 1, 0.01, 64, 0.5, 2, 0.01, 2}, func(k *colour.CDLControls) *float64 { return &k.Contrast }},
	{Spec{"blueOrange", "blue–orange", "Stops of red against blue; over 0 warmer", "", 0, -6, 6, -1, 1, 0.01, 2}, func(k *colour.CDLControls) *float64 { return &k.BlueOrange }},
	{Spec{"greenMagenta", "green–magenta", "Stops of red and blue against green; over 0 to magenta", "", 0, -6, 6, -1, 1, 0.01, 2}, func(k *colour.CDLControls) *float64 { return &k.GreenMagenta }},
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
		if err := s.Check(values[i]); err != nil {
			return fmt.Errorf("study: trial: %w", err)
		}
	}
	for i, s := range all {
		if s.Track.At(frame) != values[i] {
			s.Track.Set(frame, values[i])
		}
	}
	return nil
}
