package seam

import (
	"context"
	"fmt"

	"halocline/app/check"
	"halocline/colour"
)

// A Piece is a straight piece of the outline, in pixels of the Seam's planes,
// with the figures of the seam about it.
type Piece struct {
	X0, Y0, X1, Y1 float32
	// Apart is how far outside of the outline the picture's own edge lies, in
	// pixels; negative inside.
	Apart float64
	Figures
}

// Along returns where along the outline a seam shows, for a band of varying
// width: the outline's pieces of a pixel or so by rows, each with figures of the
// curves about it. They are taken over squares of side R and the eight beside
// each, in weights of 1, 2 and 1, and blended between squares.
//
// So little of the edge does not show a fade, for all that is to be seen on both
// sides of it, but where it lies. So a(s) about a square is one curve for all
// squares, moved by the square's Apart, which is the d of least
//
//	0.1 ln(v + 0.001) + (d/R)^2,  |d| <= R
//
// with v the mean square that is left between the square's own curve and
// p a(s-d) + q for the best q and the best p in [0.6,1.6]: maximum likelihood under
// noise of unknown size, with a normal prior about 0. The curve is at first the whole
// outline's, then the mean of the squares' own, moved back, which is without what the
// outline wanders. Pieces without local colours are left out.
//
// On the sample this errs about half as much as the squares' own curves. It shows
// where a matte is off; where a pick misses a whole region it knows less.
func (s *Seam) Along(ctx context.Context, matte colour.Plane, change float64) ([]Piece, error) {
	if err := s.fits(matte); err != nil {
		return nil, err
	}
	c := s.newLocals(matte)
	means := make([]*curveSums, len(c.sums))
	for i, own := range c.sums {
		if own != nil {
			means[i] = c.about(i).means()
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, fmt.Errorf("seam: %w", err)
	}
	d, which := s.slide(c, means)
	figures := make([]Piece, len(c.sums))
	for i, m := range means {
		if m != nil {
			figures[i] = Piece{Apart: d.apart[which[i]], Figures: s.figures(m.matte, d.curves[which[i]], m.weight, change)}
		}
	}
	var out []Piece
	for _, p := range s.pieces {
		if f, ok := c.blend(figures, p); ok {
			f.X0, f.Y0, f.X1, f.Y1 = p.X0, p.Y0, p.X1, p.Y1
			out = append(out, f)
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
			sum.picture[bin] += float64(w) * s.between(float64(strip.picture[j]))
			sum.matte[bin] += float64(w) * float64(check.Alpha(matte.Pix[strip.pixel[j]]))
		}
	}
	return c
}

// of returns the square of a piece, by its beginning.
func (c *locals) of(p colour.Segment) int {
	return min(int(p.Y0)/c.px, c.h-1)*c.w + min(int(p.X0)/c.px, c.w-1)
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

// means divides the sums by the weights.
func (s *curveSums) means() *curveSums {
	for i, w := range s.weight {
		if w > 0 {
			s.picture[i] /= w
			s.matte[i] /= w
		}
	}
	return s
}

// blend returns a piece's figures between those of the squares about it.
func (c *locals) blend(figures []Piece, p colour.Segment) (f Piece, ok bool) {
	x0, u := between(float64(p.X0+p.X1)/2/float64(c.px)-0.5, c.w)
	y0, v := between(float64(p.Y0+p.Y1)/2/float64(c.px)-0.5, c.h)
	total := 0.0
	for i, k := range [4]float32{(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v} {
		x, y := min(x0+i%2, c.w-1), min(y0+i/2, c.h-1)
		if at := y*c.w + x; k > 0 && c.sums[at] != nil {
			f = f.plus(figures[at], float64(k))
			total += float64(k)
		}
	}
	if total == 0 {
		return Piece{}, false
	}
	return Piece{}.plus(f, 1/total), true
}

// plus adds k times the figures of g.
func (f Piece) plus(g Piece, k float64) Piece {
	f.Apart += k * g.Apart
	f.Figures = Figures{f.Rim + k*g.Rim, f.Bleed + k*g.Bleed, f.Misfit + k*g.Misfit, f.EdgeMismatch + k*g.EdgeMismatch}
	return f
}
