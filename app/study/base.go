package study

import "halocline/colour"

// Base is the light and water correction of the whole frame, before any pick,
// over time. colour.Base says what each number does.
type Base struct {
	Input    colour.Transfer // the source's curve
	Gain     [3]Number       // factors on red, green, blue
	Veil     [3]Number       // the water's own light: linear red, green, blue
	Water    string          // name of a colour.WaterType, "" for no water
	Path     Number          // metres of water between camera and thing
	Exposure Number          // in stops
	Contrast Number          // exponent about Pivot
	Pivot    Number          // linear light that contrast leaves alone
}

// NewBase returns the base that changes nothing.
func NewBase() Base {
	var b Base
	setNeutral(b.Settings())
	return b
}

// Settings returns the base's numbers. The tracks are the base's own.
func (b *Base) Settings() []Setting {
	all := perChannel("gain", "", 1, 0.001, 1000, &b.Gain)
	all = append(all, perChannel("veil", "linear light", 0, 0, 2, &b.Veil)...)
	return append(all,
		Setting{"path", "m", 0, 0, 1000, &b.Path},
		Setting{"exposure", "stops", 0, -20, 20, &b.Exposure},
		Setting{"contrast", "", 1, 0.05, 20, &b.Contrast},
		Setting{"pivot", "linear light", colour.MiddleGrey, 0.001, 10, &b.Pivot})
}

// At returns the base at a frame. A water type that is not known takes no
// light; a valid study has none.
func (b *Base) At(frame int) colour.Base {
	at := colour.Base{
		Input: b.Input,
		Gains: at3(&b.Gain, frame), Veil: at3(&b.Veil, frame), Path: b.Path.At(frame),
		Exposure: b.Exposure.At(frame), Contrast: b.Contrast.At(frame), Pivot: b.Pivot.At(frame),
	}
	if water, err := colour.WaterByName(b.Water); err == nil {
		at.Beta = water.Beta()
	}
	return at
}

func (b Base) clone() Base {
	cloneSettings(b.Settings())
	return b
}
