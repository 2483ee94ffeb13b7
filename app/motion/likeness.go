package motion

import (
	"math"
	"slices"
)

// Likeness is how alike the lumas of two pictures are once the second is carried to the first
// by the flow from the first to the second: their correlation, in [-1,1], over one node of the
// flow's grid of every step x step. It does not change with the light. Where either luma is
// the same all over it is 0. Pictures of another size than the flow's panic.
func (f *Flow) Likeness(from, to *Picture, step int) float64 {
	a, b := &from.levels[0], &to.levels[0]
	if a.w != f.gw || a.h != f.gh || b.w != f.gw || b.h != f.gh {
		panic("motion: pictures must have the size of the flow's frame")
	}
	over := 1 / float64(f.scale)
	var n, sa, sb, aa, bb, ab float64
	for y := 0; y < f.gh; y += step {
		for x := 0; x < f.gw; x += step {
			i := y*f.gw + x
			tx := min(max(int(math.Round(float64(x)+float64(f.u[i])*over)), 0), f.gw-1)
			ty := min(max(int(math.Round(float64(y)+float64(f.v[i])*over)), 0), f.gh-1)
			va, vb := float64(a.pix[a.index(x, y)]), float64(b.pix[b.index(tx, ty)])
			n, sa, sb = n+1, sa+va, sb+vb
			aa, bb, ab = aa+float64(va*va), bb+float64(vb*vb), ab+float64(va*vb)
		}
	}
	covered, spread := ab-float64(sa*sb)/n, float64(aa-float64(sa*sa)/n)*float64(bb-float64(sb*sb)/n)
	if !(spread > 1e-6*n*n) {
		return 0
	}
	return min(max(covered/math.Sqrt(spread), -1), 1)
}

// Same reports whether two pictures are the same, sample by sample.
func (p *Picture) Same(q *Picture) bool {
	a, b := &p.levels[0], &q.levels[0]
	return a.w == b.w && a.h == b.h && slices.Equal(a.pix, b.pix)
}
