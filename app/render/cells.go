package render

import (
	"context"
	"image"
	"slices"

	"halocline/colour"
)

// The cells that say where a result is needed, in its own pixels. What leads to
// a matte is made in those alone that its masks touch. Smaller ones save little
// more, and a dragged vertex would leave them sooner; lower ones would have
// noise smoothing, which reads two more rows above and below, read many twice.
const (
	cellWidth  = 32
	cellHeight = 32
)

// cells are some of a plane's cells. nil stands for all.
type cells struct {
	size   image.Point // of the plane
	across int         // cells to a row
	in     []bool
}

func newCells(size image.Point) *cells {
	across, down := (size.X+cellWidth-1)/cellWidth, (size.Y+cellHeight-1)/cellHeight
	return &cells{size, across, make([]bool, across*down)}
}

// cellsIn returns the cells that a rectangle touches.
func cellsIn(size image.Point, r image.Rectangle) *cells {
	c := newCells(size)
	for y := r.Min.Y / cellHeight; y*cellHeight < r.Max.Y; y++ {
		for x := r.Min.X / cellWidth; x*cellWidth < r.Max.X; x++ {
			c.in[y*c.across+x] = true
		}
	}
	return c.orAll()
}

// orAll returns nil where c has all cells.
func (c *cells) orAll() *cells {
	if slices.Contains(c.in, false) {
		return c
	}
	return nil
}

func (c *cells) empty() bool { return c != nil && !slices.Contains(c.in, true) }

// touched returns the cells in which a mask is above 0.
func touched(ctx context.Context, m *colour.Plane, workers int) (*cells, error) {
	c := newCells(image.Pt(m.W, m.H))
	err := colour.EachStrip(ctx, workers, m.H, cellHeight, func(y0, y1 int) {
		in := c.in[y0/cellHeight*c.across:][:c.across]
		for y := y0; y < y1; y++ {
			row := m.Row(y)
			for i := range in {
				in[i] = in[i] || anyAbove0(row[i*cellWidth:min((i+1)*cellWidth, len(row))])
			}
		}
	})
	return c.orAll(), err
}

func anyAbove0(row []float32) bool {
	for _, v := range row {
		if v > 0 {
			return true
		}
	}
	return false
}

// contains reports whether all cells of d are in c.
func (c *cells) contains(d *cells) bool {
	if c == nil || d == nil {
		return c == nil
	}
	for i, in := range d.in {
		if in && !c.in[i] {
			return false
		}
	}
	return true
}

// and returns the cells that are in c or in d.
func (c *cells) and(d *cells) *cells {
	if c == nil || d == nil {
		return nil
	}
	out := newCells(c.size)
	for i := range out.in {
		out.in[i] = c.in[i] || d.in[i]
	}
	return out.orAll()
}

// but returns the cells that are in c and not in d, which does not have all.
func (c *cells) but(d *cells) *cells {
	out := newCells(d.size)
	for i := range out.in {
		out.in[i] = (c == nil || c.in[i]) && !d.in[i]
	}
	return out
}

// inDetail returns the cells of a picture of a size that the cells of its proxy cover.
func (c *cells) inDetail(factor int, size image.Point) *cells {
	if c == nil || factor == 1 {
		return c
	}
	out := newCells(size)
	for i := range out.in {
		x, y := i%out.across/factor, i/out.across/factor
		out.in[i] = c.in[y*c.across+x]
	}
	return out
}

// parts returns the cells as rectangles that do not overlap: of each row of
// cells, those that touch are one.
func (c *cells) parts() (all []image.Rectangle) {
	whole := image.Rectangle{Max: c.size}
	for i := 0; i < len(c.in); {
		end := i + 1
		if c.in[i] {
			row := i / c.across
			for end < (row+1)*c.across && c.in[end] {
				end++
			}
			r := image.Rect((i-row*c.across)*cellWidth, row*cellHeight, (end-row*c.across)*cellWidth, (row+1)*cellHeight)
			all = append(all, r.Intersect(whole))
		}
		i = end
	}
	return all
}

// A partial is a result of which some cells are made. Neither it nor its value
// is written again: others may be reading it.
type partial[T any] struct {
	value T
	made  *cells
}

// partStage is stage for a result that is needed in some cells. grow makes the
// missing ones; what it returns has those of old too, where there is one.
func partStage[T any](r *Renderer, s Stage, key string, need *cells, grow func(old *partial[T], missing *cells) (T, int, error)) (T, error) {
	key = cacheKey(s, key)
	var old *partial[T]
	made, missing := need, need
	if v, ok := r.cache.get(key); ok {
		old = v.(*partial[T])
		if old.made.contains(need) {
			return old.value, nil
		}
		made, missing = old.made.and(need), need.but(old.made)
	}
	v, bytes, err := grow(old, missing)
	if err != nil {
		var none T
		return none, err
	}
	r.count(s)
	r.cache.put(key, &partial[T]{v, made}, bytes)
	return v, nil
}

// planePart and imagePart are partStage for results of a size that are filled.
func planePart(r *Renderer, s Stage, key string, need *cells, size image.Point, fill func(dst *colour.Plane, missing *cells) error) (*colour.Plane, error) {
	return partStage(r, s, key, need, func(old *partial[*colour.Plane], missing *cells) (*colour.Plane, int, error) {
		dst := new(colour.Plane)
		if old != nil {
			dst.Pix = slices.Clone(old.value.Pix)
		}
		dst.Reshape(size.X, size.Y)
		return dst, 4 * len(dst.Pix), fill(dst, missing)
	})
}

func imagePart(r *Renderer, s Stage, key string, need *cells, size image.Point, fill func(dst *colour.Image, missing *cells) error) (*colour.Image, error) {
	return partStage(r, s, key, need, func(old *partial[*colour.Image], missing *cells) (*colour.Image, int, error) {
		dst := new(colour.Image)
		if old != nil {
			dst.R.Pix, dst.G.Pix, dst.B.Pix = slices.Clone(old.value.R.Pix), slices.Clone(old.value.G.Pix), slices.Clone(old.value.B.Pix)
		}
		dst.Reshape(size.X, size.Y)
		return dst, imageBytes(dst), fill(dst, missing)
	})
}
