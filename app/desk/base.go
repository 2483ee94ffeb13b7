package desk

import (
	"errors"
	"fmt"

	"halocline/app/study"
	"halocline/app/work"
)

// LightSettings are the base's numbers about light.
func LightSettings(b *study.Base) []study.Setting {
	all := b.Settings()
	return []study.Setting{study.SettingNamed(all, "exposure"), study.SettingNamed(all, "contrast"), study.SettingNamed(all, "pivot")}
}

// SampleBase opens Base and makes the next press sample something.
func (d *Desk) SampleBase(what BasePress) {
	d.Set(func() {
		d.OpenStep(StepBase)
		d.Press = what
	})
}

// ResetBase takes all of the base away: the frame is as the source has it.
func (d *Desk) ResetBase() {
	d.Edit(ResetBaseLabel, func(s *study.Study, _ *study.Matte) error {
		s.Base = study.NewBase()
		return nil
	})
}

// farFromGrey is how uneven gains may be, largest to smallest, before it is
// asked whether what was sampled is grey: red lies 3 stops below blue in a clear
// sea at ten metres (common practice, no source).
const farFromGrey = 8

// GreySpot is where on the frame shown the grey was sampled that the base is balanced
// by, in source pixels; nil where that is not known.
func (d *Desk) GreySpot() *Spot {
	if s, ok := d.grey[d.Frame]; ok && d.BaseNow().Gains == s.took {
		return &s
	}
	return nil
}

// WaterSpot is where on the frame shown the open water was sampled that the base's veil
// is from, in source pixels; nil where that is not known.
func (d *Desk) WaterSpot() *Spot {
	if s, ok := d.water[d.Frame]; ok && d.BaseNow().Veil == s.took {
		return &s
	}
	return nil
}

// BlackSpot is where on the frame shown something black was sampled that the base's black
// is from, in source pixels; nil where that is not known.
func (d *Desk) BlackSpot() *Spot {
	if s, ok := d.black[d.Frame]; ok && d.BaseNow().Black == s.took {
		return &s
	}
	return nil
}

// GreyFrame is the frame nearest to the one shown on which the grey was
// sampled that the base is balanced by there; ok is false for none known.
func (d *Desk) GreyFrame() (at int, ok bool) {
	for f, s := range d.grey {
		near := !ok || distance(f, d.Frame) < distance(at, d.Frame) || distance(f, d.Frame) == distance(at, d.Frame) && f < at
		if near && d.Study().Base.At(f).Gains == s.took {
			at, ok = f, true
		}
	}
	return at, ok
}

// TakeBase samples what was pressed on, in source pixels, and sets the base by it: by
// Press, as grey, as open water or as black.
func (d *Desk) TakeBase(at Spot) {
	src := d.SourceNow()
	if src == nil {
		d.Note("The frame is still being read: press again in a moment")
		return
	}
	sample := d.BaseNow().Sample
	if d.Press == PressBlack {
		sample = d.BaseNow().Darkest
	}
	light, n := sample(src, at.X, at.Y, at.Radius)
	if n == 0 {
		d.Report(Problem{What: "Nothing sampled", ToDo: "Press on the picture.", Err: errors.New("the place lies outside the frame")})
		return
	}
	switch d.Press {
	case PressWater:
		d.takeWater(at, light)
	case PressBlack:
		d.takeBlack(at, light)
	default:
		d.takeGrey(at, light)
	}
}

func (d *Desk) takeGrey(at Spot, light [3]float64) {
	frame := d.Frame
	done := d.Edit(PressOnGrey, func(s *study.Study, _ *study.Matte) error {
		return work.SetGrey(&s.Base, frame, light)
	})
	if !done {
		return
	}
	at.took = d.Study().Base.At(frame).Gains
	d.Set(func() { d.grey[frame] = at })
	if g := at.took; max(g[0], g[1], g[2]) > farFromGrey*min(g[0], g[1], g[2]) {
		d.Report(Problem{What: "Was that grey?", ToDo: "It took very uneven gains. Undo, and press on something without a colour of its own."})
	}
}

func (d *Desk) takeWater(at Spot, light [3]float64) {
	var guessed bool
	d.takeWaterLight(PressOnWater, d.water, at, func(b *study.Base, frame int) { _, guessed = work.SetOpenWater(b, frame, light) },
		func() [3]float64 { return d.BaseNow().Veil })
	if guessed {
		d.Note(fmt.Sprintf("The path of %d m is a guess: slide it until the sand looks right. Too long a path turns it orange", work.StartPath))
	}
}

func (d *Desk) takeBlack(at Spot, darkest [3]float64) {
	d.takeWaterLight(PressOnBlack, d.black, at, func(b *study.Base, frame int) { work.SetBlack(b, frame, darkest) },
		func() [3]float64 { return d.BaseNow().Black })
}

// takeWaterLight makes an edit that sets what light the water sends, notes among spots where
// that was sampled, and balances the grey anew: what is grey depends on the water.
func (d *Desk) takeWaterLight(label string, spots map[int]Spot, at Spot, set func(b *study.Base, frame int), took func() [3]float64) {
	frame := d.Frame
	grey := d.GreySpot()
	elsewhere, known := d.GreyFrame()
	done := d.Edit(label, func(s *study.Study, _ *study.Matte) error {
		set(&s.Base, frame)
		return nil
	})
	if !done {
		return
	}
	at.took = took()
	d.Set(func() { spots[frame], d.Press = at, PressGrey })
	if grey != nil {
		if light, n := d.BaseNow().Sample(d.SourceNow(), grey.X, grey.Y, grey.Radius); n > 0 {
			d.takeGrey(*grey, light)
		}
	} else if known {
		d.Report(Problem{What: "The grey was taken with other water", ToDo: fmt.Sprintf("Press on it again, here or at frame %d: what is grey depends on the water.", elsewhere)})
	}
}

// What the user is asked to do for the base, and what those edits are called.
const (
	PressOnGrey    = "Press on grey"
	PressOnWater   = "Press on open water"
	PressOnBlack   = "Press on black"
	ResetBaseLabel = "Reset Base"
)

// BeyondLabel is what ShowBeyond is called.
const BeyondLabel = "Show what is beyond repair"
