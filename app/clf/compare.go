package clf

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"sync"

	"halocline/colour"
)

// A Difference is the largest of a list from a base, among all channels of Colours
// colours, in parts of the full scale.
type Difference struct {
	Largest float64
	At      colour.RGB // the colour that came in
	// Elsewhere is the largest off the knee of a BT.709 source, at 0.081, where the
	// curve itself jumps; of other sources it is Largest.
	Elsewhere float64
	Colours   int
}

// Codes is a difference in code values of a bit depth.
func Codes(difference float64, bits int) float64 { return difference * float64(int(1)<<bits-1) }

// String says the difference in words.
func (d Difference) String() string {
	inCodes := func(v float64) string {
		return fmt.Sprintf("%.2g of a code value of 8 bits, %.2g of 10 bits", Codes(v, 8), Codes(v, 10))
	}
	over := fmt.Sprintf(", over %d colours", d.Colours)
	if d.Elsewhere < d.Largest {
		return fmt.Sprintf("%s%s, and %s for values within 0.00007 of 0.081, where the curve of BT.709 jumps", inCodes(d.Elsewhere), over, inCodes(d.Largest))
	}
	return inCodes(d.Largest) + over
}

// compare works out how far a list is from a base as mattes see it, which
// colour.Base.Apply makes: for a grid of colours, all greys of 10 bits, greys about the
// knees of the sources' curves, and random colours, in [0,1] as all footage comes.
func compare(ctx context.Context, l *List, b colour.Base) (Difference, error) {
	in := probes()
	var own colour.Image
	if err := b.Apply(ctx, &own, in, 0); err != nil {
		return Difference{}, err
	}
	d := Difference{Colours: len(in.R.Pix)}
	for i := range in.R.Pix {
		if i%4096 == 0 && ctx.Err() != nil {
			return d, ctx.Err()
		}
		c := colour.RGB{R: float64(in.R.Pix[i]), G: float64(in.G.Pix[i]), B: float64(in.B.Pix[i])}
		got := l.Colour(c)
		off := max(math.Abs(got.R-float64(own.R.Pix[i])), math.Abs(got.G-float64(own.G.Pix[i])), math.Abs(got.B-float64(own.B.Pix[i])))
		if !(off <= d.Largest) { // also where it is no number
			d.Largest, d.At = off, c
		}
		if !(off <= d.Elsewhere) && !(b.Input == colour.BT709 && nearJump(c)) {
			d.Elsewhere = off
		}
	}
	return d, nil
}

// nearJump reports whether a channel lies in the cell of a table that BT.709's knee is in, or
// just beside it.
func nearJump(c colour.RGB) bool {
	jump := colour.BT709.Knee()
	for _, v := range []float64{c.R, c.G, c.B} {
		if math.Abs(v-jump) < 1./(tableEntries-1) {
			return true
		}
	}
	return false
}

// How many colours lists are tried on.
const (
	gridSide    = 17
	greyCodes   = 1024
	aboutKnees  = 200 // greys at each knee
	randomCount = 1 << 14
)

// knees are where the curves of sources have a corner. A table cannot follow the jump of
// BT.709 within its cell.
func knees() (all []float64) {
	for i := range colour.TransferNames() {
		all = append(all, colour.Transfer(i).Knee())
	}
	return all
}

// probes are the colours that a list is tried on, a row of them.
var probes = sync.OnceValue(func() *colour.Image {
	knees := knees()
	m := colour.NewImage(gridSide*gridSide*gridSide+greyCodes+len(knees)*aboutKnees+randomCount, 1)
	i := 0
	put := func(r, g, b float64) {
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(r), float32(g), float32(b)
		i++
	}
	step := func(n int) float64 { return float64(n) / (gridSide - 1) }
	for n := range gridSide * gridSide * gridSide {
		put(step(n/gridSide/gridSide), step(n/gridSide%gridSide), step(n%gridSide))
	}
	for n := range greyCodes {
		v := float64(n) / (greyCodes - 1)
		put(v, v, v)
	}
	for _, knee := range knees {
		for n := range aboutKnees { // over two cells of a table
			v := knee + (float64(n)/aboutKnees*2-1)/tableEntries
			put(v, v, v)
		}
	}
	rng := rand.New(rand.NewPCG(1, 709))
	for range randomCount {
		put(rng.Float64(), rng.Float64(), rng.Float64())
	}
	return m
})
