package colour

import (
	"context"
	"image"
	"math"
	"sync"
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
	curveWithin = 4e-6 // of the formula at 1/4 and 3/4 of a cell: about half of the worst in it
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
	f.fit(k.cells[:curveCells], 0, 1, curveNodes(f.input))
	for i := range k.cells[:curveCells] {
		if k.cells[i].how == formulaCell {
			k.cells[i].how = int32(len(k.finer))
			k.finer = append(k.finer, [curveFiner]curveCell{})
			f.fit(k.finer[k.cells[i].how][:], float64(i)/curveCells, 1./curveCells, nil)
		}
	}
	k.cells[curveCells] = curveCell{arc: [3]float32{float32(f.node(1))}, how: arcCell}
}

// curveNodes is a source's light at quarters of the coarse cells: the same for
// every base, and half of the work.
func curveNodes(input Transfer) []float64 { return nodesOf[input]() }

var nodesOf = func() (all [len(transferNames)]func() []float64) {
	for i := range all {
		all[i] = sync.OnceValue(func() []float64 { return lightNodes(Transfer(i)) })
	}
	return all
}()

func lightNodes(input Transfer) []float64 {
	light := make([]float64, 4*curveCells+1)
	for i := range light {
		light[i] = input.Light(float64(i) / (4 * curveCells))
	}
	return light
}

// node is the tone's value at v as tables keep it.
func (f *tone) node(v float64) float64 { return tableEntry(f.encoded(v)) }

// fit makes cells follow the tone over [start,start+width). Each is a
// parabola through start, middle and end, and checked against the formula at the
// quarters. light, if not nil, is the source's at the quarters of the cells.
func (f *tone) fit(cells []curveCell, start, width float64, light []float64) {
	var y [5]float64
	y[4] = f.node(start)
	for i := range cells {
		y[0] = y[4]
		for q := 1; q < len(y); q++ {
			if light != nil {
				y[q] = tableEntry(f.fromLight(light[4*i+q]))
			} else {
				y[q] = f.node(start + float64(4*i+q)*(width/float64(4*len(cells)))) // exact
			}
		}
		cells[i] = newCurveCell(&y)
	}
}

func newCurveCell(y *[5]float64) curveCell {
	// Multiples of tableGrain below 2: these sums are exact, so nothing can be fused.
	a, b := 4*y[2]-3*y[0]-y[4], 2*(y[0]-2*y[2]+y[4])
	cell := curveCell{[3]float32{float32(y[0]), float32(a), float32(b)}, arcCell}
	miss1, miss3 := y[0]+a/4+b/16-y[1], y[0]+a*3/4+b*9/16-y[3]
	if max(math.Abs(miss1), math.Abs(miss3)) > curveWithin {
		cell.how = formulaCell
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

// ApplyParts is Apply for parts of a picture that lie apart: there dst, which must
// have src's size, is written, and elsewhere it stays as it is.
func (k *Curves) ApplyParts(ctx context.Context, dst, src *Image, parts []image.Rectangle, workers int) error {
	return EachPart(ctx, workers, parts, func(r image.Rectangle) {
		for y := r.Min.Y; y < r.Max.Y; y++ {
			k.Band(0, dst.R.Row(y)[r.Min.X:r.Max.X], src.R.Row(y)[r.Min.X:r.Max.X])
			k.Band(1, dst.G.Row(y)[r.Min.X:r.Max.X], src.G.Row(y)[r.Min.X:r.Max.X])
			k.Band(2, dst.B.Row(y)[r.Min.X:r.Max.X], src.B.Row(y)[r.Min.X:r.Max.X])
		}
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
			dst[x] = float32(curve.tone.node(float64(v)))
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
		return float32(k.tone.node(float64(v)))
	}
	return fine.at(at - float32(i))
}
