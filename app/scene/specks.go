package scene

import "math"

// specks adds what drifts in the water and throws light back: soft dots, far
// ones small and dim, near ones large and faint. They hide nothing, so no matte
// changes.
func (f *moment) specks(l *layer) {
	if f.lacks(Particles) {
		return
	}
	const count = 420
	for i := range uint32(count) {
		at := func(n uint32) float64 { return unit(hash(f.seed, i, n, 99)) }
		z := 0.5 + 4.5*at(1)*at(1)
		p := vec{
			(at(2)-0.5)*1.5*z + 0.05*math.Sin(0.7*f.t+6*at(3)) + 0.03*f.t,
			0.05 + 1.6*at(4) + 0.03*math.Sin(0.9*f.t+6*at(5)),
			z,
		}
		x, y, depth := f.cam.project(p)
		if depth < 0.3 {
			continue
		}
		scale := f.scale()
		defocus := 2.6 * scale * math.Abs(1/depth-1/2.4)
		size := math.Hypot(defocus, math.Max(0.6*scale, 0.0009*f.cam.focal/depth))
		bright := 0.55 * (0.3 + at(6)*at(6)) * math.Pow(0.9*scale/size, 1.5)
		f.speck(l, x, y, size, f.lights.lit[white].at(depth).mul(0.5*bright))
	}
}

// speck adds one dot of the given size in pixels.
func (f *moment) speck(l *layer, x, y, size float64, light tint) {
	r := 3 * size
	for py := max(0, int(y-r)); py < min(l.h, int(y+r)+1); py++ {
		for px := max(0, int(x-r)); px < min(l.w, int(x+r)+1); px++ {
			dx, dy := (float64(px)+0.5-x)/size, (float64(py)+0.5-y)/size
			k := settle(math.Exp(-(dx*dx + dy*dy) / 2))
			for c, v := range light {
				l.planes[c].Pix[py*l.w+px] += float32(k * v)
			}
		}
	}
}
