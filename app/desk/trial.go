package desk

import (
	"fmt"
	"slices"

	"halocline/app/cdl"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
)

// ResetTrial gives the matte the grade that changes nothing.
func (d *Desk) ResetTrial() {
	d.EditMatte(ResetTrialLabel, func(m *study.Matte) error {
		m.Trial = study.NewSettings(0).Trial
		return nil
	})
}

// TakeCDL opens Trial and gives the chosen matte's trial the numbers of a correction at
// the frame shown.
func (d *Desk) TakeCDL(c cdl.Correction) {
	frame := d.Frame
	d.Set(func() { d.OpenStep(StepTrial) })
	d.EditMatte("Trial from a CDL file", func(m *study.Matte) error {
		m.Trial.Off = false
		return m.Trial.SetCDL(frame, c.CDL)
	})
}

// TrialStands reports whether the view of the trial is offered: while something
// grades, or is about to.
func (d *Desk) TrialStands() bool {
	s := d.Study()
	if s == nil {
		return false
	}
	if d.Step == StepTrial || d.View == view.Trial || d.Compare && d.Other == view.Trial {
		return true
	}
	for i := range s.Mattes {
		if s.Mattes[i].Trial.At(d.Frame).Grades() {
			return true
		}
	}
	return false
}

// HiddenMattes are the ids of the mattes that are not shown, in order.
func (d *Desk) HiddenMattes() []int {
	var all []int
	for id, hidden := range d.hidden {
		if hidden {
			all = append(all, id)
		}
	}
	slices.Sort(all)
	return all
}

// TrialValues are a trial's values by name. The three channels of each are keyed
// together.
var TrialValues = []string{"slope", "offset", "power", "saturation"}

// trialOver is one of a trial's values over time.
func trialOver(t *study.Trial, name string) OverTime {
	if all := TripleOf(t, name); all != nil {
		return togetherOver(all)
	}
	return numberOver(&t.Saturation)
}

// TripleOf is one of a trial's values that is one a channel; nil for saturation.
func TripleOf(t *study.Trial, name string) *[3]study.Number {
	switch name {
	case "slope":
		return &t.Slope
	case "offset":
		return &t.Offset
	case "power":
		return &t.Power
	}
	return nil
}

// regrade changes the controls that a trial reads at a frame, and has them about
// another pivot from now on.
func regrade(m *study.Matte, frame int, pivot float64, change func(k *colour.CDLControls)) error {
	d := m.Trial.At(frame).CDL()
	k, _ := ReadControls(d, m.Trial.Pivot)
	change(&k)
	d, err := d.WithControls(k, pivot)
	if err != nil {
		return err
	}
	return m.Trial.SetCDL(frame, d)
}

// TurnTrial switches the chosen matte's trial on or off.
func (d *Desk) TurnTrial(on bool) {
	d.EditMatte("Trial on or off", func(m *study.Matte) error {
		m.Trial.Off = !on
		return nil
	})
}

// ChannelWords are a picture's channels in words.
var ChannelWords = [3]string{"red", "green", "blue"}

// SlideTrial sets a channel of the trial's slope, offset or power at the frame shown.
func (d *Desk) SlideTrial(name string, channel int, v float64, phase study.Phase) {
	frame := d.Frame
	d.SlideMatte(fmt.Sprintf("Trial: %s of %s", name, ChannelWords[channel]), phase, func(m *study.Matte) error {
		TripleOf(&m.Trial, name)[channel].Set(frame, v)
		return nil
	})
}

// Grade changes the controls of the chosen matte's trial at the frame shown, and writes
// what they say into its numbers.
func (d *Desk) Grade(label string, phase study.Phase, change func(k *colour.CDLControls)) {
	frame := d.Frame
	d.SlideMatte(label, phase, func(m *study.Matte) error { return regrade(m, frame, m.Trial.Pivot, change) })
}

// SetPivot turns contrast about another encoded value: what the controls read stays.
func (d *Desk) SetPivot(v float64, phase study.Phase) {
	frame := d.Frame
	d.SlideMatte("Trial: pivot", phase, func(m *study.Matte) error {
		if err := regrade(m, frame, v, func(*colour.CDLControls) {}); err != nil {
			return err
		}
		m.Trial.Pivot = v
		return nil
	})
}

// ResetTrialLabel is what the edit that takes a trial back is called.
const ResetTrialLabel = "Reset trial"
