package carry

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
)

// framesLooked is how many frames of a clip are looked at, spread over it: as many as its noise
// is measured on.
const framesLooked = 5

// lookedWidth is how wide frames are looked at, in pixels, or a little more: colours do not change
// by the size, and a 4K frame takes as long as a small one.
const lookedWidth = 960

// A palette is the colours of some frames of a clip after base, their noise smoothed: how a pick
// sees them.
type palette struct {
	mean  colour.Lab   // of all pixels
	light [3]float64   // their mean linear R, G and B
	cells []colour.Lab // the mean of each occupied cube of CIELAB of side 1, by lightness
}

// paletteOf looks at a clip after a study's base. Frames but the first may be unreadable: left says why.
func paletteOf(ctx context.Context, footage *clip.Clip, r *render.Renderer, s *study.Study) (p palette, left []error, err error) {
	sums := map[[3]int16]*sum{}
	for i, n := range work.Spread(footage.Frames(), framesLooked) {
		picture, err := lookAt(ctx, r, s, n)
		switch {
		case err == nil:
			addColours(sums, picture)
		case ctx.Err() != nil || i == 0:
			return p, nil, err
		default:
			left = append(left, err)
		}
	}
	return newPalette(sums), left, nil
}

// newPalette returns the palette of cubes that are occupied.
func newPalette(sums map[[3]int16]*sum) (p palette) {
	cubes := slices.SortedFunc(maps.Values(sums), func(a, b *sum) int {
		x, y := a.mean(), b.mean()
		return cmp.Or(cmp.Compare(x.L, y.L), cmp.Compare(x.A, y.A), cmp.Compare(x.B, y.B))
	})
	var all sum
	for _, s := range cubes {
		all.add(*s)
		p.cells = append(p.cells, s.mean())
	}
	p.mean = all.mean()
	for _, s := range cubes {
		for c, v := range lightOf(s.mean().RGB()) {
			p.light[c] += v * s.n / all.n
		}
	}
	return p
}

// lightOf returns a colour's linear R, G and B.
func lightOf(c colour.RGB) [3]float64 {
	return [3]float64{colour.SRGB.Light(c.R), colour.SRGB.Light(c.G), colour.SRGB.Light(c.B)}
}

// lookAt returns a frame after base, small.
func lookAt(ctx context.Context, r *render.Renderer, s *study.Study, frame int) (*colour.Image, error) {
	size, err := r.Size(ctx, s, frame)
	if err != nil {
		return nil, err
	}
	m, err := r.Picked(ctx, render.Request{Study: s, Frame: frame, Factor: max(1, size.X/lookedWidth)})
	if err != nil {
		return nil, fmt.Errorf("carry: frame %d: %w", frame, err)
	}
	return m, nil
}

// A sum adds colours up.
type sum struct{ l, a, b, n float64 }

func (s *sum) add(t sum) {
	s.l += t.l
	s.a += t.a
	s.b += t.b
	s.n += t.n
}

func (s *sum) mean() colour.Lab { return colour.Lab{L: s.l / s.n, A: s.a / s.n, B: s.b / s.n} }

// addColours adds a picture's pixels to the cubes they lie in.
func addColours(sums map[[3]int16]*sum, m *colour.Image) {
	w, h := m.Size()
	for y := range h {
		for x := range w {
			c := m.RGB(x, y).Lab()
			key := [3]int16{int16(math.Floor(c.L)), int16(math.Floor(c.A)), int16(math.Floor(c.B))}
			s := sums[key]
			if s == nil {
				s = new(sum)
				sums[key] = s
			}
			s.add(sum{c.L, c.A, c.B, 1})
		}
	}
}

// nearest returns the colour of the palette that differs least from c.
func (p palette) nearest(c colour.Lab) colour.Difference {
	best := colour.Difference{Total: math.Inf(1)}
	for _, cell := range p.cells {
		if d := c.Difference(cell); d.Total < best.Total {
			best = d
		}
	}
	return best
}

// widestLightness is the largest weight by which CIEDE2000 divides a difference of lightness: S_L at
// a mean L* of 0 or 100 is 1 + 0.015 * 2500 / sqrt(2520) = 1.747.
const widestLightness = 1.75

// has reports whether the palette has a colour within a difference of c.
func (p palette) has(c colour.Lab, within float64) bool {
	from, _ := slices.BinarySearchFunc(p.cells, c.L-widestLightness*within, func(a colour.Lab, l float64) int { return cmp.Compare(a.L, l) })
	for _, cell := range p.cells[from:] {
		if cell.L > c.L+widestLightness*within {
			return false
		}
		if c.DeltaE(cell) <= within {
			return true
		}
	}
	return false
}
