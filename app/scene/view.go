package scene

import "math"

// haze returns the light that d metres of water add on the way.
func (f *moment) haze(d float64, ray vec) tint {
	if f.lacks(Veil) {
		return tint{}
	}
	return f.lights.haze.at(d).mul(f.glowTowards(ray))
}

// glowTowards returns how bright the water is in a direction against level:
// more light comes from above, and the sun draws shafts into it.
func (f *moment) glowTowards(ray vec) float64 {
	return (1 + 0.9*max(ray.Y, 0) + 0.55*min(ray.Y, 0)) * f.shafts(ray)
}

// shafts returns the faint streaks of sunlight in the water, 1 on average.
// They run together towards a point high above the picture.
func (f *moment) shafts(ray vec) float64 {
	u := ray.X/(ray.Z+0.2) - 1.1*f.sun.X
	v := 1.6 - ray.Y
	a := u / v * 14
	streak := noise(f.seed+31, a, 0.35*f.t) + 0.6*noise(f.seed+32, 2.3*a, 0.5*f.t+9)
	return 1 + 0.055*streak*smoothstep(-0.45, 0.15, ray.Y)
}

// openWater returns what the camera sees where it looks past the sand.
func (f *moment) openWater(ray vec) sampleOf {
	up := smoothstep(-0.02, 0.42, ray.Y)
	light := f.lights.open.mix(f.lights.above, 0.75*up).mul(f.glowTowards(ray))
	if ray.Y > 0.02 {
		light = light.add(f.surface(ray).mul(smoothstep(0.02, 0.16, ray.Y)))
	}
	return pure(light, Water)
}

// surface returns the glitter of the surface from below, far off and dim.
func (f *moment) surface(ray vec) tint {
	d := (f.water.depth - f.cam.at.Y) / ray.Y
	p := f.cam.at.along(ray, d)
	wave := cloud(f.seed+41, 0.9*p.X+0.3*f.t, 0.45*p.Z-0.4*f.t, 3)
	near := f.lights.transmission(d)
	return f.lights.above.mul(1.6 * near * (0.5 + 1.3*max(0, wave+0.15)))
}

// backdrop returns everything behind the leaves and the swimmer at a point of
// the picture.
func (f *moment) backdrop(x, y float64) sampleOf {
	ray := f.cam.ray(x, y)
	spot, ok := f.bedAt(ray)
	if !ok {
		return f.openWater(ray)
	}
	out := f.ground(spot, ray)
	if spot.reach < 4 {
		out = f.slabOver(out, ray)
	}
	// The sand ends in haze, not in a line: what is far is open water.
	if far := smoothstep(0.5*reach, reach, spot.reach); far > 0 {
		out = f.openWater(ray).over(out, far)
	}
	return out
}

// openWaterSpot returns a disc of the picture with nothing but water in it, as
// level as can be found: there the water is as bright as the haze before the
// sand.
func (f *moment) openWaterSpot(truth func(x, y int) float64) Spot {
	r := 14 * f.scale()
	const clean = 0.9999
	_, level, _ := f.cam.project(f.cam.at.add(vec{0, 0, 1}))
	for i := range 63 {
		x := f.cam.cx + f.scale()*60*float64(i%21-10)
		y := max(r+2, level-f.scale()*float64(24+20*(i/21)))
		least := 1.0
		for dy := -r; dy <= r; dy += max(1, r/4) {
			for dx := -r; dx <= r; dx += max(1, r/4) {
				if math.Hypot(dx, dy) <= r {
					least = min(least, truth(int(x+dx), int(y+dy)))
				}
			}
		}
		if least > clean {
			return Spot{X: x, Y: y, Radius: r}
		}
	}
	return Spot{X: f.cam.cx, Y: r + 2, Radius: r}
}
