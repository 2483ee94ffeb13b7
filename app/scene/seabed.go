package scene

import "math"

// A bed is the lie of the sand: ripples, lumps and patches.
type bed struct {
	seed            uint32
	sin, cos        float64 // across the ripples
	wavelength      float64 // m
	height          float64 // m, trough to crest
	litterEdge      float64 // how much of the troughs litter fills
	grain, patchy   float64
	flecks          float64
	crossed, wander float64
}

func newBed(d draw) bed {
	sin, cos := math.Sincos(d.between(0.75, 1.35) * d.sign())
	return bed{
		seed: d.Uint32(), sin: sin, cos: cos,
		wavelength: d.between(0.1, 0.15), height: d.between(0.012, 0.018),
		litterEdge: d.between(0.35, 0.6),
		grain:      d.between(0.16, 0.22), patchy: d.between(0.06, 0.12),
		flecks: d.between(0.04, 0.1), crossed: d.between(0.1, 0.3), wander: d.between(1.4, 2.4),
	}
}

// relief returns the height of the sand at (x, z) in metres. Ripples have sharp
// crests and flat troughs, wander, fork and fade; what is finer than blur, in
// metres, is left out.
func (b *bed) relief(x, z, blur float64) float64 {
	warp := b.wander*noise(b.seed, 1.1*x, 1.1*z) + 0.55*noise(b.seed+1, 3.1*x, 3.1*z)
	phase := 2*math.Pi*(x*b.cos+z*b.sin)/b.wavelength + 2*warp
	wave := math.Sin(phase)
	crest := (wave + 0.28*math.Cos(2*phase) + 0.28) * 0.5
	strength := 0.9 + 0.4*noise(b.seed+2, 0.7*x, 0.7*z)
	cross := math.Sin(2*math.Pi*(x*b.sin-z*b.cos)/(1.9*b.wavelength) + 2.2*warp)
	h := b.height * strength * (crest + b.crossed*cross) * (1 - smoothstep(0.25, 0.9, blur/b.wavelength))
	h += b.lumps(x, z)
	if left := 1 - smoothstep(0.2, 0.8, blur*17); left > 0 {
		h += 0.0026 * noise(b.seed+4, 17*x, 17*z) * left
	}
	if left := 1 - smoothstep(0.2, 0.8, blur*47); left > 0 {
		h += 0.0011 * noise(b.seed+5, 47*x, 47*z) * left
	}
	return h
}

// lumps is the part of the relief that is wider than ripples.
func (b *bed) lumps(x, z float64) float64 { return 0.02 * noise(b.seed+3, 1.3*x, 1.3*z) }

// A lie is how a spot lies: its height above the lumps, in metres, and which way
// it faces.
type lie struct {
	above  float64
	normal vec
}

func (b *bed) lieOf(s spotOnBed) lie {
	h := b.relief(s.p.X, s.p.Z, s.deep)
	return lie{above: h - b.lumps(s.p.X, s.p.Z), normal: b.normal(s, h)}
}

// A spotOnBed is a point of the sand as the camera meets it.
type spotOnBed struct {
	p          vec
	reach      float64 // from the camera
	wide, deep float64 // size of a pixel there, across and along the view
}

// bedAt returns where a ray meets the sand; ok is false where it never does.
func (f *moment) bedAt(ray vec) (s spotOnBed, ok bool) {
	if ray.Y > -0.004 {
		return s, false
	}
	s.reach = -f.cam.at.Y / ray.Y
	s.wide = s.reach / f.cam.focal
	s.deep = s.wide / -ray.Y
	s.p = f.cam.at.along(ray, s.reach)
	if s.reach < 8 {
		for range 2 {
			h := f.bed.relief(s.p.X, s.p.Z, s.deep)
			s.p = f.cam.at.along(ray, (h-f.cam.at.Y)/ray.Y)
		}
	}
	return s, true
}

// ground returns what the camera sees of the sand at s.
func (f *moment) ground(s spotOnBed, ray vec) sampleOf {
	lies := f.bed.lieOf(s)
	direct, sky := f.groundLight(s.p, lies.normal)
	open := f.bed.hollow(lies)
	sky *= open
	direct *= 0.6 + 0.4*open
	light := f.lights.under(sand, s.reach, direct, sky).mul(f.bed.tone(s))
	if part := f.bed.litterAt(s, lies); part > 0 {
		light = light.mix(f.lights.under(litter, s.reach, direct, sky), part)
	}
	light = f.withTape(light, s, f.cam.at.along(ray, -f.cam.at.Y/ray.Y), direct, sky)
	left := sandLeft(f.lights.transmission(s.reach))
	return sampleOf{
		light: light.add(f.haze(s.reach, ray)),
		sand:  left, water: 1 - left, cover: 1,
	}
}

// hollow returns how much light reaches the sand between the ripples: 1 on a
// level, more on a crest, less in a trough, where dark grains gather too.
func (b *bed) hollow(l lie) float64 {
	return lerp(0.6, 1.22, smoothstep(-0.2*b.height, 0.95*b.height, l.above))
}

// normal returns which way the sand faces at s, h high.
func (b *bed) normal(s spotOnBed, h float64) vec {
	e := max(0.004, 0.5*s.deep)
	hx := b.relief(s.p.X+e, s.p.Z, s.deep)
	hz := b.relief(s.p.X, s.p.Z+e, s.deep)
	return vec{(h - hx) / e, 1, (h - hz) / e}.unit()
}

// groundLight returns the sun's part and the sky's part of the light on the
// ground at p.
func (f *moment) groundLight(p, n vec) (direct, sky float64) {
	shadow, dark := f.shade.at(p.X, p.Z)
	direct = f.sunlight * f.sunAt(p) * max(0, n.dot(f.sun)) / f.sun.Y * (1 - shadow)
	// A trough sees less of the sky than a crest.
	sky = f.daylight * (0.25 + 0.75*n.Y*n.Y) * (1 - dark)
	return direct, sky
}

// tone returns how much lighter or darker than its mean the sand is: patches,
// grains, flecks of shell. Grains finer than a pixel even out.
func (b *bed) tone(s spotOnBed) float64 {
	x, z := s.p.X, s.p.Z
	v := 1 + b.patchy*cloud(b.seed+11, 0.9*x, 0.9*z, 3)
	v += 0.8 * b.grain * cloud(b.seed+14, 48*x, 48*z, 2) * evened(s, 48)
	v += b.grain * noise(b.seed+12, 120*x, 120*z) * evened(s, 120)
	v += b.grain * noise(b.seed+13, 290*x, 290*z) * evened(s, 290)
	cx, cz := math.Floor(x*42), math.Floor(z*42)
	h := hash(b.seed, uint32(int32(cx)), uint32(int32(cz)), 77)
	if unit(h) < b.flecks {
		dx, dz := x*42-cx-0.5, z*42-cz-0.5
		size := 0.12 + 0.2*unit(h*31)
		near := smoothstep(size, 0.4*size, math.Hypot(dx, dz)) * evened(s, 80)
		v *= 1 + near*(1.1*unit(h*77)-0.55)
	}
	return max(0.2, v)
}

// evened returns how much of a texture of so many bumps a metre a pixel at s
// still shows.
func evened(s spotOnBed, perMetre float64) float64 {
	return 1 / (1 + 4*s.deep*s.wide*perMetre*perMetre)
}

// litterAt returns the share of dark litter: in troughs, in some places.
func (b *bed) litterAt(s spotOnBed, l lie) float64 {
	x, z := s.p.X, s.p.Z
	where := cloud(b.seed+21, 0.75*x, 0.75*z, 2) - b.litterEdge + 0.35
	if where <= 0 {
		return 0
	}
	trough := 1 - smoothstep(-0.001, 0.5*b.height, l.above)
	speck := smoothstep(-0.35, 0.5, noise(b.seed+22, 38*x, 38*z))
	return min(0.6, 2.2*where) * trough * lerp(0.6, speck, evened(s, 38))
}
