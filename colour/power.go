package colour

import "math"

// A cdlChannel is what a CDL does to one channel before the saturation.
type cdlChannel struct {
	slope, offset float64
	power         *powerTable
}

// run writes clamp(src slope + offset)^power to dst, which is as long.
func (k *cdlChannel) run(dst []float64, src []float32) {
	dst = dst[:len(src)]
	t := k.power
	if t.power == 1 {
		for i, v := range src {
			dst[i] = clamp01(float64(float64(v)*k.slope) + k.offset)
		}
		return
	}
	for i, v := range src {
		x := float64(float64(v)*k.slope) + k.offset
		if !(x >= powerEven && x < 1) || t.far {
			dst[i] = t.rest(x)
			continue
		}
		at := x * powerCells // exact: a power of two
		cell := int(at)
		dst[i] = t.cells[cell%powerCells].at(at - float64(cell))
	}
}

// A powerTable is x^power over [0,1]. The clamp comes before the power, so the
// curve has no corner but at 0: equal cells follow it from powerEven up, and
// doublings of x, each in equal cells, down to powerLeast. Below, and for powers
// that cells cannot follow, the formula goes on.
type powerTable struct {
	power    float64
	far      bool // the formula everywhere
	cells    [powerCells]arc
	doubling [powerOctaves << powerCellBits]arc
}

// A parabola through both ends and the middle of a cell is off by up to
// |p(p-1)(p-2)| x^(p-3) d^3 / (9 sqrt 3), d half of the cell. With these cells
// that is under 2.5e-7: at powerEven for powers about 0.1, at 1 for powerMost.
const (
	powerCells    = 512
	powerEven     = 1. / 32
	powerCellBits = 4
	powerOctaves  = 8
	powerLeast    = powerEven / (1 << powerOctaves)
	powerFirst    = (1023 - 5 - powerOctaves) << powerCellBits // index of powerLeast before the table starts
	powerMost     = 16
)

func newPowerTable(power float64) *powerTable {
	t := &powerTable{power: power, far: power > powerMost}
	if power == 1 || t.far {
		return t
	}
	curve := func(x float64) float64 { return math.Pow(x, power) }
	for i := powerCells / 32; i < powerCells; i++ { // from powerEven
		t.cells[i] = newArc(curve, float64(i)/powerCells, 1./powerCells)
	}
	for i := range t.doubling {
		bits := uint64(i+powerFirst) << (52 - powerCellBits)
		start, end := math.Float64frombits(bits), math.Float64frombits(bits+1<<(52-powerCellBits))
		t.doubling[i] = newArc(curve, start, end-start)
	}
	return t
}

// rest is the power of any x, clamped to [0,1], where the even cells do not have it.
func (t *powerTable) rest(x float64) float64 {
	switch x = clamp01(x); {
	case x == 0, x == 1:
		return x
	case x < powerLeast || t.far:
		return tableEntry(math.Pow(x, t.power))
	}
	bits := math.Float64bits(x)
	// The bits below the index, as the fraction of a number from 1 to 2.
	u := math.Float64frombits(bits<<powerCellBits&(1<<52-1)|1023<<52) - 1
	return t.doubling[(bits>>(52-powerCellBits)-powerFirst)%uint64(len(t.doubling))].at(u)
}
