package selection

import (
	"context"
	"image"
	"math"

	"halocline/colour"
)

// A domain is where a plane takes part in a treatment. Its box begins at
// multiples of RegionGrid, so that it may be treated like a plane of its own.
type domain struct {
	colour.Domain
	masked bool // whether there was a mask, even if the box is whole
}

// newDomain returns the domain of a mask, nil for all, in a plane like src.
func newDomain(mask, src *colour.Plane) domain {
	if mask == nil {
		return domain{Domain: colour.Domain{Box: src.Bounds()}}
	}
	if !mask.SameSize(*src) {
		panic("selection: masks of another size than the matte")
	}
	y0, y1 := 0, src.H
	for y0 < y1 && !anyLit(mask.Row(y0)) {
		y0++
	}
	for y1 > y0 && !anyLit(mask.Row(y1-1)) {
		y1--
	}
	if y0 == y1 {
		return domain{masked: true}
	}
	x0, x1 := columns(mask, y0, y1)
	d := domain{masked: true}
	d.Box = image.Rect(x0, y0, x1, y1)
	if d.Box != mask.Bounds() || !isFull(mask) {
		d.Mask = mask
	}
	d.Box.Min = image.Pt(x0/RegionGrid*RegionGrid, y0/RegionGrid*RegionGrid)
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

// isFull reports whether a mask is above 0 everywhere.
func isFull(mask *colour.Plane) bool {
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
		none |= bits | (bits - 1) | (colour.BitsOfInfinity - bits)
	}
	return none >= 0
}

// begin makes dst ready to receive a stage's result within the domain, and src
// outside its box.
func (d domain) begin(dst, src *colour.Plane) {
	mustDiffer(dst, src)
	dst.Reshape(src.W, src.H)
	for y := range src.H {
		to, from := dst.Row(y), src.Row(y)
		if y < d.Box.Min.Y || y >= d.Box.Max.Y {
			tidyRow(to, from)
			continue
		}
		tidyRow(to[:d.Box.Min.X], from[:d.Box.Min.X])
		tidyRow(to[d.Box.Max.X:], from[d.Box.Max.X:])
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
			dst[x] = colour.Clamped(src[x])
		}
	}
}

func mustDiffer(dst, src *colour.Plane) {
	if dst == src || dst.SharesWith(*src) {
		panic("selection: an edge treated into its own source")
	}
}

// tidyRow writes src, clamped to [0,1], to dst. Most rows are so already, and to
// see that takes a third of the time.
func tidyRow(dst, src []float32) {
	src = src[:len(dst)]
	if allAlpha(src) {
		copy(dst, src)
		return
	}
	for x := range dst {
		dst[x] = colour.Clamped(src[x])
	}
}

// allAlpha reports whether colour.Clamped would leave every bit of a row as it is.
func allAlpha(row []float32) bool {
	wrong := int32(0) // ends below 0 where a sample was negative, above 1 or not a number
	for ; len(row) >= 8; row = row[8:] {
		p := (*[8]float32)(row)
		for i := range p {
			bits := int32(math.Float32bits(p[i]))
			wrong |= bits | (colour.BitsOfOne - bits)
		}
	}
	for _, v := range row {
		bits := int32(math.Float32bits(v))
		wrong |= bits | (colour.BitsOfOne - bits)
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
