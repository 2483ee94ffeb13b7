package seam

import (
	"context"
	"math"

	"halocline/colour"
)

// A band is what of the frame lies along an outline, in strips of rows whose
// height depends on the frame's width alone.
type band struct {
	w, h   int
	radius float64 // R in pixels
	reach  int     // pixels: how far the band goes to each side
	cell   int     // pixels: the side of a square of the grid of local colours
	rows   int     // of a strip
	every  int     // of the rows and columns, which one is looked at
	strips []strip
	grid   grid
}

// A strip holds the pixels of one strip of the band, row by row.
type strip struct {
	pixel           []int32 // its place in the plane
	piece           []int32 // the nearest piece of the outline
	bin             []int32 // of the distance: see bins
	lab             [3][]float32
	picture, weight []float32 // how much of the inner colour it has; see resolve
}

// Lengths. R grows with the frame: a lens's blur is well within it, and a limb of
// a swimmer in mid frame is some R wide.
const (
	radiiPerFrame = 80
	leastRadius   = 4      // px: below, bins of a pixel do not show an edge
	coloursFrom   = 1. / 3 // of R: from here to the end of the band there are local colours
	bandReach     = 1.5    // R
	coloursWindow = 4. / 3 // R, sigma
	mostRadius    = 24     // px: in a larger frame not every pixel of the band is looked at
)

func newBand(w, h int, frameWidth float64) *band {
	b := &band{w: w, h: h, radius: max(frameWidth/radiiPerFrame, leastRadius)}
	b.reach = int(math.Round(bandReach * b.radius))
	b.cell = max(1, int(b.radius/2))
	b.rows = b.cell * ((spanPx + b.cell - 1) / b.cell)
	b.every = max(1, int(b.radius/mostRadius))
	b.strips = make([]strip, (h+b.rows-1)/b.rows)
	b.grid = newGrid((w+b.cell-1)/b.cell, (h+b.cell-1)/b.cell)
	return b
}

// bins is the number of bins, a pixel wide, across the band: bin i holds distances
// from i-reach to i-reach+1, negative inside.
func (b *band) bins() int { return 2 * b.reach }

// collect finds the band's pixels, their colours, and the sums of these in the
// squares of the grid.
func (b *band) collect(ctx context.Context, o *outline, shown *colour.Image, workers int) error {
	s := o.spansOf(b.reach)
	n := o.nearestOf(s)
	var scratch colour.Pool[[3][]float32]
	return colour.EachStrip(ctx, workers, b.h, b.rows, func(y0, y1 int) {
		lab := scratch.Take()
		defer scratch.Give(lab)
		for c := range lab {
			lab[c] = colour.Resized(lab[c], b.w)
		}
		strip := &b.strips[y0/b.rows]
		strip.reserve(b.countIn(n, s, y0, y1))
		for y := b.first(y0); y < y1; y += b.every {
			for _, span := range s[y/spanPx] {
				b.collectSpan(strip, o, n, shown, lab, y, span)
			}
		}
	})
}

// first returns the first row or column from one on that is looked at.
func (b *band) first(from int) int { return (from + b.every - 1) / b.every * b.every }

// countIn returns how many pixels of the band lie in rows [y0,y1).
func (b *band) countIn(n *nearest, s spans, y0, y1 int) (count int) {
	within := float32(b.reach * b.reach)
	for y := b.first(y0); y < y1; y += b.every {
		for _, span := range s[y/spanPx] {
			for x := b.first(span[0]); x < span[1]; x += b.every {
				if i := y*b.w + x; n.of[i] != 0 && n.squares[i] < within {
					count++
				}
			}
		}
	}
	return count
}

func (s *strip) reserve(n int) {
	s.pixel, s.piece, s.bin = make([]int32, 0, n), make([]int32, 0, n), make([]int32, 0, n)
	for c := range s.lab {
		s.lab[c] = make([]float32, 0, n)
	}
}

func (b *band) collectSpan(strip *strip, o *outline, n *nearest, shown *colour.Image, lab *[3][]float32, y int, span [2]int) {
	x0, x1 := span[0], span[1]
	colour.LabRow(lab[0][x0:x1], lab[1][x0:x1], lab[2][x0:x1], shown.R.Row(y)[x0:x1], shown.G.Row(y)[x0:x1], shown.B.Row(y)[x0:x1])
	within, from := float32(b.reach*b.reach), float32(b.radius*b.radius*coloursFrom*coloursFrom)
	for x := b.first(x0); x < x1; x += b.every {
		i := y*b.w + x
		square := n.squares[i]
		if n.of[i] == 0 || square >= within {
			continue
		}
		d, side := math.Sqrt(float64(square)), 1
		if o.matte.Pix[i] >= colour.Half {
			d, side = -d, 0
		}
		strip.pixel = append(strip.pixel, int32(i))
		strip.piece = append(strip.piece, n.of[i]-1)
		strip.bin = append(strip.bin, int32(min(max(math.Floor(d)+float64(b.reach), 0), float64(b.bins()-1))))
		colours := [3]float32{lab[0][x], lab[1][x], lab[2][x]}
		for c, v := range colours {
			strip.lab[c] = append(strip.lab[c], v)
		}
		if square >= from {
			b.grid.add(side, x/b.cell, y/b.cell, colours)
		}
	}
}

// enough is the least weight of pixels in a local mean.
const enough = 1e-3

// mostContrast is the square of a difference of colours from which a place counts
// no more than others.
const mostContrast = 400

// resolve works out for each pixel of the band how far its colour is from the
// local outer one to the local inner one, and how much that counts:
//
//	u       = Ci - Co
//	picture = ((Lab - Co).u) / (|u|^2 + 1)
//	weight  = min(|u|^2, 400), 0 without local colours
//
// The 1, a just visible difference squared, keeps noise between like colours small.
func (b *band) resolve(ctx context.Context, workers int) error {
	b.grid.blur(coloursWindow * b.radius / float64(b.cell))
	var scratch colour.Pool[[]float32]
	return colour.EachStrip(ctx, workers, b.h, b.rows, func(y0, _ int) {
		strip := &b.strips[y0/b.rows]
		strip.picture, strip.weight = make([]float32, len(strip.pixel)), make([]float32, len(strip.pixel))
		row, last := scratch.Take(), -1
		defer scratch.Give(row)
		for i, pixel := range strip.pixel {
			y := int(pixel) / b.w
			if y != last {
				*row, last = b.grid.row(*row, b.inGrid(y)), y
			}
			lab := colour.Lab{L: float64(strip.lab[0][i]), A: float64(strip.lab[1][i]), B: float64(strip.lab[2][i])}
			strip.picture[i], strip.weight[i] = share(lab, b.grid.at(*row, b.inGrid(int(pixel)%b.w)))
		}
	})
}

// inGrid returns where a pixel's centre lies on an axis between the centres of
// the grid's squares.
func (b *band) inGrid(at int) float64 { return (float64(at)+0.5)/float64(b.cell) - 0.5 }

// share returns a pixel's picture and weight; local holds the sums of both sides.
func share(lab colour.Lab, local [2]sideSum) (picture, weight float32) {
	if !(local[0][3] > enough && local[1][3] > enough) {
		return 0, 0
	}
	own := [3]float32{float32(lab.L), float32(lab.A), float32(lab.B)}
	var dot, square float32
	for c, v := range own {
		outer := local[1][c] / local[1][3]
		u := local[0][c]/local[0][3] - outer
		dot += float32((v - outer) * u)
		square += float32(u * u)
	}
	return dot / (square + 1), min(square, mostContrast)
}
