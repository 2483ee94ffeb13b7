package study

// Base is the light and water correction of the whole frame, before any pick.
// It works on linear light.
type Base struct {
	Gain     [3]Number // factors on red, green, blue
	Veil     [3]Number // the water's own light: linear red, green, blue
	Water    string    // water type (Jerlov 1976), "" for none
	Path     Number    // metres of water between camera and thing
	Exposure Number    // in stops
	Contrast Number    // exponent about Pivot
	Pivot    Number    // linear light that contrast leaves alone
}

// NewBase returns the base that changes nothing.
func NewBase() Base {
	var b Base
	setNeutral(b.Settings())
	return b
}

// midGrey is the linear light of an 18 % grey card, the usual pivot (common
// practice, no source).
const midGrey = 0.18

// Settings returns the base's numbers. The tracks are the base's own.
func (b *Base) Settings() []Setting {
	all := perChannel("gain", "", 1, 0, 64, &b.Gain)
	all = append(all, perChannel("veil", "linear light", 0, 0, 1, &b.Veil)...)
	return append(all,
		Setting{"path", "m", 0, 0, 100, &b.Path},
		Setting{"exposure", "stops", 0, -20, 20, &b.Exposure},
		Setting{"contrast", "", 1, 0.05, 20, &b.Contrast},
		Setting{"pivot", "linear light", midGrey, 0.001, 10, &b.Pivot})
}

// BaseAt is a base at one frame: see Base for the units.
type BaseAt struct {
	Gain, Veil                      [3]float64
	Water                           string
	Path, Exposure, Contrast, Pivot float64
}

// At returns the base at a frame.
func (b *Base) At(frame int) BaseAt {
	return BaseAt{
		Gain: at3(&b.Gain, frame), Veil: at3(&b.Veil, frame), Water: b.Water, Path: b.Path.At(frame),
		Exposure: b.Exposure.At(frame), Contrast: b.Contrast.At(frame), Pivot: b.Pivot.At(frame),
	}
}

func (b Base) clone() Base {
	cloneSettings(b.Settings())
	return b
}
