package view

import (
	"context"
	"fmt"
	"image"
	"math"
	"sync"

	"halocline/colour"
)

// A Composer makes a view's pixels of what was rendered. It keeps tables while
// the viewport and the layers' region stay the same, and pictures at the view's
// size, so that a changed matte over the same picture costs the matte alone. The
// zero value is ready; one goroutine may use it at a time.
type Composer struct {
	at    geometry
	x, y  taps
	shown scaled
	trial scaled
	why   settled
	pool  sync.Pool // *stripBuffers
}

// A scaled is a picture at the view's pixels.
type scaled struct {
	of  *colour.Image // nil: not made
	pix []uint8       // R, G, B, 255, for the view's pixels that show the picture
}

// stripBuffers are those of one strip at work.
type stripBuffers struct {
	picture pictureRows
	matte   matteRows
	weights []uint8 // a row of the view
}

// Compose fills dst, VW x VH pixels whose corner is at (0,0), with one view of
// the layers, or with two side by side: left of divider, a screen x, the left
// one, from there on the right one. A negative divider, or one that is not a
// number, means the left one alone.
//
// Beside the picture dst is the surround. Where a source pixel takes a pixel of
// the screen or more, and a sample too, pixels are crisp, each with the sample
// under its centre; else it is the mean over its area, interpolated. Where the
// layers do not reach, their border goes on. Rounding to 8 bits is done once for
// the picture, once for the matte, and once where they are blended. The bytes
// are the same for any number of workers (0 = one for each processor).
//
// The pattern of a rejected pixel is that of most of the rejected ones within 2
// source pixels of it, so that patterns can be told apart where reasons are
// mixed; what is in and what is out is shown as it is.
//
// A picture is known by its pointer, and so are reasons by their first one's:
// samples of what was composed must not be changed while the composer is in use.
//
// Errors: ctx's, dst is undefined then; a layer that a view needs is missing or
// of another size, dst is as it was then.
func (c *Composer) Compose(ctx context.Context, dst *image.RGBA, v Viewport, left, right View, divider float64, l Layers, workers int) error {
	if dst.Rect != image.Rect(0, 0, v.VW, v.VH) {
		return fmt.Errorf("view: a view of %d x %d pixels into a picture of %v", v.VW, v.VH, dst.Rect)
	}
	if v.Empty() {
		fill(dst.Pix, surround)
		return nil
	}
	parts := split(left, right, divider, v.VW)
	w, h, err := l.size(parts.views()...)
	if err != nil {
		return err
	}
	c.measure(geometry{v, l.Region, l.Factor, w, h})
	shown, matte, reasons, trial := needs(parts.views())
	if reasons {
		if err := c.why.renew(ctx, l.Reasons, w, h, l.Factor, workers); err != nil {
			return err
		}
	}
	job := composing{c: c, dst: dst, l: l, parts: parts, matte: matte}
	job.makeShown = c.shown.renew(shown, l.Shown, c.samples())
	job.makeTrial = c.trial.renew(trial, l.Trial, c.samples())
	err = colour.EachStrip(ctx, workers, v.VH, stripRows, job.strip)
	if err == nil {
		c.shown.keep(job.makeShown, l.Shown)
		c.trial.keep(job.makeTrial, l.Trial)
	}
	return err
}

// measure makes the tables of a geometry, unless they are at hand.
func (c *Composer) measure(g geometry) {
	if g != c.at {
		c.at, c.shown.of, c.trial.of, c.why.of = g, nil, nil, nil
		c.x, c.y = g.taps()
		if len(c.x.near) == 0 { // the picture lies beside the view
			c.y = taps{lo: g.v.VH}
		}
	}
}

// samples is how many pixels of the view show the picture.
func (c *Composer) samples() int { return len(c.x.near) * len(c.y.near) }

// renew reports whether a picture that is needed is to be made anew.
func (s *scaled) renew(needed bool, m *colour.Image, pixels int) bool {
	if !needed || s.of == m {
		return false
	}
	s.of, s.pix = nil, colour.Resized(s.pix, 4*pixels)
	return true
}

func (s *scaled) keep(made bool, m *colour.Image) {
	if made {
		s.of = m
	}
}

// row returns a row of the pixels that show the picture.
func (s *scaled) row(i, width int) []uint8 { return s.pix[4*i*width:][:4*width] }

// A part is a view of the columns [x0,x1) of the screen.
type part struct {
	view   View
	x0, x1 int
}

type parts []part

func split(left, right View, divider float64, width int) parts {
	if !(divider >= 0) {
		return parts{{left, 0, width}}
	}
	at := int(math.Round(min(divider, float64(width))))
	return parts{{left, 0, at}, {right, at, width}}
}

func (p parts) views() (all []View) {
	for _, one := range p {
		all = append(all, one.view)
	}
	return all
}

// A composing is one call of Compose.
type composing struct {
	c                    *Composer
	dst                  *image.RGBA
	l                    Layers
	parts                parts
	matte                bool // a view needs it
	makeShown, makeTrial bool
}

// stripRows is how many rows of the view one worker makes at a time: the first
// and the last of them cost a row of samples more, and 26 strips of the view at
// 1920 x 1080 still keep several workers busy to the end.
const stripRows = 32

// strip makes the rows [y0,y1) of the view.
func (j *composing) strip(y0, y1 int) {
	b, _ := j.c.pool.Get().(*stripBuffers)
	if b == nil {
		b = new(stripBuffers)
	}
	defer j.c.pool.Put(b)
	j.scale(b, &j.c.shown, j.l.Shown, j.makeShown, y0, y1)
	j.scale(b, &j.c.trial, j.l.Trial, j.makeTrial, y0, y1)
	b.matte.begin(j.c.y.n)
	for y := y0; y < y1; y++ {
		j.row(b, y)
	}
}

// scale makes a strip of a picture at the view's pixels.
func (j *composing) scale(b *stripBuffers, s *scaled, m *colour.Image, wanted bool, y0, y1 int) {
	if !wanted {
		return
	}
	x, y := &j.c.x, &j.c.y
	width, crisp := len(x.near), y.n == 0
	b.picture.begin(y.n)
	for i := max(y0, y.lo) - y.lo; i < min(y1, y.hi)-y.lo; i++ {
		if crisp && i > max(y0-y.lo, 0) && y.near[i] == y.near[i-1] {
			copy(s.row(i, width), s.row(i-1, width))
			continue
		}
		b.picture.row(s.row(i, width), m, x, y, i)
	}
}

// row makes one row of the view.
func (j *composing) row(b *stripBuffers, y int) {
	x, ty := &j.c.x, &j.c.y
	dst := j.dst.Pix[y*j.dst.Stride:][:4*j.dst.Rect.Dx()]
	if y < ty.lo || y >= ty.hi {
		fill(dst, surround)
		return
	}
	fill(dst[:4*x.lo], surround)
	fill(dst[4*x.hi:], surround)
	i := y - ty.lo
	if j.matte {
		b.weights = colour.Resized(b.weights, len(x.near))
		b.matte.row(b.weights, j.l.Matte, x, ty, i)
	}
	for _, p := range j.parts {
		if x0, x1 := max(p.x0, x.lo), min(p.x1, x.hi); x0 < x1 {
			j.part(dst[4*x0:4*x1], b.weights, p.view, x0, y)
		}
	}
	if j.l.Beyond != nil {
		mid := min(max(plusMiddle(y), ty.lo), ty.hi-1) - ty.lo
		plusRow(dst[4*x.lo:4*x.hi], samplesOf(j.l.Beyond, j.c.at.w, int(ty.near[mid])), x.near, x.lo, y)
	}
}

// part makes one view's part of a row, which begins at (x,y) of the screen.
func (j *composing) part(dst, weights []uint8, view View, x, y int) {
	tx, ty := &j.c.x, &j.c.y
	from, n, i := x-tx.lo, len(dst)/4, y-ty.lo
	l := line[uint8]{pix: dst, near: tx.near[from : from+n], x: x, y: y}
	shown, matte, reasons, trial := view.Needs()
	if shown {
		copy(dst, j.c.shown.row(i, len(tx.near))[4*from:])
	}
	if trial {
		copy(dst, j.c.trial.row(i, len(tx.near))[4*from:])
	}
	if matte {
		l.weights = weights[from : from+n]
	}
	if reasons {
		l.reasons = samplesOf(j.c.why.reasons, j.c.at.w, int(ty.near[i]))
	}
	l.draw(view)
}
