package colour

import "math"

// tableGrain is what table entries are multiples of. Library functions such as
// math.Pow may differ in their last bits between builds (fused multiply-add)
// and machines; what a table holds must not. At 2^-32 an entry is finer than
// float32, and TestTablesAreTheSameEverywhere shows that none lies so close to
// the middle between two multiples that a last bit could tip it.
const tableGrain = 1. / (1 << 32)

// tableEntry rounds v to a multiple of tableGrain.
func tableEntry(v float64) float64 { return math.Round(v/tableGrain) * tableGrain }

// An arc is one cell of a tabled curve: the parabola through the curve at the
// cell's start, middle and end, in powers of the distance from the start.
type arc [3]float64

func newArc(curve func(float64) float64, start, width float64) arc {
	y0 := tableEntry(curve(start))
	y1 := tableEntry(curve(start + width/2))
	y2 := tableEntry(curve(start + width))
	// Multiples of tableGrain: these sums are exact, so nothing can be fused.
	return arc{y0, (4*y1 - 3*y0 - y2) / width, 2 * (y0 - 2*y1 + y2) / (width * width)}
}

func (a *arc) at(d float64) float64 {
	return a[0] + float64(d*(a[1]+float64(d*a[2])))
}

// linearArcs tables Linear over (srgbEncodedKnee, 1] in equal cells; below the
// knee the curve is a line. The error is under 3e-9.
const linearCells = 256

var linearArcs = func() (table [linearCells + 1]arc) {
	const width = (1 - srgbEncodedKnee) / linearCells
	for i := range linearCells {
		table[i] = newArc(Linear, srgbEncodedKnee+float64(float64(i)*width), width)
	}
	table[linearCells] = newArc(Linear, 1, width) // 1 itself
	return table
}()

// linearRow is Linear on a row. Values outside [0,1] go by the formula.
func linearRow(light []float64, encoded []float32) {
	light = light[:len(encoded)]
	for x, v := range encoded {
		e := float64(v)
		if e > srgbEncodedKnee && e <= 1 {
			at := float64((e - srgbEncodedKnee) * (linearCells / (1 - srgbEncodedKnee)))
			cell := int(at)
			light[x] = linearArcs[cell].at((at - float64(cell)) * ((1 - srgbEncodedKnee) / linearCells))
			continue
		}
		light[x] = Linear(e)
	}
}

// labArcs tables the cube root over [2^-7, 2): below lies the line of the
// CIELAB function, above are colours far out of gamut. A doubling has 64 equal
// cells, so that the exponent and first bits of a float64 are the index. The
// error is under 1.3e-8.
const (
	labCellBits = 6
	labOctaves  = 8
	labFirst    = (1023 - 7) << labCellBits // index of 2^-7 before the table starts
)

var labArcs = func() (table [labOctaves << labCellBits]arc) {
	for i := range table {
		bits := uint64(i+labFirst) << (52 - labCellBits)
		start, end := math.Float64frombits(bits), math.Float64frombits(bits+1<<(52-labCellBits))
		table[i] = newArc(math.Cbrt, start, end-start)
	}
	return table
}()

// fastLabCurve is labCurve, by table where labArcs reaches.
func fastLabCurve(t float64) float64 {
	if t > labKnee {
		bits := math.Float64bits(t)
		if i := int(bits>>(52-labCellBits)) - labFirst; i < len(labArcs) {
			start := math.Float64frombits(bits &^ (1<<(52-labCellBits) - 1))
			return labArcs[i].at(t - start)
		}
	}
	return labCurve(t)
}
