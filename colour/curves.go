package colour

import (
	"context"
	"math"
)

// Curves are a Base ready to run over pictures: each channel of the result
// depends on that channel of the source alone, so a table holds it. In [0,1]
// they are within 2e-5 of Base.Colour, outside they are the formula.
type Curves struct {
	neutral bool
	channel [3]curve
}

// A curve is cut into equal cells, each a parabola or, where the curve is too
// steep or has a corner, cut again into finer cells; what even those cannot
// follow goes by the formula.
const (
	curveCells  = 1024
	curveFiner  = 64
	curveWithin = 8e-6 // of the formula, in each cell
)

type curve struct {
	tone  tone
	cells [curveCells + 1]curveCell // the last holds 1 itself
	finer [][curveFiner]curveCell
}

// curveCell is a parabola over u in [0,1): arc[0] + u (arc[1] + u arc[2]).
type curveCell struct {
	arc [3]float32
	how int32 // arcCell, formulaCell, or the index of finer cells
}

const (
	arcCell     = -1
	formulaCell = -2
)

// Curves returns b ready to run, or the error of Check.
func (b Base) Curves() (*Curves, error) {
	if err := b.Check(); err != nil {
		return nil, err
	}
	k := &Curves{neutral: b.IsNeutral()}
	if k.neutral {
		return k, nil
	}
	for c, f := range b.tones() {
		k.channel[c].set(f)
	}
	return k, nil
}

func (k *curve) set(f tone) {
	k.tone = f
	const width = 1. / curveCells
	for i := range curveCells {
		start := float64(i) * width
		cell := f.cell(start, width)
		if cell.how == formulaCell {
			cell.how = int32(len(k.finer))
			var finer [curveFiner]curveCell
			for j := range finer {
				finer[j] = f.cell(start+float64(j)*(width/curveFiner), width/curveFiner)
			}
			k.finer = append(k.finer, finer)
		}
		k.cells[i] = cell
	}
	k.cells[curveCells] = curveCell{arc: [3]float32{float32(tableEntry(f.encoded(1)))}, how: arcCell}
}

// cell fits a parabola through start, middle and end, and holds it to the
// formula halfway between them.
func (f *tone) cell(start, width float64) curveCell {
	y := func(u float64) float64 { return tableEntry(f.encoded(start + u*width)) }
	y0, y1, y2 := y(0), y(0.5), y(1)
	cell := curveCell{[3]float32{float32(y0), float32(4*y1 - 3*y0 - y2), float32(2 * (y0 - 2*y1 + y2))}, arcCell}
	for _, u := range [...]float64{0.125, 0.25, 0.75, 0.875} {
		arc := y0 + float64(u*(4*y1-3*y0-y2+float64(u*2*(y0-2*y1+y2))))
		if math.Abs(arc-y(u)) > curveWithin {
			cell.how = formulaCell
			break
		}
	}
	return cell
}

// Apply writes src after the correction to dst, which is made its size and may
// be src. Neutral settings copy the bits.
func (b Base) Apply(ctx context.Context, dst, src *Image, workers int) error {
	k, err := b.Curves()
	if err != nil {
		return err
	}
	return k.Apply(ctx, dst, src, workers)
}

// Apply writes src after the correction to dst, which is made its size and may
// be src.
func (k *Curves) Apply(ctx context.Context, dst, src *Image, workers int) error {
	w, h := src.Size()
	dst.Reshape(w, h)
	return EachBand(ctx, workers, h, func(y0, y1 int) {
		k.Band(0, dst.R.Pix[y0*w:y1*w], src.R.Pix[y0*w:y1*w])
		k.Band(1, dst.G.Pix[y0*w:y1*w], src.G.Pix[y0*w:y1*w])
		k.Band(2, dst.B.Pix[y0*w:y1*w], src.B.Pix[y0*w:y1*w])
	})
}

// Band corrects samples of channel c (0 red, 1 green, 2 blue). dst has the
// length of src and may be src.
func (k *Curves) Band(c int, dst, src []float32) {
	dst = dst[:len(src)]
	if k.neutral {
		copy(dst, src)
		return
	}
	curve := &k.channel[c]
	for x, v := range src {
		if !(v >= 0 && v <= 1) {
			dst[x] = float32(curve.tone.encoded(float64(v)))
			continue
		}
		at := v * curveCells // exact: a power of two
		i := int32(at)
		cell := &curve.cells[i]
		u := at - float32(i)
		if cell.how != arcCell {
			dst[x] = curve.steep(cell, v, u)
			continue
		}
		dst[x] = cell.at(u)
	}
}

func (c *curveCell) at(u float32) float32 {
	return c.arc[0] + float32(u*(c.arc[1]+float32(u*c.arc[2])))
}

// steep is the value in a cell that one parabola does not follow.
func (k *curve) steep(cell *curveCell, v, u float32) float32 {
	at := u * curveFiner // exact
	i := int32(at)
	fine := &k.finer[cell.how][i]
	if fine.how == formulaCell {
		return float32(k.tone.encoded(float64(v)))
	}
	return fine.at(at - float32(i))
}
