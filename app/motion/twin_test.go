package motion

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// slowRead is the definition of reading between pixels.
func slowRead(l *level, x, y float64) float64 {
	x0, y0 := math.Floor(x), math.Floor(y)
	fx, fy := x-x0, y-y0
	v := func(i, j int) float64 { return float64(l.pix[l.index(int(x0)+i, int(y0)+j)]) }
	return (v(0, 0)*(1-fx)+v(1, 0)*fx)*(1-fy) + (v(0, 1)*(1-fx)+v(1, 1)*fx)*fy
}

func twoLevels(t *testing.T) (from, to *level) {
	a, b := pair(shift(1.3, -0.4), 40, 30)
	return &picture(t, a).levels[0], &picture(t, b).levels[0]
}

func TestCompareIsTheDefinition(t *testing.T) {
	from, to := twoLevels(t)
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		px, py := r.IntN(33), r.IntN(23)
		x, y := to.within(float32(px)+6*r.Float32()-3, float32(py)+6*r.Float32()-3)
		var p patch
		p.take(from, px, py)
		var d [patchArea]float32
		gotX, gotY := p.compare(to, x, y, &d)
		var sumX, sumY float64
		for i := range patchArea {
			want := slowRead(to, float64(x)+float64(i%8), float64(y)+float64(i/8)) - float64(from.pix[from.index(px+i%8, py+i/8)])
			require.InDelta(t, want, d[i], 0.01)
			sumX += want * float64(p.gx[i])
			sumY += want * float64(p.gy[i])
		}
		require.InDelta(t, sumX, gotX, 2)
		require.InDelta(t, sumY, gotY, 2)
		require.InDelta(t, slowRead(to, float64(x), float64(y)), to.at(x, y), 0.01)
	}
}

// What light alone changes moves no patch: gradients are at right angles to a lift and
// nearly to a gain.
func TestLightMovesNoPatch(t *testing.T) {
	from, _ := twoLevels(t)
	var p patch
	p.take(from, 9, 5)
	var lift, gain, size float64
	for i, g := range p.gx {
		lift += float64(g)
		gain += float64(g) * float64(p.pix[i]-p.mean)
		size += math.Abs(float64(g) * float64(p.pix[i]-p.mean))
	}
	assert.InDelta(t, 0, lift, 0.01)
	assert.Less(t, math.Abs(gain), 0.01*size)
}

func TestWeightsAreTheDefinition(t *testing.T) {
	from, to := twoLevels(t)
	var p patch
	p.take(from, 9, 5)
	var d [patchArea]float32
	p.compare(to, 12, 6, &d)
	before := d
	light := p.weigh(&d)
	for i, v := range before {
		left := float64(v) - float64(light.gain)*float64(p.pix[i]) - float64(light.lift)
		require.InDelta(t, 1/max(1, math.Abs(left)), d[i], 1e-4)
	}
}

// A pixel's motion is the mean of the patches over it by their weights, asked for one by one.
func TestSpreadIsTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const w, h = 29, 37
	xs, ys := starts(w), starts(h)
	all := make([]found, len(xs)*len(ys))
	for i := range all {
		all[i].u, all[i].v = r.Float32(), r.Float32()
		for k := range all[i].weights {
			all[i].weights[k] = 0.01 + r.Float32()
		}
	}
	f, err := spread(context.Background(), 2, w, h, xs, ys, all)
	require.NoError(t, err)
	for y := range h {
		for x := range w {
			var u, v, sum float64
			for i, one := range all {
				px, py := x-xs[i%len(xs)], y-ys[i/len(xs)]
				if px >= 0 && px < 8 && py >= 0 && py < 8 {
					g := float64(one.weights[py*8+px])
					u, v, sum = u+g*float64(one.u), v+g*float64(one.v), sum+g
				}
			}
			require.InDelta(t, u/sum, f.u[y*w+x], 1e-5)
			require.InDelta(t, v/sum, f.v[y*w+x], 1e-5)
		}
	}
}

// TestSetIsTheDefinition puts what set works out into the equations it is to solve: the
// picture's pull and the links' balance, for one neighbourhood's motion.
func TestSetIsTheDefinition(t *testing.T) {
	from, to := twoLevels(t)
	w, h := from.w, from.h
	s := newSolver(w, h)
	r := rand.New(rand.NewPCG(7, 8))
	f := newField(w, h)
	for i := range f.u {
		at := s.index(i/w) + i%w
		s.u[at], s.v[at] = r.Float32(), -r.Float32()
		f.gain[i], f.lift[i] = 0.1*r.Float32(), r.Float32()
	}
	s.link(0, h)
	const y = 13
	s.set(from, to, f, y)
	for x := range w {
		i, k := s.index(y)+x, y*w+x
		u, v := float64(s.u[i]), float64(s.v[i])
		ix, iy := float64(from.row(from.gx, y)[x]), float64(from.row(from.gy, y)[x])
		pix := float64(from.row(from.pix, y)[x])
		d := slowRead(to, float64(x)+u, float64(y)+v) - pix - float64(f.gain[k])*pix - float64(f.lift[k])
		slope := ix*ix + iy*iy + slopeFloor
		weight := 1 / (slope * math.Sqrt(d*d/slope+lightFloor))
		links := float64(s.right[i-1] + s.right[i] + s.down[i-s.stride] + s.down[i])
		su, sv := 0.7, -0.3 // sums of the neighbours' motions by the links' weights
		newU := float64(s.m11[i])*su + float64(s.m12[i])*sv + float64(s.c1[i])
		newV := float64(s.m12[i])*su + float64(s.m22[i])*sv + float64(s.c2[i])
		pull := weight * (d + ix*(newU-u) + iy*(newV-v))
		require.InDelta(t, su, links*newU+ix*pull, 0.002, "x %d", x)
		require.InDelta(t, sv, links*newV+iy*pull, 0.002, "x %d", x)
	}
}

// TestSweepIsTheDefinition compares a sweep with the system solved pixel by pixel, its four
// links asked for one by one.
func TestSweepIsTheDefinition(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const w, h = 7, 5
	s := newSolver(w, h)
	at := func(x, y int) int { return s.index(y) + x }
	for y := range h {
		for x := range w {
			i := at(x, y)
			s.u[i], s.v[i], s.c1[i], s.c2[i] = r.Float32(), r.Float32(), r.Float32(), r.Float32()
			s.m11[i], s.m12[i], s.m22[i] = r.Float32(), r.Float32(), r.Float32()
		}
	}
	s.link(0, h)
	link := func(x, y, x1, y1 int) float64 {
		if x1 < 0 || y1 < 0 || x1 >= w || y1 >= h {
			return 0
		}
		du, dv := float64(s.u[at(x1, y1)]-s.u[at(x, y)]), float64(s.v[at(x1, y1)]-s.v[at(x, y)])
		return smoothness * bendFloor / math.Sqrt(du*du+dv*dv+bendFloor*bendFloor)
	}
	const y = 2
	want := map[int][2]float64{}
	for x := 1; x < w; x += 2 {
		i := at(x, y)
		var su, sv float64
		for _, n := range [][2]int{{x - 1, y}, {x + 1, y}, {x, y - 1}, {x, y + 1}} {
			if g := link(x, y, n[0], n[1]); g > 0 {
				su += g * float64(s.u[at(n[0], n[1])])
				sv += g * float64(s.v[at(n[0], n[1])])
			}
		}
		u := float64(s.m11[i])*su + float64(s.m12[i])*sv + float64(s.c1[i])
		v := float64(s.m12[i])*su + float64(s.m22[i])*sv + float64(s.c2[i])
		want[x] = [2]float64{float64(s.u[i]) + relax*(u-float64(s.u[i])), float64(s.v[i]) + relax*(v-float64(s.v[i]))}
	}
	for x := range w {
		assert.Zero(t, s.down[at(x, h-1)], "no link leads out of the last row")
	}
	s.sweep(y, 1)
	for x, v := range want {
		assert.InDelta(t, v[0], s.u[at(x, y)], 0.001)
		assert.InDelta(t, v[1], s.v[at(x, y)], 0.001)
	}
}
