package clf

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"sync"

	"halocline/colour"
)

// mostOff is the difference above which an sRGB source is read by a table, in code values
// of 10 bits: a tenth is out of sight, and the node is shorter.
const mostOff = 0.1

// Base returns the list that does what a base does, with its difference from it, and
// without id and notes.
func Base(ctx context.Context, b colour.Base) (*List, Difference, error) {
	l := baseList(b, false)
	d, err := compare(ctx, l, b)
	if err != nil || b.Input != colour.SRGB || Codes(d.Largest, 10) <= mostOff {
		return l, d, err
	}
	byTable := baseList(b, true)
	closer, err := compare(ctx, byTable, b)
	if closer.Largest < d.Largest {
		return byTable, closer, err
	}
	return l, d, err
}

// baseList says a base in nodes. What they are, in their order:
//
//	light     Exponent monCurveMirrorFwd for sRGB (the specification's example 9), Log
//	          cameraLogToLin for ACEScct (the inverse of its example 14), LUT1D for the
//	          curves of BT.709 and HLG, which no node says
//	water     Matrix: veil, transmission, gains and exposure at once
//	contrast  Exponent basicFwd between the scale 1/pivot and pivot; else Range from 0
//	shoulder  Range up to white, then Log cameraLinToLog and cameraLogToLin: see shoulder
//	encoding  Exponent monCurveRev as sRGB, and Range [0,1]
//
// The nodes of sRGB and the tables are not exact; the others are, but for rounding to 32
// bits. asTable reads sRGB by a table too. A base that changes nothing is a Matrix that
// changes nothing.
func baseList(b colour.Base, asTable bool) *List {
	if b.IsNeutral() {
		return &List{Steps: []Step{{"changes nothing", Diagonal([3]float64{1, 1, 1}, [3]float64{})}}}
	}
	s := b.Steps()
	steps := append([]Step{light(b.Input, asTable)}, waterAndContrast(b, s)...)
	steps = append(steps, shoulder(s)...)
	steps = append(steps,
		Step{"linear light to sRGB, IEC 61966-2-1", sameExponent(monCurveRev, srgb)},
		Step{"limits", Clamp(0, 1)})
	return &List{Steps: steps}
}

// srgb are the numbers of the specification's examples 9 and 11. They put sRGB's knee
// where line and power meet smoothly, at 0.03929 rather than the 0.04045 that IEC
// 61966-2-1 prints, and are up to 1e-5 off what is encoded.
var srgb = ExponentParams{Exponent: 2.4, Offset: 0.055}

// acesCCT are the numbers of the specification's example 14 with all digits: Academy
// S-2016-001 has 17.52 stops, and its zero at 9.72.
var acesCCT = LogParams{Base: 2, LogSlope: 1 / 17.52, LogOffset: 9.72 / 17.52, LinSlope: 1, Break: 0.0078125}

// light is the node from a source's values to linear light.
func light(input colour.Transfer, asTable bool) Step {
	note := fmt.Sprintf("source's curve %s to linear light", input)
	switch {
	case input == colour.ACEScct:
		return Step{note, sameLog(cameraLogToLin, acesCCT)}
	case input == colour.SRGB && !asTable:
		return Step{note + ", IEC 61966-2-1", sameExponent(monCurveMirrorFwd, srgb)}
	}
	return Step{note, LUT1D{Channels: 1, Values: lightTable(input)}}
}

// tableEntries is how many entries a table of light has: a quarter as many are up to 0.2
// code values of 10 bits off where a base is strong, twenty times as far as what encodes
// sRGB; four times as many make a file of 700 kB.
const tableEntries = 16384

var lightTables sync.Map // of colour.Transfer: their values, which nobody changes

func lightTable(input colour.Transfer) []float64 {
	if known, ok := lightTables.Load(input); ok {
		return known.([]float64)
	}
	values := make([]float64, tableEntries)
	for i := range values {
		values[i] = float64(float32(input.Light(float64(i) / (tableEntries - 1))))
	}
	lightTables.Store(input, values)
	return values
}

// waterAndContrast are the nodes from light to light up to the shoulder.
func waterAndContrast(b colour.Base, s colour.Steps) (steps []Step) {
	var offset [3]float64
	factors := s.Scale
	unit := 1. // what contrast leaves alone
	if b.Contrast != 1 {
		unit = b.Pivot
	}
	for c := range factors {
		factors[c] /= unit
		if s.Haze[c] != 0 {
			offset[c] = -s.Haze[c] * factors[c]
		}
	}
	steps = []Step{{"water, white balance and exposure", Diagonal(factors, offset)}}
	if b.Contrast != 1 {
		steps[0].Note += ", over the pivot"
		steps = append(steps,
			Step{"contrast", sameExponent(basicFwd, ExponentParams{Exponent: b.Contrast})},
			Step{"pivot", Diagonal([3]float64{unit, unit, unit}, [3]float64{})})
	}
	return append(steps, Step{"from black to source white", Clamp(0, s.White)})
}

// leastBend is the bend of a shoulder that is left out: below it the shoulder does less
// than 4e-5 of light, and what 32 bits lose in it, which is divided by the bend, would be more.
const leastBend = 1e-3

// shoulder are the nodes of z = F + d / (1 + a d), d = y - F, above F, and z = y up to it.
// With q = log2(1 + a d) it is z = F + (1 - 2^-q) / a: a camera's logarithm, straight up to
// F, then a camera's inverse whose slopes are negative. Both feet have the slope of their
// logarithm at F, as the specification sets it where no linearSlope stands, and these are the same.
func shoulder(s colour.Steps) []Step {
	if s.Bend < leastBend {
		return nil
	}
	from, bend := s.ShoulderFrom, s.Bend
	return []Step{
		{"shoulder, its logarithm", sameLog(cameraLinToLog, LogParams{Base: 2, LogSlope: 1, LinSlope: bend, LinOffset: 1 - bend*from, Break: from})},
		{"shoulder, back", sameLog(cameraLogToLin, LogParams{Base: 2, LogSlope: -1, LinSlope: -bend, LinOffset: 1 + bend*from, Break: from})},
	}
}

// Identify gives the list an id that depends on all that it holds.
func (l *List) Identify() error {
	l.ID = "halocline"
	text, err := l.Text()
	if err != nil {
		return err
	}
	sum := sha256.Sum256(text)
	l.ID = "halocline-" + hex.EncodeToString(sum[:16])
	return nil
}
