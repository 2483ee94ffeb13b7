package motion

import (
	"context"
	"math"

	"halocline/colour"
)

const (
	// smoothness weighs the price of a change of motion between neighbours against that
	// of a difference in light. Found by trial on warps with noise and a disc over a ground:
	// at 10 noise of 0.015 makes twice the error, at 100 nothing gains.
	smoothness = 50
	// relax is how far a step of the solver goes past its aim (paper: 1.6).
	relax = 1.6
	// rounds is how often the weights are taken anew, sweeps how often the solver goes over
	// the field for each.
	rounds, sweeps = 2, 4
	lightFloor     = 1.0 // codes: differences below are taken for noise
	bendFloor      = 0.1 // pixels: changes of motion below are no edge
	slopeFloor     = 4.0 // codes² a pixel²: gradients below say little of where to
)

// solver is the refinement's linear system. A pixel's motion is that of its neighbours by
// the links' weights, times a symmetric 2 x 2 matrix, and a constant. All have
// pixels of zeros before, between and after the rows, which nobody writes: rows that are
// swept at once then share none that one of them writes.
type solver struct {
	w, h, stride  int
	u, v          []float32
	right, down   []float32 // weights of the links; 0 at the borders
	m11, m12, m22 []float32
	c1, c2        []float32
}

func newSolver(w, h int) *solver {
	s := &solver{w: w, h: h, stride: w + 1}
	for _, p := range []*[]float32{&s.u, &s.v, &s.right, &s.down, &s.m11, &s.m12, &s.m22, &s.c1, &s.c2} {
		*p = make([]float32, s.index(h+1))
	}
	return s
}

// index is where row y begins.
func (s *solver) index(y int) int { return (y+1)*s.stride + 1 }

// refine makes f smooth where the picture says nothing else: the least of robust
// differences of light, less the change of light, and of robust changes of motion
// (section 2.4 of the paper), by red-black successive over-relaxation.
func refine(ctx context.Context, workers int, from, to *level, f *field) error {
	w, h := f.w, f.h
	s := newSolver(w, h)
	for y := range h {
		copy(s.u[s.index(y):][:w], f.u[y*w:])
		copy(s.v[s.index(y):][:w], f.v[y*w:])
	}
	for range rounds {
		if err := colour.EachBand(ctx, workers, h, s.link); err != nil {
			return err
		}
		err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
			for y := y0; y < y1; y++ {
				s.set(from, to, f, y)
			}
		})
		if err != nil {
			return err
		}
		for half := range 2 * sweeps {
			err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
				for y := y0; y < y1; y++ {
					s.sweep(y, (y+half)%2)
				}
			})
			if err != nil {
				return err
			}
		}
	}
	for y := range h {
		copy(f.u[y*w:][:w], s.u[s.index(y):])
		copy(f.v[y*w:][:w], s.v[s.index(y):])
	}
	return nil
}

// link works out the weights of the links from the rows' pixels to the right and down.
func (s *solver) link(y0, y1 int) {
	w := s.w
	for y := y0; y < y1; y++ {
		i := s.index(y)
		u, v := s.u[i:][:w+1], s.v[i:][:w+1]
		below, vBelow := s.u[i+s.stride:][:w], s.v[i+s.stride:][:w]
		right, down := s.right[i:][:w], s.down[i:][:w]
		for x := range right {
			du, dv := u[x+1]-u[x], v[x+1]-v[x]
			right[x] = linkWeight(du, dv)
			du, dv = below[x]-u[x], vBelow[x]-v[x]
			down[x] = linkWeight(du, dv)
		}
		right[w-1] = 0
		if y == s.h-1 {
			clear(down)
		}
	}
}

func linkWeight(du, dv float32) float32 {
	return smoothness * bendFloor / root(float32(du*du)+float32(dv*dv)+bendFloor*bendFloor)
}

func root(v float32) float32 { return float32(math.Sqrt(float64(v))) }

// set works out a row's matrices and constants from the differences of light where the
// motion leads now.
func (s *solver) set(from, to *level, f *field, y int) {
	w := s.w
	i := s.index(y)
	u, v := s.u[i:][:w], s.v[i:][:w]
	left, right, up, down := s.right[i-1:][:w], s.right[i:][:w], s.down[i-s.stride:][:w], s.down[i:][:w]
	m11, m12, m22, c1, c2 := s.m11[i:][:w], s.m12[i:][:w], s.m22[i:][:w], s.c1[i:][:w], s.c2[i:][:w]
	pix, gx, gy := from.row(from.pix, y), from.row(from.gx, y), from.row(from.gy, y)
	gain, lift := f.gain[y*w:][:w], f.lift[y*w:][:w]
	pix, gx, gy = pix[:w], gx[:w], gy[:w]
	for x := range u {
		links := (left[x] + right[x]) + (up[x] + down[x])
		ix, iy := gx[x], gy[x]
		d := to.at(float32(x)+u[x], float32(y)+v[x]) - pix[x] - float32(gain[x]*pix[x]) - lift[x]
		slope := float32(ix*ix) + float32(iy*iy) + slopeFloor
		weight := 1 / root(slope*(float32(d*d)+float32(lightFloor*slope)))
		aim := float32(ix*u[x]) + float32(iy*v[x]) - d
		a11, a12, a22 := float32(weight*ix)*ix+links, float32(weight*ix)*iy, float32(weight*iy)*iy+links
		b1, b2 := float32(weight*ix)*aim, float32(weight*iy)*aim
		over := 1 / (float32(a11*a22) - float32(a12*a12) + 1e-12)
		n11, n12, n22 := a22*over, -a12*over, a11*over
		m11[x], m12[x], m22[x] = n11, n12, n22
		c1[x] = float32(n11*b1) + float32(n12*b2)
		c2[x] = float32(n12*b1) + float32(n22*b2)
	}
}

// at reads the level at a place between pixels; outside it the border counts.
func (l *level) at(x, y float32) float32 {
	x, y = clamp(x, float32(l.w))+margin, clamp(y, float32(l.h))+margin
	x0, y0 := int(x), int(y)
	fx, fy := x-float32(x0), y-float32(y0)
	upper, lower := l.pix[y0*l.stride+x0:][:2], l.pix[(y0+1)*l.stride+x0:][:2]
	a := upper[0] + float32(fx*(upper[1]-upper[0]))
	b := lower[0] + float32(fx*(lower[1]-lower[0]))
	return a + float32(fy*(b-a))
}

// sweep takes every other pixel of a row, from x0 on, to where its neighbours and the
// picture want it.
func (s *solver) sweep(y, x0 int) {
	w := s.w
	i := s.index(y)
	u, v := s.u[i-1:][:w+2], s.v[i-1:][:w+2]
	uUp, vUp, uDown, vDown := s.u[i-s.stride:][:w], s.v[i-s.stride:][:w], s.u[i+s.stride:][:w], s.v[i+s.stride:][:w]
	right, up, down := s.right[i-1:][:w+1], s.down[i-s.stride:][:w], s.down[i:][:w]
	m11, m12, m22, c1, c2 := s.m11[i:][:w], s.m12[i:][:w], s.m22[i:][:w], s.c1[i:][:w], s.c2[i:][:w]
	for x := x0; x < w; x += 2 {
		l, r, a, b := right[x], right[x+1], up[x], down[x]
		su := (float32(l*u[x]) + float32(r*u[x+2])) + (float32(a*uUp[x]) + float32(b*uDown[x]))
		sv := (float32(l*v[x]) + float32(r*v[x+2])) + (float32(a*vUp[x]) + float32(b*vDown[x]))
		nu := float32(m11[x]*su) + float32(m12[x]*sv) + c1[x]
		nv := float32(m12[x]*su) + float32(m22[x]*sv) + c2[x]
		u[x+1] += float32(relax * (nu - u[x+1]))
		v[x+1] += float32(relax * (nv - v[x+1]))
	}
}
