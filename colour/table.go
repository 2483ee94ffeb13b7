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

// isFinite reports whether v is a number and not infinite. v-v == 0 would not
// do: with v a product, the compiler may fuse the subtraction with it.
func isFinite(v float32) bool {
	const exponent = 0xff << 23
	return math.Float32bits(v)&exponent != exponent
}

// finite returns v, or 0 where v is infinite or not a number.
func finite(v float32) float32 {
	if !isFinite(v) {
		return 0
	}
	return v
}

// An arc is one cell of a tabled curve: the parabola through the curve at the
// cell's start, middle and end, in powers of u, which goes from 0 to 1 over it.
type arc [3]float64

func newArc(curve func(float64) float64, start, width float64) arc {
	y0 := tableEntry(curve(start))
	y1 := tableEntry(curve(start + width/2))
	y2 := tableEntry(curve(start + width))
	// Multiples of tableGrain: these sums are exact, so nothing can be fused.
	return arc{y0, 4*y1 - 3*y0 - y2, 2 * (y0 - 2*y1 + y2)}
}

func (a *arc) at(u float64) float64 {
	return a[0] + float64(u*(a[1]+float64(u*a[2])))
}

// linearArcs tables Linear over [linearFrom/linearCells, 1] in equal cells of
// [0,1]; below the knee the curve is a line, and the cell with the knee in it
// goes by the formula. The error is under 3e-9.
const (
	linearCells = 256
	linearFrom  = 11 // the first cell above the knee, 0.04045 * 256 = 10.4
)

var linearArcs = func() (table [linearCells + 1]arc) {
	for i := linearFrom; i < linearCells; i++ {
		table[i] = newArc(Linear, float64(i)/linearCells, 1./linearCells)
	}
	table[linearCells][0] = 1
	return table
}()

// linearRow is Linear on a row; outside the table and the line it keeps to the
// grain of tables.
func linearRow(light []float64, encoded []float32) {
	light = light[:len(encoded)]
	for x, v := range encoded {
		if v >= linearFrom/float32(linearCells) && v <= 1 {
			at := v * linearCells // exact, as is what is left of it below
			cell := int32(at)
			light[x] = linearArcs[cell].at(float64(at - float32(cell)))
			continue
		}
		if e := float64(v); v >= 0 && e <= srgbEncodedKnee {
			light[x] = e / srgbSlope
		} else {
			light[x] = tableEntry(Linear(e))
		}
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

// inLabArcs reports whether labArc holds t.
func inLabArcs(t float64) bool { return t > labKnee && t < 2 }

// anyLabArc is labArc for any t; outside the table it keeps to its grain.
func anyLabArc(t float64) float64 {
	if inLabArcs(t) {
		return labArc(t)
	}
	return tableEntry(labCurve(t))
}

// labArc is labCurve by table. t must be inLabArcs.
func labArc(t float64) float64 {
	bits := math.Float64bits(t)
	// The bits below the index, as the fraction of a number from 1 to 2.
	u := math.Float64frombits(bits<<labCellBits&(1<<52-1)|1023<<52) - 1
	return labArcs[(bits>>(52-labCellBits)-labFirst)%uint64(len(labArcs))].at(u)
}
