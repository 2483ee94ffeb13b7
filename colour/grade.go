package colour

import (
	"context"
	"math"
)

// A Grade is a CDL ready to run over pictures. Up to a saturation of 4 it is
// within 1e-6 of CDL.Colour; every build and machine gives the same bits.
type Grade struct {
	cdl     CDL
	neutral bool
	power   [3]powerTable
}

// Grade returns d ready to run, or the error of Check.
func (d CDL) Grade() (*Grade, error) {
	if err := d.Check(); err != nil {
		return nil, err
	}
	g := &Grade{cdl: d, neutral: d.IsNeutral()}
	for c := range g.power {
		if c > 0 && d.Power[c] == d.Power[c-1] {
			g.power[c] = g.power[c-1]
			continue
		}
		g.power[c] = newPowerTable(d.Power[c])
	}
	return g, nil
}

// A powerTable is x^power over [0,1]. The clamp comes before the power, so the
// curve has no corner but at 0; doublings of x, each in equal cells, follow it
// there. Below them, and where the power is so far from 1 that cells cannot
// follow, the formula goes on.
type powerTable struct {
	power float64
	arcs  []arc // nil for the formula everywhere
}

const (
	powerCellBits = 7
	powerOctaves  = 12
	powerFirst    = (1023 - powerOctaves) << powerCellBits // index of 2^-powerOctaves before the table starts
	powerLeast    = 1. / (1 << powerOctaves)
	// A parabola through both ends and the middle of a cell misses by up to
	// p(p-1)(p-2) x^(p-3) d^3 / (9 sqrt 3), d half of the cell: most below x = 1,
	// where d is 2^-9. At 8 that is 1.6e-7.
	powerMost = 8
)

func newPowerTable(power float64) powerTable {
	t := powerTable{power: power}
	if power == 1 || power > powerMost {
		return t
	}
	t.arcs = make([]arc, powerOctaves<<powerCellBits)
	curve := func(x float64) float64 { return math.Pow(x, power) }
	for i := range t.arcs {
		bits := uint64(i+powerFirst) << (52 - powerCellBits)
		start, end := math.Float64frombits(bits), math.Float64frombits(bits+1<<(52-powerCellBits))
		t.arcs[i] = newArc(curve, start, end-start)
	}
	return t
}

// at returns x^power; x lies in [0,1].
func (t *powerTable) at(x float64) float64 {
	switch {
	case x <= 0:
		return 0
	case x >= 1:
		return 1
	case t.power == 1:
		return x
	case x < powerLeast || t.arcs == nil:
		return tableEntry(math.Pow(x, t.power))
	}
	bits := math.Float64bits(x)
	// The bits below the index, as the fraction of a number from 1 to 2.
	u := math.Float64frombits(bits<<powerCellBits&(1<<52-1)|1023<<52) - 1
	return t.arcs[(bits>>(52-powerCellBits)-powerFirst)%uint64(len(t.arcs))].at(u)
}

// colour grades one pixel.
func (g *Grade) colour(r, green, b float32) (v [3]float64) {
	d := &g.cdl
	v[0] = g.power[0].at(clamp01(float64(float64(r)*d.Slope[0]) + d.Offset[0]))
	v[1] = g.power[1].at(clamp01(float64(float64(green)*d.Slope[1]) + d.Offset[1]))
	v[2] = g.power[2].at(clamp01(float64(float64(b)*d.Slope[2]) + d.Offset[2]))
	if d.Saturation == 1 {
		return v
	}
	y := luma(v)
	for i := range v {
		v[i] = clamp01(y + float64(d.Saturation*(v[i]-y)))
	}
	return v
}

// Apply writes src after the grade to dst, which is made its size and may be src.
// A neutral grade copies the bits.
func (g *Grade) Apply(ctx context.Context, dst, src *Image, workers int) error {
	return g.each(ctx, dst, src, workers, func(dst, src pixelRows, from int) {
		for x, red := range src[0] {
			v := g.colour(red, src[1][x], src[2][x])
			dst[0][x], dst[1][x], dst[2][x] = float32(v[0]), float32(v[1]), float32(v[2])
		}
	})
}

// Through writes src graded through a matte to dst, which is made its size and
// may be src: src + alpha (graded - src). matte has src's size and values in
// [0,1]; where it is 0 the bits are copied, and so they are by a neutral grade.
func (g *Grade) Through(ctx context.Context, dst, src *Image, matte Plane, workers int) error {
	if !src.R.SameSize(matte) {
		panic("colour: matte of another size than the picture")
	}
	return g.each(ctx, dst, src, workers, func(dst, src pixelRows, from int) {
		for x, alpha := range matte.Pix[from : from+len(src[0])] {
			r, green, b := src[0][x], src[1][x], src[2][x]
			if alpha > 0 {
				v, a := g.colour(r, green, b), float64(alpha)
				r = float32(float64(r) + float64(a*(v[0]-float64(r))))
				green = float32(float64(green) + float64(a*(v[1]-float64(green))))
				b = float32(float64(b) + float64(a*(v[2]-float64(b))))
			}
			dst[0][x], dst[1][x], dst[2][x] = r, green, b
		}
	})
}

// pixelRows are stretches of a picture's R, G and B.
type pixelRows [3][]float32

// each calls work for bands of a picture, which begin at sample from of a plane.
func (g *Grade) each(ctx context.Context, dst, src *Image, workers int, work func(dst, src pixelRows, from int)) error {
	w, h := src.Size()
	dst.Reshape(w, h)
	return EachBand(ctx, workers, h, func(y0, y1 int) {
		from, to := y0*w, y1*w
		out := pixelRows{dst.R.Pix[from:to], dst.G.Pix[from:to], dst.B.Pix[from:to]}
		in := pixelRows{src.R.Pix[from:to], src.G.Pix[from:to], src.B.Pix[from:to]}
		if g.neutral {
			for c := range out {
				copy(out[c], in[c])
			}
			return
		}
		work(out, in, from)
	})
}

// Apply is Grade.Apply for a CDL that runs once.
func (d CDL) Apply(ctx context.Context, dst, src *Image, workers int) error {
	g, err := d.Grade()
	if err != nil {
		return err
	}
	return g.Apply(ctx, dst, src, workers)
}
