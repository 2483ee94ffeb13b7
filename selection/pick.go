package selection

import (
	"fmt"

	"halocline/colour"
)

// Model is the set of coordinates a pick works in.
type Model int

const (
	HSL        Model = iota // hue, saturation, lightness of CSS Color 4
	LCh                     // hue, chroma, lightness of CIELAB
	PlaneModel              // which side of a plane in CIELAB, and how far from it; see Across

	Models // how many there are: the length of arrays by model
)

// String returns the model's name in files and flags.
func (m Model) String() string {
	switch m {
	case LCh:
		return "lch"
	case PlaneModel:
		return "plane"
	}
	return "hsl"
}

// ParseModel is the inverse of String.
func ParseModel(s string) (Model, error) {
	switch s {
	case "hsl":
		return HSL, nil
	case "lch":
		return LCh, nil
	case "plane":
		return PlaneModel, nil
	}
	return 0, fmt.Errorf("selection: model is %q, want hsl, lch or plane", s)
}

// Channel is one of a model's three coordinates.
type Channel int

const (
	Hue Channel = iota
	Sat         // saturation in HSL, chroma in LCh
	Light

	Channels // how many there are: to range over, and the length of arrays by channel
)

// Channels returns those that picks of the model have limits on.
func (m Model) Channels() []Channel {
	if m == PlaneModel {
		return []Channel{Across}
	}
	return []Channel{Hue, Sat, Light}
}

// FullScale returns the largest value of the channel that a control offers: 360
// degrees of hue, 1 in HSL, 100 of lightness and 140 of chroma in LCh, 170 Lab units
// across a plane, either way. No sRGB colour has an LCh chroma above 134 (blue, by this
// module's own conversion).
func (c Channel) FullScale(m Model) float64 {
	switch {
	case c == Hue:
		return 360
	case m == HSL:
		return 1
	case m == PlaneModel:
		return farthest
	case c == Sat:
		return 140
	}
	return 100
}

// Name returns what the channel is called in model m.
func (c Channel) Name(m Model) string {
	switch {
	case c == Hue:
		return "hue"
	case m == PlaneModel && c == Across:
		return "plane"
	case c == Light:
		return "lightness"
	case m != HSL:
		return "chroma"
	}
	return "saturation"
}

// A Limit is a pick's demand on one channel.
type Limit struct {
	Range
	Off      bool // weighs 1 everywhere
	Inverted bool // 1 - weight
}

// A Pick is the colour part of a matte. Its weight is the product of its three
// limits', by Channel.
type Pick struct {
	Model  Model
	Limits [Channels]Limit
	Normal [3]float64 // of PlaneModel: see Across
}

// A Point is one colour in a model's coordinates: hue, saturation or chroma,
// lightness. Hue is colour.NoHue where the colour has none.
type Point [Channels]float64

// At returns c in the coordinates of m; those of PlaneModel depend on the plane (Pick.At), and
// are of LCh here. What is not finite counts as black, as it does in the fast conversions.
func (m Model) At(c colour.RGB) Point {
	if m == HSL {
		v, ok := c.HSL()
		return point(v.H, v.S, v.L, ok)
	}
	v, ok := c.LCh()
	return point(v.H, v.C, v.L, ok)
}

// At returns c in the coordinates of p.
func (p Pick) At(c colour.RGB) Point { return p.space().at(c) }

func point(h colour.Degrees, s, l float64, ok bool) Point {
	switch {
	case !finite(float64(h), s, l):
		return Point{colour.NoHue, 0, 0}
	case !ok:
		h = colour.NoHue
	}
	return Point{float64(h), s, l}
}

// finite reports whether no value is infinite or NaN.
func finite(a, b, c float64) bool {
	return a-a == 0 && b-b == 0 && c-c == 0
}

// Weight returns how far v meets the limit on channel c. A colour without hue
// has hue weight 0.
func (l Limit) Weight(c Channel, v float64) float64 {
	if l.Off {
		return 1
	}
	var w float64
	switch {
	case c != Hue:
		w = l.Range.Weight(v)
	case v != colour.NoHue:
		w = l.HueWeight(colour.Degrees(v))
	}
	if l.Inverted {
		return 1 - w
	}
	return w
}

// Weight returns how far a colour lies in the pick. It is the definition that
// the fast forms follow.
func (p Pick) Weight(v Point) float64 {
	w := p.weights(v)
	return w[Hue] * w[Sat] * w[Light]
}

// weights returns how far a colour meets each of the limits.
func (p Pick) weights(v Point) (w [Channels]float64) {
	for c := range Channels {
		w[c] = p.WeightOn(c, v[c])
	}
	return w
}

// WeightOn returns how far v, a colour's coordinate on channel c, meets the limit there.
func (p Pick) WeightOn(c Channel, v float64) float64 { return p.limit(c).Weight(c, v) }
