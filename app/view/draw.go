package view

import (
	"context"

	"halocline/colour"
	"halocline/selection"
)

// Draw returns a view of layers with a pixel for each sample, as a file of 8 or 16
// bits a sample has it: all of its values are whole codes. Patterns begin at the
// layers' corner. At 8 bits these are the bytes that Compose gives at 100 %, at 16
// the same drawing in finer codes.
func Draw(ctx context.Context, v View, l Layers, depth, workers int) (*colour.Image, error) {
	w, h, err := l.size(v)
	if err != nil {
		return nil, err
	}
	if _, _, reasons, _ := v.Needs(); reasons {
		var why settled
		if err := why.renew(ctx, l.Reasons, w, h, l.Factor, workers); err != nil {
			return nil, err
		}
		l.Reasons = why.reasons
	}
	out := colour.NewImage(w, h)
	if depth == 16 {
		d := drawing[uint16]{v, l, w, out, colour.Code16}
		return out, colour.EachBand(ctx, workers, h, d.rows)
	}
	d := drawing[uint8]{v, l, w, out, colour.Code8}
	return out, colour.EachBand(ctx, workers, h, d.rows)
}

// A drawing is one call of Draw.
type drawing[T code] struct {
	view View
	l    Layers
	w    int // samples
	out  *colour.Image
	code func(float32) T
}

// rows draws the rows [y0,y1).
func (d drawing[T]) rows(y0, y1 int) {
	at := line[T]{pix: make([]T, 4*d.w), near: make([]int32, d.w)}
	for x := range at.near {
		at.near[x] = int32(x)
	}
	for at.y = y0; at.y < y1; at.y++ {
		d.fill(&at)
		at.draw(d.view)
		d.mark(at)
		d.keep(at)
	}
}

// fill makes a line of the layers.
func (d drawing[T]) fill(at *line[T]) {
	shown, matte, reasons, trial := d.view.Needs()
	if shown {
		d.codes(at.pix, d.l.Shown, at.y)
	}
	if trial {
		d.codes(at.pix, d.l.Trial, at.y)
	}
	if matte {
		at.weights = colour.Resized(at.weights, d.w)
		for x, v := range d.l.Matte.Row(at.y) {
			at.weights[x] = d.code(v)
		}
	}
	if reasons {
		at.reasons = samplesOf(d.l.Reasons, d.w, at.y)
	}
}

// mark draws what is beyond repair.
func (d drawing[T]) mark(at line[T]) {
	if d.l.Beyond != nil {
		mid := min(plusMiddle(at.y), d.out.R.H-1)
		plusRow(at.pix, samplesOf(d.l.Beyond, d.w, mid), at.near, at.x, at.y)
	}
}

// codes writes a row of a picture, R, G, B.
func (d drawing[T]) codes(dst []T, m *colour.Image, y int) {
	for c, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
		for x, v := range p.Row(y) {
			dst[4*x+c] = d.code(v)
		}
	}
}

// keep writes a finished line into the picture.
func (d drawing[T]) keep(at line[T]) {
	for c, p := range []*colour.Plane{&d.out.R, &d.out.G, &d.out.B} {
		for x := range p.Row(at.y) {
			p.Row(at.y)[x] = float32(at.pix[4*x+c]) / float32(full[T]())
		}
	}
}

// samplesOf is row y of what has w samples a row.
func samplesOf[S selection.Reason | bool](all []S, w, y int) []S { return all[y*w:][:w] }
