package colour

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// A Transfer is the curve by which a source's values encode light. Only the curve:
// primaries stay as they are.
type Transfer int

// The curves, as their standards print them.
const (
	// SRGB is IEC 61966-2-1:1999, what a picture has that says nothing else.
	SRGB Transfer = iota
	// BT709 is the camera's curve of ITU-R BT.709-6, item 1.2, backwards: the
	// light of the scene.
	BT709
	// HLG is the camera's curve of ITU-R BT.2100-2, table 5, backwards. Light is
	// 1 at a signal of 75 %, where ITU-R BT.2408 puts a white sheet (from memory);
	// a grey card then is at 0.18, and a full signal at 3.8.
	HLG
	// ACEScct is Academy S-2016-001: logarithmic but for its foot. Light is 1 at
	// a signal of 0.555, and 223 at 1.
	ACEScct
)

var transferNames = [...]string{SRGB: "srgb", BT709: "bt709", HLG: "hlg", ACEScct: "acescct"}

// String returns the curve's name in files.
func (t Transfer) String() string {
	if t < 0 || int(t) >= len(transferNames) {
		return fmt.Sprintf("Transfer(%d)", int(t))
	}
	return transferNames[t]
}

// TransferNames returns the names of all curves in their order.
func TransferNames() []string { return slices.Clone(transferNames[:]) }

// ParseTransfer is the inverse of String.
func ParseTransfer(s string) (Transfer, error) {
	if i := slices.Index(transferNames[:], s); i >= 0 {
		return Transfer(i), nil
	}
	return 0, fmt.Errorf("colour: curve is %q, want one of %s", s, strings.Join(transferNames[:], ", "))
}

// Constants as printed in the standards.
const (
	bt709Knee   = 0.081 // 4.5 x 0.018
	bt709Slope  = 4.5
	bt709Offset = 0.099
	bt709Power  = 1 / 0.45

	hlgA     = 0.17883277
	hlgB     = 0.28466892 // 1 - 4a
	hlgC     = 0.559910729529562
	hlgKnee  = 0.5
	hlgWhite = 0.75 // the signal whose light is 1

	acesSlope  = 10.5402377416545
	acesOffset = 0.0729055341958355
	acesKnee   = 0.155251141552511
	acesStops  = 17.52
	acesZero   = 9.72
)

// Knee is the value at which the curve has a corner. That of BT.709 is a jump too, of 6e-5
// of light, since the standard rounds its numbers.
func (t Transfer) Knee() float64 {
	switch t {
	case BT709:
		return bt709Knee
	case HLG:
		return hlgKnee
	case ACEScct:
		return acesKnee
	}
	return srgbEncodedKnee
}

// Light returns the linear light of a value. Values below 0 and above 1 follow
// the curve, so that nothing is lost.
func (t Transfer) Light(v float64) float64 {
	switch t {
	case BT709:
		if v < 0 {
			return -t.Light(-v)
		}
		if v < bt709Knee {
			return v / bt709Slope
		}
		return math.Pow((v+bt709Offset)/(1+bt709Offset), bt709Power)
	case HLG:
		return hlgLight(v) / hlgLight(hlgWhite)
	case ACEScct:
		if v <= acesKnee {
			return (v - acesOffset) / acesSlope
		}
		return math.Exp2(float64(v*acesStops) - acesZero)
	}
	return Linear(v)
}

// hlgLight is the standard's E, in [0,1] for a signal in [0,1].
func hlgLight(v float64) float64 {
	if v < 0 {
		return -hlgLight(-v)
	}
	if v <= hlgKnee {
		return v * v / 3
	}
	return (math.Exp((v-hlgC)/hlgA) + hlgB) / 12
}

// slope is the derivative of Light.
func (t Transfer) slope(v float64) float64 {
	switch t {
	case BT709:
		if v = math.Abs(v); v < bt709Knee {
			return 1 / bt709Slope
		}
		return bt709Power / (1 + bt709Offset) * math.Pow((v+bt709Offset)/(1+bt709Offset), bt709Power-1)
	case HLG:
		if v = math.Abs(v); v <= hlgKnee {
			return 2 * v / 3 / hlgLight(hlgWhite)
		}
		return math.Exp((v-hlgC)/hlgA) / (12 * hlgA) / hlgLight(hlgWhite)
	case ACEScct:
		if v <= acesKnee {
			return 1 / acesSlope
		}
		return t.Light(v) * acesStops * math.Ln2
	}
	return linearSlope(v)
}
