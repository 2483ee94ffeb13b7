package scene

import "math"

// A slab is the grey slate that lies on the sand for a white balance.
type slab struct {
	at               vec
	sin, cos         float64
	wide, deep, high float64 // half sides and thickness, m
}

func newSlab(d draw, s *scene) slab {
	sin, cos := math.Sincos(d.between(-0.35, 0.35))
	return slab{
		at:  vec{-s.side * d.between(0.42, 0.8), 0, s.nearEdge() + d.between(0.13, 0.17)},
		sin: sin, cos: cos,
		wide: 0.15, deep: 0.105, high: 0.012,
	}
}

// local returns p in the slab's own axes, from its middle.
func (b *slab) local(p vec) (u, v float64) {
	x, z := p.X-b.at.X, p.Z-b.at.Z
	return x*b.cos + z*b.sin, -x*b.sin + z*b.cos
}

// inset returns how far p lies inside the slab's outline, negative outside.
func (b *slab) inset(p vec) float64 {
	const corner = 0.018
	u, v := b.local(p)
	qx, qy := math.Abs(u)-b.wide+corner, math.Abs(v)-b.deep+corner
	return corner - math.Hypot(max(qx, 0), max(qy, 0)) - min(max(qx, qy), 0)
}

// slabOver lays the slate over what lies below it on a ray.
func (f *moment) slabOver(below sampleOf, ray vec) sampleOf {
	b := &f.slate
	d := (b.high - f.cam.at.Y) / ray.Y
	p := f.cam.at.along(ray, d)
	foot := f.cam.at.along(ray, -f.cam.at.Y/ray.Y)
	px := d / f.cam.focal / math.Sqrt(-ray.Y)
	in, low := b.inset(p), b.inset(foot)
	if in < -0.06 && low < -0.06 {
		return below
	}
	// It presses a little shadow into the sand around it.
	below.light = below.light.mul(1 - 0.45*smoothstep(-0.03, 0, low))
	direct, sky := f.groundLight(p, vec{0, 1, 0})
	lay := func(mat material, k, inside float64) {
		s := pure(f.lights.under(mat, d, direct, sky).mul(k).add(f.haze(d, ray)), Rest)
		below = s.over(below, clamp01(0.5+inside/px))
	}
	lay(slate, 0.4, low)
	lay(slate, 0.82, in)
	lay(slate, 1, in-0.006)
	u, v := b.local(p)
	if line := b.writing(u, v); line > 0 && in > 0.01 {
		lay(ink, 1, line)
	}
	return below
}

// writing returns how far inside a pencil stroke a point of the slate is: rows
// of short strokes on its left third, so that the rest stays clean.
func (b *slab) writing(u, v float64) float64 {
	if u > -0.05 || u < -0.13 {
		return 0
	}
	row := v/0.026 - math.Floor(v/0.026) - 0.5
	word := noise(5, u*70, math.Floor(v/0.026)*3)
	if word < -0.1 {
		return 0
	}
	return 0.0016 - math.Abs(row*0.026-0.004*noise(9, u*190, v*40))
}

// slateSpot returns a disc of the picture that lies wholly on clean slate.
func (f *moment) slateSpot() Spot {
	b := &f.slate
	middle := func(u, v float64) (float64, float64) {
		p := vec{b.at.X + u*b.cos - v*b.sin, b.high, b.at.Z + u*b.sin + v*b.cos}
		x, y, _ := f.cam.project(p)
		return x, y
	}
	const u0, u1, v1 = -0.04, 0.14, 0.095
	x, y := middle((u0+u1)/2, 0)
	r := math.Inf(1)
	for i := range 41 {
		t := float64(i)/20 - 1
		for _, q := range [4][2]float64{{lerp(u0, u1, t/2+0.5), v1}, {lerp(u0, u1, t/2+0.5), -v1}, {u0, v1 * t}, {u1, v1 * t}} {
			ex, ey := middle(q[0], q[1])
			r = min(r, math.Hypot(ex-x, ey-y))
		}
	}
	blur := 3 * f.scale()
	return Spot{X: x, Y: y, Radius: max(1, r-blur)}
}

// A tapeLine is the transect tape on the sand: z as a gently winding function
// of x.
type tapeLine struct {
	z, slope, bend, phase float64
}

func newTape(d draw, side, away float64) tapeLine {
	return tapeLine{
		z: away - 0.12, slope: -side * d.between(0.03, 0.12),
		bend: d.between(0.01, 0.03), phase: d.between(0, 6),
	}
}

func (l *tapeLine) at(x float64) float64 {
	return l.z + l.slope*x + l.bend*math.Sin(2.3*x+l.phase) + 0.3*l.bend*math.Sin(7.1*x)
}

// withTape lays the tape over the light of the sand: marks every 10 cm, a
// broad one every metre. It ends under the hand that presses it down.
func (f *moment) withTape(light tint, s spotOnBed, foot vec, direct, sky float64) tint {
	const half = 0.012
	// It bridges the ripples: only a little of their height shows in it.
	at := foot.mix(s.p, 0.3)
	x, z := at.X, at.Z
	if f.side*(x-f.touch.X) > 0 || math.Abs(z-f.pose.tape.at(x)) > 0.05 {
		return light
	}
	off := z - f.pose.tape.at(x)
	light = light.mul(1 - 0.4*smoothstep(-0.03, -half, off)*smoothstep(0.02, half, off))
	run := f.side*(f.touch.X-x) + 0.03
	mark := math.Abs(run/0.1 - math.Round(run/0.1))
	mat, k := tapeBand, 0.95+0.1*noise(3, 30*x, 1)
	inked := smoothstep(0.035, 0.02, mark) * smoothstep(half*0.2, half*0.3, math.Abs(off)+0.3*half)
	if math.Abs(2*run-math.Round(2*run)) < 0.028 && run > 0.3 {
		inked = 1
	}
	band := f.lights.under(mat, s.reach, direct, sky).mix(f.lights.under(ink, s.reach, direct, sky), inked).mul(k)
	return light.mix(band, clamp01(0.5+(half-math.Abs(off))/s.deep))
}
