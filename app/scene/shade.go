package scene

import "math"

// A groundShade is a map of the shadow that lies on the sand: of the sun, and
// of the sky where something stands or floats close above.
type groundShade struct {
	sun, sky [shadeRows * shadeCols]float32
}

const (
	shadeCell        = 0.02 // m
	shadeCols        = 340
	shadeRows        = 260
	shadeX0, shadeZ0 = -3.4, 1.0 // the map's corner
)

func (g *groundShade) at(x, z float64) (sun, sky float64) {
	u, v := (x-shadeX0)/shadeCell, (z-shadeZ0)/shadeCell
	if !(u >= 0 && v >= 0 && u < shadeCols-1 && v < shadeRows-1) {
		return 0, 0
	}
	i, j := int(u), int(v)
	u, v = u-float64(i), v-float64(j)
	k := j*shadeCols + i
	join := func(m *[shadeRows * shadeCols]float32) float64 {
		top := lerp(float64(m[k]), float64(m[k+1]), u)
		bottom := lerp(float64(m[k+shadeCols]), float64(m[k+shadeCols+1]), u)
		return lerp(top, bottom, v)
	}
	return join(&g.sun), join(&g.sky)
}

// newShade maps the shadows of the figure and of the leaves.
func (s *scene) newShade(f *figure) *groundShade {
	g := &groundShade{}
	for i := range f.shapes {
		h := &f.shapes[i]
		r := max(h.r1, h.r2)
		if h.kind != taper {
			r = 0.6 * h.bound
		}
		g.cast(s.sun, h.a, h.b, r)
	}
	for i := range s.meadow {
		if b := &s.meadow[i]; b.root.Z < 5 {
			g.darken(b.root, 0.05+0.25*b.length, 0.045)
		}
	}
	return g
}

// cast adds the shadow of a rod of radius r from a to b. The higher it floats
// the softer its shadow.
func (g *groundShade) cast(sun, a, b vec, r float64) {
	drop := func(p vec) vec { return vec{p.X - sun.X/sun.Y*p.Y, 0, p.Z - sun.Z/sun.Y*p.Y} }
	high := (a.Y + b.Y) / 2
	soft := 0.012 + 0.16*max(0, high-r)
	wide := r + 0.9*high
	da, db := drop(a), drop(b)
	a.Y, b.Y = 0, 0
	g.each(da.mix(a, 0.5), db.mix(b, 0.5), wide+soft+0.3*high, func(i int, p vec) {
		shadow := 0.92 * smoothstep(r+soft, r-soft, toRod(p, da, db)) * min(1, r/(0.4*soft))
		g.sun[i] = max(g.sun[i], float32(shadow))
		d := toRod(p, a, b) / wide
		dark := 0.62 * r / (r + 0.8*high) * max(0, 1-d*d)
		g.sky[i] += (1 - g.sky[i]) * float32(min(0.6, dark))
	})
}

// darken takes sky and some sun from a round spot.
func (g *groundShade) darken(at vec, radius, strength float64) {
	at.Y = 0
	g.each(at, at, radius, func(i int, p vec) {
		d := p.sub(at).length() / radius
		k := float32(strength * max(0, 1-d*d))
		g.sky[i] += (1 - g.sky[i]) * k
		g.sun[i] += (1 - g.sun[i]) * k
	})
}

// each visits the cells within a distance of the rod from a to b.
func (g *groundShade) each(a, b vec, within float64, visit func(i int, p vec)) {
	cell := func(v, from float64, n int) int { return int(max(0, min(float64(n), (v-from)/shadeCell))) }
	x0, x1 := cell(min(a.X, b.X)-within, shadeX0, shadeCols), cell(max(a.X, b.X)+within, shadeX0, shadeCols)
	z0, z1 := cell(min(a.Z, b.Z)-within, shadeZ0, shadeRows), cell(max(a.Z, b.Z)+within, shadeZ0, shadeRows)
	for j := z0; j < z1; j++ {
		for i := x0; i < x1; i++ {
			visit(j*shadeCols+i, vec{shadeX0 + float64(i)*shadeCell, 0, shadeZ0 + float64(j)*shadeCell})
		}
	}
}

// toRod returns the distance of p from the line between a and b.
func toRod(p, a, b vec) float64 {
	ba, pa := b.sub(a), p.sub(a)
	u := 0.0
	if l := ba.dot(ba); l > 0 {
		u = clamp01(pa.dot(ba) / l)
	}
	q := pa.along(ba, -u)
	return math.Sqrt(q.dot(q))
}
