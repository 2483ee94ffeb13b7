package check

import (
	"context"
	"fmt"
	"slices"

	"halocline/colour"
)

// A SeamPiece is a straight piece of the outline, in pixels of the Seam's planes,
// with the figures of the seam about it.
type SeamPiece struct {
	X0, Y0, X1, Y1 float32
	SeamFigures
}

// Along returns where along the outline a seam shows, for a band of varying
// width: the outline's pieces of a pixel or so by rows, each with the figures of
// the curves about it. They are taken over squares of side R and the eight beside
// each, in weights of 1, 2 and 1, and blended between squares; ends and grade are
// those of the whole outline. So little of the edge leaves some noise in a(s):
// also where a matte fits, misfit is not quite 0. Pieces without local colours are
// left out.
func (s *Seam) Along(ctx context.Context, matte colour.Plane, change float64) ([]SeamPiece, error) {
	if matte.W != s.band.w || matte.H != s.band.h {
		return nil, fmt.Errorf("check: the matte is %d x %d, its seam's picture %d x %d", matte.W, matte.H, s.band.w, s.band.h)
	}
	c := s.newLocals(matte)
	figures := make([]SeamFigures, len(c.sums))
	for i, own := range c.sums {
		if own == nil {
			continue
		}
		if err := ctx.Err(); err != nil {
			return nil, fmt.Errorf("check: %w", err)
		}
		figures[i] = s.local(c.about(i), change)
	}
	var out []SeamPiece
	for _, p := range s.pieces {
		if f, ok := c.blend(figures, p); ok {
			out = append(out, SeamPiece{p.x0, p.y0, p.x1, p.y1, f})
		}
	}
	return out, nil
}

// curveSums are what two curves are made of: for each bin the weights, and by
// these the picture and the matte.
type curveSums struct{ weight, picture, matte []float64 }

func newCurveSums(bins int) *curveSums {
	all := make([]float64, 3*bins)
	return &curveSums{all[:bins], all[bins : 2*bins], all[2*bins:]}
}

// locals are curveSums of the pieces of the outline in each square of side px,
// nil where there are none.
type locals struct {
	w, h, px int
	sums     []*curveSums
}

func (s *Seam) newLocals(matte colour.Plane) *locals {
	px, bins := max(1, int(s.band.radius)), s.band.bins()
	c := &locals{w: (s.band.w + px - 1) / px, h: (s.band.h + px - 1) / px, px: px}
	c.sums = make([]*curveSums, c.w*c.h)
	for i := range s.band.strips {
		strip := &s.band.strips[i]
		for j, w := range strip.weight {
			if w == 0 {
				continue
			}
			at := c.of(s.pieces[strip.piece[j]])
			if c.sums[at] == nil {
				c.sums[at] = newCurveSums(bins)
			}
			sum, bin := c.sums[at], strip.bin[j]
			sum.weight[bin] += float64(w)
			sum.picture[bin] += float64(w) * float64(strip.picture[j])
			sum.matte[bin] += float64(w) * float64(alphaOf(matte.Pix[strip.pixel[j]]))
		}
	}
	return c
}

// of returns the square of a piece, by its beginning.
func (c *locals) of(p segment) int {
	return min(int(p.y0)/c.px, c.h-1)*c.w + min(int(p.x0)/c.px, c.w-1)
}

// about adds up a square and those beside it.
func (c *locals) about(at int) *curveSums {
	sum := newCurveSums(len(c.sums[at].weight))
	x, y := at%c.w, at/c.w
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			if x+dx < 0 || x+dx >= c.w || y+dy < 0 || y+dy >= c.h {
				continue
			}
			if from := c.sums[at+dy*c.w+dx]; from != nil {
				sum.add(from, float64((2-dx*dx)*(2-dy*dy)))
			}
		}
	}
	return sum
}

func (s *curveSums) add(from *curveSums, k float64) {
	for i := range s.weight {
		s.weight[i] += k * from.weight[i]
		s.picture[i] += k * from.picture[i]
		s.matte[i] += k * from.matte[i]
	}
}

// local returns the figures of some of the outline.
func (s *Seam) local(sum *curveSums, change float64) SeamFigures {
	for i, w := range sum.weight {
		if w > 0 {
			sum.picture[i] = s.scaled(sum.picture[i] / w)
			sum.matte[i] /= w
		}
	}
	return s.figures(sum.matte, sum.picture, sum.weight, change)
}

// blend returns a piece's figures between those of the squares about it.
func (c *locals) blend(figures []SeamFigures, p segment) (f SeamFigures, ok bool) {
	x0, u := between(float64(p.x0+p.x1)/2/float64(c.px)-0.5, c.w)
	y0, v := between(float64(p.y0+p.y1)/2/float64(c.px)-0.5, c.h)
	total := 0.0
	for i, k := range [4]float32{(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v} {
		x, y := min(x0+i%2, c.w-1), min(y0+i/2, c.h-1)
		if at := y*c.w + x; k > 0 && c.sums[at] != nil {
			f = f.plus(figures[at], float64(k))
			total += float64(k)
		}
	}
	if total == 0 {
		return SeamFigures{}, false
	}
	return SeamFigures{}.plus(f, 1/total), true
}

func (f SeamFigures) plus(g SeamFigures, k float64) SeamFigures {
	return SeamFigures{f.Step + k*g.Step, f.Overrun + k*g.Overrun, f.Misfit + k*g.Misfit, f.Off + k*g.Off}
}

// Widest returns the misfit that a share of the outline stays below, by length:
// 0.95 says how wide the band is where it is widest but for what hardly counts.
func Widest(pieces []SeamPiece, share float64) float64 {
	sorted := slices.Clone(pieces)
	slices.SortFunc(sorted, func(a, b SeamPiece) int {
		switch {
		case a.Misfit < b.Misfit:
			return -1
		case a.Misfit > b.Misfit:
			return 1
		}
		return 0
	})
	if len(sorted) == 0 {
		return 0
	}
	return sorted[min(int(share*float64(len(sorted))), len(sorted)-1)].Misfit
}
