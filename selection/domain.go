package selection

import (
	"context"
	"math"

	"halocline/colour"
)

// A domain is where a plane takes part in a treatment: a box, and within it
// the pixels where the mask is above 0. The box begins at multiples of
// RegionGrid, so that it may be treated like a plane of its own.
type domain struct {
	mask           *colour.Plane // nil: the whole box takes part
	masked         bool          // whether there was a mask, even if the box is whole
	x0, y0, x1, y1 int
}

// newDomain returns the domain of a mask, nil for all, in a plane like src.
func newDomain(mask, src *colour.Plane) domain {
	d := domain{x1: src.W, y1: src.H}
	if mask == nil {
		return d
	}
	if !mask.SameSize(*src) {
		panic("selection: masks of another size than the matte")
	}
	d.masked = true
	for d.y0 < d.y1 && !anyLit(mask.Row(d.y0)) {
		d.y0++
	}
	for d.y1 > d.y0 && !anyLit(mask.Row(d.y1-1)) {
		d.y1--
	}
	if d.y0 == d.y1 {
		return domain{masked: true}
	}
	d.x0, d.x1 = columns(mask, d.y0, d.y1)
	if !d.isFull(mask) {
		d.mask = mask
	}
	d.x0, d.y0 = d.x0/RegionGrid*RegionGrid, d.y0/RegionGrid*RegionGrid
	return d
}

// columns returns those of a mask's rows [y0,y1) that hold all of its samples
// above 0. Of each row it looks only beyond those of the rows before.
func columns(mask *colour.Plane, y0, y1 int) (x0, x1 int) {
	x0, x1 = mask.W, 0
	for y := y0; y < y1; y++ {
		row := mask.Row(y)
		if first, last := stretch(row[:x0]); first <= last {
			x0 = first
		}
		if first, last := stretch(row[x1:]); first <= last {
			x1 += last + 1
		}
	}
	return x0, x1
}

// isFull reports whether a mask is above 0 everywhere, d being its box.
func (d domain) isFull(mask *colour.Plane) bool {
	if d.x0 > 0 || d.y0 > 0 || d.x1 < mask.W || d.y1 < mask.H {
		return false
	}
	for y := range mask.H {
		if !allAbove0(mask.Row(y)) {
			return false
		}
	}
	return true
}

// anyLit reports whether any sample of a row is above 0.
func anyLit(row []float32) bool {
	first, last := stretch(row)
	return first <= last
}

// stretch returns the first and last sample above 0, last < first where there
// is none.
func stretch(row []float32) (first, last int) {
	first, last = 0, len(row)-1
	for first+blockSide <= last && !isLit(row[first:first+blockSide]) {
		first += blockSide
	}
	for last-blockSide >= first && !isLit(row[last-blockSide+1:last+1]) {
		last -= blockSide
	}
	for first <= last && !(row[first] > 0) {
		first++
	}
	for last >= first && !(row[last] > 0) {
		last--
	}
	return first, last
}

func allAbove0(row []float32) bool {
	none := int32(0) // ends below 0 where a sample was 0, negative or not a number
	for _, v := range row {
		bits := int32(math.Float32bits(v))
		none |= bits | (bits - 1) | (infinity - bits)
	}
	return none >= 0
}

func (d domain) empty() bool { return d.x0 >= d.x1 || d.y0 >= d.y1 }

// size returns width and height of the box.
func (d domain) size() (w, h int) { return d.x1 - d.x0, d.y1 - d.y0 }

// row returns what row y of the box has of p.
func (d domain) row(p *colour.Plane, y int) []float32 {
	at := (d.y0 + y) * p.W
	return p.Pix[at+d.x0 : at+d.x1 : at+d.x1]
}

// part returns row y of the mask, nil where the whole box takes part.
func (d domain) part(y int) []float32 {
	if d.mask == nil {
		return nil
	}
	return d.row(d.mask, y)
}

// begin makes dst ready to receive a stage's result within the domain, and src
// outside its box.
func (d domain) begin(dst, src *colour.Plane) {
	mustDiffer(dst, src)
	dst.Reshape(src.W, src.H)
	for y := range src.H {
		to, from := dst.Row(y), src.Row(y)
		if y < d.y0 || y >= d.y1 {
			tidyRow(to, from)
			continue
		}
		tidyRow(to[:d.x0], from[:d.x0])
		tidyRow(to[d.x1:], from[d.x1:])
	}
}

// keep writes src to a row of dst where part, if there is one, is not above 0.
func keep(dst, src, part []float32) {
	if part == nil {
		return
	}
	src, part = src[:len(dst)], part[:len(dst)]
	for x := range dst {
		if !(part[x] > 0) {
			dst[x] = alpha(src[x])
		}
	}
}

func mustDiffer(dst, src *colour.Plane) {
	if dst == src || len(dst.Pix) > 0 && len(src.Pix) > 0 && &dst.Pix[0] == &src.Pix[0] {
		panic("selection: an edge treated into its own source")
	}
}

// alpha returns v clamped to [0,1]; what is not a number is 0. It works on bits,
// because in the noise of a matte's edge no branch is foreseen.
func alpha(v float32) float32 {
	b := int32(math.Float32bits(v))
	b &^= (b | (infinity - b)) >> 31 // negative, or not a number
	return math.Float32frombits(uint32(min(b, one)))
}

// Bits of +Inf and of 1. What is not a number has larger ones than +Inf.
const (
	infinity = 0x7f800000
	one      = 0x3f800000
)

// tidyRow writes src, clamped to [0,1], to dst. Most rows are so already, and to
// see that takes a third of the time.
func tidyRow(dst, src []float32) {
	src = src[:len(dst)]
	if allAlpha(src) {
		copy(dst, src)
		return
	}
	for x := range dst {
		dst[x] = alpha(src[x])
	}
}

// allAlpha reports whether alpha would leave every bit of a row as it is.
func allAlpha(row []float32) bool {
	wrong := int32(0) // ends below 0 where a sample was negative, above 1 or not a number
	for ; len(row) >= 8; row = row[8:] {
		p := (*[8]float32)(row)
		for i := range p {
			bits := int32(math.Float32bits(p[i]))
			wrong |= bits | (one - bits)
		}
	}
	for _, v := range row {
		bits := int32(math.Float32bits(v))
		wrong |= bits | (one - bits)
	}
	return wrong >= 0
}

// tidy writes src, clamped to [0,1], to dst.
func tidy(ctx context.Context, dst, src *colour.Plane, workers int) error {
	mustDiffer(dst, src)
	dst.Reshape(src.W, src.H)
	return colour.EachBand(ctx, workers, src.H, func(y0, y1 int) {
		tidyRow(dst.Pix[y0*src.W:y1*src.W], src.Pix[y0*src.W:y1*src.W])
	})
}
