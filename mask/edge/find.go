package edge

import (
	"context"
	"fmt"
	"image"
	"math"

	"halocline/colour"
	"halocline/mask"
)

// Lengths, in pixels of a picture of at most refLines lines.
const (
	refLines = 1080
	margin   = 44 // about the outline's box
)

// maxUnit is the most pixels that one length may have before the edge is found at half the
// size first.
const maxUnit = 1.5

// Unit returns how many pixels of a picture of so many lines a length of one pixel has.
func Unit(lines int) float64 { return max(1, float64(lines)/refLines) }

// A Found is the edge that was found for an outline.
type Found struct {
	// Weights are how much of each pixel lies inside, in [0,1].
	Weights mask.Raster
	// Contours are the contour of the weights at one half, in pixels of the source: closed
	// lines, those about what is inside and those about holes in it, the largest first.
	Contours [][]mask.Point
	// Outline is Contours as one closed polygon of non-zero winding: they are tied together by
	// lines there and back.
	Outline []mask.Point
	// Crossings are where the subject may cross the drawn line, so that this cuts it; the
	// longest first. A tight outline has none: it is searched on both sides.
	Crossings []Crossing
	// Lost is true where nothing within the outline, or no more than specks, or all of it is
	// inside: no edge is to be seen. The drawn outline is to be used then.
	Lost bool
}

// Bytes returns how much memory it takes.
func (f *Found) Bytes() int {
	points := len(f.Outline)
	for _, c := range f.Contours {
		points += len(c)
	}
	return 4*len(f.Weights.Pix) + 16*points + 24*len(f.Crossings)
}

// Crop returns the part of a picture of a size, in pixels of the source, that Find reads for
// an outline; empty where the outline lies off the picture.
func Crop(s mask.Shape, size image.Point) image.Rectangle {
	return area(s, size).Intersect(image.Rectangle{Max: size})
}

// area is the outline's box with a margin, as far as it lies near the picture.
func area(s mask.Shape, size image.Point) image.Rectangle {
	return Around(s, size, margin*Unit(size.Y))
}

// Around returns the box of an outline with so many pixels about it, as far as it lies within
// twice as many of a picture of a size.
func Around(s mask.Shape, size image.Point, by float64) image.Rectangle {
	s.Outer = 0
	low, high := s.Bounds()
	near := int(math.Ceil(2 * by))
	box := image.Rect(whole(low.X-by), whole(low.Y-by), whole(high.X+by)+1, whole(high.Y+by)+1)
	return box.Intersect(image.Rect(-near, -near, size.X+near, size.Y+near))
}

func whole(v float64) int { return int(math.Floor(min(max(v, -1<<30), 1<<30))) }

// Find finds the edge within an outline, whose feather and opacity do not count. picture is
// the part that Crop names of a picture of a size: smoothed, after base. It fails where the
// shape cannot be drawn or ctx ends. Up to workers goroutines work on it, 0 meaning one for each
// processor.
func Find(ctx context.Context, s mask.Shape, how mask.Search, picture *colour.Image, size image.Point, workers int) (*Found, error) {
	crop := Crop(s, size)
	if crop.Empty() {
		return &Found{Lost: true}, nil
	}
	if w, h := picture.Size(); crop.Dx() != w || crop.Dy() != h {
		panic(fmt.Sprintf("edge: found a picture of %d x %d pixels, want %v", w, h, crop.Size()))
	}
	f := &finder{shape: s, how: how, size: size, area: area(s, size), crop: crop, workers: workers}
	f.shape.Inner, f.shape.Outer, f.shape.Opacity = 0, 0, 1
	return f.find(ctx, picture)
}

// A finder is one search.
type finder struct {
	shape      mask.Shape
	how        mask.Search
	size       image.Point
	area, crop image.Rectangle
	workers    int
}

// grounds reads the picture at the size at which the edge is found first, and at full size.
func (f *finder) grounds(picture *colour.Image) (first, fine *ground) {
	unit, factor := Unit(f.size.Y), 1
	for unit/float64(factor) > maxUnit {
		factor *= 2
	}
	fine = newGround(f.area, f.crop, picture, f.workers)
	fine.unit = unit
	if factor == 1 {
		return fine, fine
	}
	first = fine.shrunk(factor)
	first.unit = unit / float64(factor)
	return first, fine
}

func (f *finder) find(ctx context.Context, picture *colour.Image) (*Found, error) {
	g, fine := f.grounds(picture)
	if err := g.outline(ctx, f.shape, f.how); err != nil {
		return nil, err
	}
	if err := g.first(ctx); err != nil {
		return nil, err
	}
	if g.lost() {
		return &Found{Lost: true}, nil
	}
	if err := g.second(ctx); err != nil {
		return nil, err
	}
	if fine != g {
		if err := fine.fill(ctx, f.shape); err != nil {
			return nil, err
		}
		if err := fine.refine(ctx, g, f.how.Tight); err != nil {
			return nil, err
		}
	}
	if fine.lost() {
		return &Found{Lost: true}, nil
	}
	out, err := fine.soft(ctx, f.crop, picture, f.workers)
	if err != nil || f.how.Tight {
		return out, err
	}
	out.Crossings = fine.crossings(out.Contours, g.inside, g.outside)
	return out, nil
}
