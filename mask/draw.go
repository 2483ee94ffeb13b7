package mask

import (
	"context"
	"fmt"
	"math"
	"slices"
	"sync"

	"halocline/colour"
)

// Draw makes dst the shape's weights in a region. It returns an error where
// the shape or the region is out of order, or when ctx ends; dst is then
// undefined. The work is spread over workers goroutines, 0 meaning one for
// each processor.
func (s Shape) Draw(ctx context.Context, dst *colour.Plane, region Region, workers int) error {
	return Compose(ctx, dst, []Layer{{Shape: s}}, region, workers)
}

// A Layer is one of several masks that make a whole.
type Layer struct {
	Shape
	Drop bool // leave out what the shape fills; otherwise keep it
	Off  bool // without a say here: to keep nothing, or to drop nothing. The shape is not looked at
	// Search says how the outline is led to the picture's edge before it is drawn (package
	// edge). Here it does not count.
	Search Search
	// Stretch is set where the outline follows the picture: the shape then is the nearest
	// key's. Here it does not count either.
	Stretch *Stretch
}

// Searches reports whether the picture leads the layer's outline: to its edge, or along with
// its motion.
func (l *Layer) Searches() bool { return !l.Off && (l.Search.On() || l.Stretch != nil) }

// Compose makes dst the largest of the kept weights times what every drop
// leaves, 1 - its weight. Without any layer that keeps, everything is kept; but
// a layer that keeps and is off keeps nothing. Errors as for Draw.
func Compose(ctx context.Context, dst *colour.Plane, layers []Layer, region Region, workers int) error {
	return ComposeFound(ctx, dst, layers, nil, region, workers)
}

// ComposeFound is Compose with the weights of some layers as they were found: where there
// are any for a layer, they stand for its shape, but for the opacity. nil is for none.
func ComposeFound(ctx context.Context, dst *colour.Plane, layers []Layer, found []*Raster, region Region, workers int) error {
	if err := region.check(); err != nil {
		return err
	}
	w, h := region.Size()
	dst.Reshape(w, h)
	var keep, drop []*drawing
	everything := true
	for i, l := range layers {
		everything = everything && l.Drop
		if l.Off {
			continue
		}
		var weights *Raster
		if found != nil {
			weights = found[i]
		}
		d, err := l.drawing(weights, region)
		if err != nil {
			if len(layers) > 1 {
				err = fmt.Errorf("layer %d: %w", i+1, err)
			}
			return fmt.Errorf("mask: %w", err)
		}
		if l.Drop {
			drop = append(drop, d)
		} else {
			keep = append(keep, d)
		}
		defer drawings.Put(d)
	}
	return colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		b := bands.Get().(*band)
		defer bands.Put(b)
		b.reset(w, y0, y1)
		b.compose(dst.Pix[y0*w:y1*w], keep, drop, everything)
	})
}

func (l *Layer) drawing(found *Raster, region Region) (*drawing, error) {
	if found != nil {
		return rasterDrawing(found, l.Opacity, region), nil
	}
	return newDrawing(l.Shape, region)
}

// compose fills out, the band's rows.
func (b *band) compose(out []float32, keep, drop []*drawing, everything bool) {
	switch {
	case everything:
		b.fill(out)
	case len(keep) == 0:
		clear(out)
	default:
		b.draw(out, keep[0])
		keep = keep[1:]
	}
	for _, d := range keep {
		if !d.reaches(b.top, b.bottom) {
			continue
		}
		b.draw(b.layer, d)
		for i, v := range b.layer[:len(out)] {
			if v > out[i] {
				out[i] = v
			}
		}
	}
	for _, d := range drop {
		if !d.reaches(b.top, b.bottom) {
			continue
		}
		b.draw(b.layer, d)
		for i, v := range b.layer[:len(out)] {
			out[i] *= 1 - v
		}
	}
}

// A drawing is a shape ready to be drawn into a region: in grid units from its
// corner.
type drawing struct {
	area         *area
	figures      []figure
	figureRows   [][2]int32 // the figures' rows once more: closer together, for the search
	size         int64
	inner, outer float32 // pixels
	opacity      float32
	blend        float32  // of feather against coverage, in [0,1]
	rows         [2]int32 // that may have weight
	raster       *Raster  // in place of the area, if there
	region       Region   // of the raster's drawing
}

// drawings keeps the memory of figures between uses.
var drawings = sync.Pool{New: func() any { return new(drawing) }}

// noFeather is the feather, in pixels, up to which there is none: what it
// changes is under a 16-bit code, and the slope of a ramp stays a number.
const noFeather = 1e-6

// newDrawing prepares a shape.
func newDrawing(s Shape, region Region) (*drawing, error) {
	if err := s.fault(); err != nil {
		return nil, err
	}
	corners := s.outline()
	origin := region.origin()
	for i := range corners {
		corners[i] = corners[i].minus(origin)
	}
	a, err := fill(corners)
	if err != nil {
		return nil, err
	}
	d := drawings.Get().(*drawing)
	*d = drawing{
		area: a, size: int64(region.Factor) * unit,
		inner: float32(s.Inner), outer: float32(s.Outer), opacity: float32(s.Opacity),
		figures: d.figures, figureRows: d.figureRows,
	}
	w, h := region.Size()
	low, high := a.bounds()
	d.rows = pixelsOf(0, float64(low.y)-float64(s.Outer*unit), float64(high.y)+float64(s.Outer*unit), d.size, h)
	d.figureRows = d.figureRows[:0]
	if total := s.Inner + s.Outer; total > noFeather && len(a.borders) > 0 {
		d.blend = float32(min(total/float64(region.Factor), 1))
		deepest := float64(float64(min(high.x-low.x, high.y-low.y))/2) + 1 // nothing inside is farther from the edge
		d.figures = a.figures(d.figures[:0], d.size, w, h, min(s.Inner*unit, deepest), s.Outer*unit)
		d.figureRows = slices.Grow(d.figureRows, len(d.figures))
		for i := range d.figures {
			d.figureRows = append(d.figureRows, d.figures[i].rows)
		}
	}
	return d, nil
}

// bounds returns the corners of the rectangle about what is filled.
func (a *area) bounds() (low, high spot) {
	for i, b := range a.borders {
		if i == 0 {
			low, high = b.from, b.from
		}
		low = spot{min(low.x, b.from.x), min(low.y, b.from.y)}
		high = spot{max(high.x, b.from.x), max(high.y, b.from.y)}
	}
	return low, high
}

// reaches reports whether any of the rows [top,bottom) may have weight.
func (d *drawing) reaches(top, bottom int) bool {
	return (d.raster != nil || len(d.area.borders) > 0) && int(d.rows[0]) < bottom && int(d.rows[1]) > top
}

var bands = sync.Pool{New: func() any { return new(band) }}

// blockWidth is the columns of a row that are looked at together: those with
// no border near keep the weight that their span has.
const blockWidth = 32

// A band is what one goroutine needs to draw rows [top,bottom).
type band struct {
	w, top, bottom int
	raster         raster
	ones           []float32
	layer          []float32 // a layer's weights, before they join others
	squares        []float32 // squared distance in pixels, far where none is near
	near           []bool    // blocks of squares that are not all far
	covered        []float32 // a row's coverage
}

// far is more than any squared distance that matters.
const far = math.MaxFloat32

func (b *band) reset(w, top, bottom int) {
	b.w, b.top, b.bottom = w, top, bottom
	n := (bottom - top) * w
	if len(b.ones) < w {
		b.ones = make([]float32, w)
		for i := range b.ones {
			b.ones[i] = 1
		}
		b.covered = make([]float32, w)
	}
	if len(b.layer) < n {
		b.layer = make([]float32, n)
		b.squares = make([]float32, n)
		for i := range b.squares {
			b.squares[i] = far
		}
	}
	if blocks := (bottom - top) * b.blocks(); len(b.near) < blocks {
		b.near = make([]bool, blocks)
	}
}

// blocks is their number in a row.
func (b *band) blocks() int { return (b.w + blockWidth - 1) / blockWidth }

// fill makes all weights 1.
func (b *band) fill(out []float32) {
	for len(out) > 0 {
		out = out[copy(out, b.ones[:b.w]):]
	}
}

// draw fills out, the band's rows, with a shape's weights.
func (b *band) draw(out []float32, d *drawing) {
	if !d.reaches(b.top, b.bottom) {
		clear(out)
		return
	}
	switch {
	case d.raster != nil:
		b.drawRaster(out, d)
	case d.blend < 1:
		b.raster.reset(d.size, b.w, b.top, b.bottom-b.top)
		for _, p := range d.area.borders {
			b.raster.line(p)
		}
		for row := range b.bottom - b.top {
			b.raster.coverage(row, out[row*b.w:(row+1)*b.w], b.ones)
		}
	}
	if d.blend > 0 {
		b.feather(out, d)
	}
	if d.opacity != 1 {
		for i, v := range out[:(b.bottom-b.top)*b.w] {
			out[i] = v * d.opacity
		}
	}
}
