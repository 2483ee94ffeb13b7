package study

import (
	"slices"

	"halocline/colour"
)

// Base is the light and water correction of the whole frame, before any pick,
// over time. colour.Base says what each number does.
type Base struct {
	Input    colour.Transfer // the source's curve
	Gain     [3]Number       // factors on red, green, blue
	Veil     [3]Number       // the water's own light: linear red, green, blue
	Black    [3]Number       // light that lies over a black thing, in place of the veil: linear red, green, blue
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
	// Spec: name, label, hint, unit, neutral, min, max, low, high, increment, decimals.
	all := perChannel(Spec{"gain", "gain", "A factor on the channel; 1 changes nothing", "", 1, 0.001, 1000, 0.25, 4, 0.01, 2}, &b.Gain)
	all = append(all, perChannel(Spec{"veil", "veil", "The water's own light, taken off", "linear light", 0, 0, 2, 0, 1, 0.001, 3}, &b.Veil)...)
	all = append(all, perChannel(Spec{"black", "black", "The light over a black thing, taken off in place of the veil", "linear light", 0, 0, 2, 0, 1, 0.001, 3}, &b.Black)...)
	return append(all,
		Setting{Spec{"path", "path length", "Metres of water between the camera and the thing", "m", 0, 0, 1000, 0, 10, 0.1, 1}, &b.Path},
		Setting{Spec{"exposure", "exposure", "Lighter or darker, in stops", "EV", 0, -20, 20, -4, 4, 0.05, 2}, &b.Exposure},
		Setting{Spec{"contrast", "contrast", "Steeper or flatter about the pivot; 1 changes nothing", "", 1, 0.05, 20, 0.5, 2, 0.01, 2}, &b.Contrast},
		Setting{Spec{"pivot", "pivot", "The linear light that contrast leaves alone", "", colour.MiddleGrey, 0.001, 10, 0.02, 1, 0.01, 2}, &b.Pivot})
}

// At returns the base at a frame. A water type that is not known takes no
// light; a valid study has none.
func (b *Base) At(frame int) colour.Base {
	at := colour.Base{
		Input: b.Input,
		Gains: at3(&b.Gain, frame), Veil: at3(&b.Veil, frame), Black: at3(&b.Black, frame), Path: b.Path.At(frame),
		Exposure: b.Exposure.At(frame), Contrast: b.Contrast.At(frame), Pivot: b.Pivot.At(frame),
	}
	if water, err := colour.WaterByName(b.Water); err == nil {
		at.Beta = water.Beta()
	}
	return at
}

// keyed reports whether any of it changes over time.
func (b *Base) keyed() bool {
	return slices.ContainsFunc(b.Settings(), func(s Setting) bool { return s.Track.Keyed() })
}

func (b Base) clone() Base {
	cloneSettings(b.Settings())
	return b
}
