package scene

import "math"

// surfaceOf returns what the camera sees of the figure at p, on the solid
// which.
func (f *moment) surfaceOf(g *figure, v *tileView, p, ray vec, reach float64, which int) sampleOf {
	s := &g.shapes[which]
	n := v.normal(g, p)
	q := s.texture(p)
	mat, k := s.mat, 1.0
	n, k = f.finish(g, s, q, n, p)
	open := v.openness(g, p, n)
	direct, sky, below := f.figureLight(g, p, n, open)
	if mat == skin {
		// Skin lets light through: its shadows are soft at the edge.
		direct = max(direct, 0.12*f.sunlight*open*smoothstep(-0.5, 0.2, n.dot(f.sun)))
	}
	light := f.colourOf(s, q, reach, direct, sky).mul(k)
	light = light.add(f.lights.bounced[mat].at(reach).mul(k * below))
	light = light.add(f.gloss(s, n, ray, reach).mul(direct + 0.4*sky))
	of := Rest
	if mat == skin {
		of = Skin
	}
	seen := pure(light.add(f.haze(reach, ray)), of)
	seen.swimmer = 1
	return seen
}

// texture returns p in the solid's own axes, which move with it.
func (s *shape) texture(p vec) vec {
	q := s.axes.local(p.sub(s.a))
	q.Z += s.grain
	return q
}

// colourOf returns the solid's own colour: skin is blotched with blood.
func (f *moment) colourOf(s *shape, q vec, reach, direct, sky float64) tint {
	own := f.lights.under(s.mat, reach, direct, sky)
	if s.mat != skin {
		return own
	}
	u, w := q.Y+0.7*q.X, q.Z-0.4*q.X
	blood := 0.35 + 0.55*cloud(f.seed+51, 22*u, 22*w, 3)
	tone := 1 + 0.05*cloud(f.seed+52, 60*u, 60*w, 2)
	return own.mix(f.lights.under(flushedSkin, reach, direct, sky), clamp01(blood)).mul(tone)
}

// finish bends the normal for folds of cloth and strands of hair, and returns
// how much lighter or darker the surface is for its pattern.
func (f *moment) finish(g *figure, s *shape, q, n, p vec) (vec, float64) {
	bump := func(strength, fx, fy float64) vec {
		a := noise(f.seed+61, fx*q.X+fx*q.Z, fy*q.Y)
		b := noise(f.seed+61, fx*q.X+fx*q.Z+0.35, fy*q.Y)
		c := noise(f.seed+61, fx*q.X+fx*q.Z, fy*q.Y+0.35)
		return n.along(s.axes.x.add(s.axes.z), strength*(a-b)).along(s.axes.y, strength*(a-c)).unit()
	}
	switch s.mat {
	case vest:
		return bump(0.55, 9, 24), f.vestPattern(g, p)
	case shorts:
		return bump(0.7, 14, 26), 1
	case hair:
		return bump(0.9, 90, 12), 0.8 + 0.5*noise(f.seed+62, 140*q.X, 9*q.Y)
	case plastic:
		if s.kind == taper { // the snorkel is ribbed
			return n, 0.9 + 0.12*math.Sin(420*q.Y)
		}
	case tapeBand:
		return n, 0.75 + 0.2*math.Sin(900*math.Hypot(q.X, q.Z-s.grain))
	}
	return n, 1
}

// vestPattern lightens a panel along the flank, between two seams.
func (f *moment) vestPattern(g *figure, p vec) float64 {
	q := p.sub(g.bones.chest)
	h := q.dot(g.bones.up) + 0.03 + 0.08*q.dot(g.bones.ahead)
	a := q.dot(g.bones.ahead)
	if a > 0.06 {
		return 1
	}
	panel := smoothstep(-0.006, 0.006, 0.022-math.Abs(h))
	seam := smoothstep(0.004, 0.001, math.Abs(math.Abs(h)-0.022))
	return 1 + 2.2*panel - 1.4*seam*panel
}

// openness returns how free p is in the direction n: 1 in the open, less in
// folds and under the arms.
func (v *tileView) openness(g *figure, p, n vec) float64 {
	shut := 0.0
	for i, away := range [3]float64{0.015, 0.045, 0.1} {
		d, _ := union(g.shapes, v.list, p.along(n, away))
		shut += (away - d) / away * [3]float64{0.4, 0.35, 0.25}[i]
	}
	return clamp01(1 - 0.9*shut)
}

// figureLight returns the light of the sun, of the water above and around, and
// what the sand sends up.
func (f *moment) figureLight(g *figure, p, n vec, open float64) (direct, sky, below float64) {
	if facing := n.dot(f.sun); facing > -0.12 {
		direct = f.sunlight * f.sunAt(p) * (facing + 0.12) / 1.12 * f.sunReaches(g, p.along(n, 0.012))
	}
	sky = f.daylight * (0.16 + 0.84*(0.5+0.5*n.Y)) * (0.25 + 0.75*open)
	sun, dark := f.shade.at(p.X, p.Z)
	lit := f.sunlight*(1-0.7*sun) + f.daylight*(1-dark)
	below = 0.55 * lit * (0.5 - 0.5*n.Y) * open * (0.6 + 0.4*smoothstep(0.8, 0.1, p.Y))
	return direct, sky, below
}

// sunReaches returns how much of the sun the rest of the figure lets through
// to p.
func (f *moment) sunReaches(g *figure, p vec) float64 {
	lit := 1.0
	d := 0.02
	for range 7 {
		e, _ := union(g.shapes, g.dense, p.along(f.sun, d))
		lit = min(lit, 0.5+9*e/(d+0.15))
		if lit <= 0 {
			return 0
		}
		d += max(0.02, 0.8*e)
		if d > 0.6 {
			break
		}
	}
	return clamp01(lit)
}

// gloss returns the light mirrored off the surface at full strength. Under
// water skin and cloth mirror little; glass, rubber and plastic do.
func (f *moment) gloss(s *shape, n, ray vec, reach float64) tint {
	var amount, power float64
	switch s.mat {
	case skin:
		amount, power = 0.035, 14
	case rubber, plastic:
		amount, power = 0.1, 30
	case white:
		amount, power = 0.2, 60
	default:
		return tint{}
	}
	half := f.sun.sub(ray).unit()
	shine := amount * math.Pow(max(0, n.dot(half)), power)
	return f.lights.lit[white].at(reach).mul(shine)
}
