package scene

import "math"

// A figure is the volunteer and what they carry, as solids.
type figure struct {
	shapes []shape
	bones  skeleton
	balls  []ball // of all
	dense  []ball // of the solids that cast shadow on the others
	touch  vec    // where the hand presses the tape onto the sand
}

// figureAt builds the figure t seconds after the beginning.
func (s *scene) figureAt(t float64) *figure {
	p := &s.pose
	f := &figure{bones: p.at(t, &s.course)}
	f.addTrunk(p.size)
	for i, side := range [2]float64{1, -1} {
		f.addArm(i, p.size)
		f.addHand(i, side, p.size)
		f.addLeg(i, p.size, p.bareFeet)
	}
	f.addHead(p)
	f.addMask(p.size)
	f.addReel(s)
	for i := range f.shapes {
		s := &f.shapes[i]
		s.grain = float64(i) * 7.31
		f.balls = append(f.balls, ball{s.middle, s.bound, s.blend, i})
		if s.bound > 0.11 {
			f.dense = append(f.dense, f.balls[i])
		}
	}
	return f
}

func (f *figure) add(s shape) { f.shapes = append(f.shapes, s) }

// addTrunk makes chest and belly in the vest, seat in the shorts.
func (f *figure) addTrunk(z float64) {
	k := &f.bones
	at := func(a vec, ahead, up, aside float64) vec { return k.go3(a, ahead, up, aside, z) }
	for _, s := range [2]float64{1, -1} {
		f.add(cone(vest, at(k.chest, 0.06, -0.005, 0.075*s), at(k.pelvis, 0.16, 0.005, 0.055*s), 0.112*z, 0.092*z, 0.05))
		f.add(cone(vest, at(k.chest, 0.1, 0.01, 0.125*s), at(k.chest, 0.13, 0.03, 0.05*s), 0.07*z, 0.062*z, 0.06))
	}
	f.add(cone(vest, at(k.chest, 0.02, -0.03, 0), at(k.pelvis, 0.1, -0.015, 0), 0.1*z, 0.09*z, 0.05))
	for _, s := range [2]float64{1, -1} {
		f.add(cone(shorts, at(k.pelvis, 0.09, 0.005, 0.05*s), at(k.pelvis, -0.02, 0.015, 0.07*s), 0.1*z, 0.108*z, 0.04))
	}
	f.add(cone(skin, at(k.chest, 0.15, 0.02, 0), k.head.along(k.crown, -0.04*z), 0.068*z, 0.056*z, 0.03))
}

func (f *figure) addArm(i int, z float64) {
	k := &f.bones
	s, e, w := k.shoulder[i], k.elbow[i], k.wrist[i]
	f.add(cone(vest, s, s.mix(e, 0.56), 0.064*z, 0.058*z, 0.05))
	f.add(cone(skin, s.mix(e, 0.3), e, 0.05*z, 0.041*z, 0.012))
	f.add(cone(skin, e, e.mix(w, 0.32), 0.04*z, 0.0455*z, 0.03))
	f.add(cone(skin, e.mix(w, 0.3), w, 0.0455*z, 0.029*z, 0.03))
}

// addHand makes a palm, four fingers a little apart, and a thumb.
func (f *figure) addHand(i int, side, z float64) {
	k := &f.bones
	onward := k.hand[i].sub(k.wrist[i]).unit()
	across := k.aside.along(onward, -k.aside.dot(onward)).unit()
	down := across.cross(onward).unit()
	if down.Y > 0 {
		down = down.mul(-1)
	}
	for _, u := range [2]float64{-0.019, 0.019} {
		f.add(cone(skin, k.wrist[i].along(across, 0.5*u*z), k.hand[i].along(across, u*z), 0.024*z, 0.021*z, 0.02))
	}
	for n := range 4 {
		u := (float64(n) - 1.5) * 0.0185
		root := k.hand[i].along(across, u*z).along(onward, 0.005)
		mid := root.along(onward, 0.036*z).along(across, 0.15*u*z).along(down, 0.008*z)
		tip := mid.along(onward, 0.028*z).along(down, (0.014+0.004*float64(n))*z)
		f.add(cone(skin, root, mid, 0.0105*z, 0.0095*z, 0.01))
		f.add(cone(skin, mid, tip, 0.0095*z, 0.0078*z, 0.006))
	}
	thumb := k.wrist[i].mix(k.hand[i], 0.35).along(across, -0.026*side*z)
	tip := thumb.along(onward, 0.05*z).along(across, -0.026*side*z).along(down, 0.018*z)
	f.add(cone(skin, thumb, tip, 0.0145*z, 0.0098*z, 0.014))
}

func (f *figure) addLeg(i int, z float64, bare bool) {
	k := &f.bones
	h, n, a, toe := k.hip[i], k.knee[i], k.ankle[i], k.toe[i]
	f.add(cone(shorts, h, h.mix(n, 0.55), 0.099*z, 0.083*z, 0.05))
	f.add(cone(skin, h.mix(n, 0.35), n, 0.078*z, 0.056*z, 0.014))
	f.add(cone(skin, n, n.mix(a, 0.3), 0.054*z, 0.051*z, 0.03))
	back := n.mix(a, 0.27).along(k.up, 0.017*z)
	f.add(cone(skin, back, n.mix(a, 0.62), 0.05*z, 0.038*z, 0.04))
	f.add(cone(skin, n.mix(a, 0.45), a, 0.043*z, 0.033*z, 0.03))
	onward := toe.sub(a).unit()
	heel := a.along(onward, -0.03*z).along(k.up, 0.02*z)
	if bare {
		f.add(cone(skin, heel, a.mix(toe, 0.6), 0.031*z, 0.03*z, 0.03))
		f.add(cone(skin, a.mix(toe, 0.6), toe.along(onward, 0.03*z), 0.032*z, 0.016*z, 0.03))
		return
	}
	f.add(cone(rubber, heel, a.mix(toe, 0.7), 0.036*z, 0.038*z, 0.012))
	flat := frame3{x: k.aside.along(onward, -k.aside.dot(onward)).unit(), y: onward}
	flat.z = flat.x.cross(flat.y)
	droop := math.Sin(f.bones.ankle[i].X*3) * 0.1
	flat.y = onward.along(flat.z, droop).unit()
	flat.z = flat.x.cross(flat.y)
	f.add(solid(block, rubber, toe.along(flat.y, 0.1*z), flat, vec{0.062 * z, 0.17 * z, 0.004}, 0.006, 0.05))
	f.add(solid(block, rubber, toe.along(flat.y, 0.26*z), flat, vec{0.078 * z, 0.07 * z, 0.002}, 0.004, 0.03))
}

// headAt returns the point of the head at (crown, face, ear) from its middle.
func (k *skeleton) headAt(crown, face, ear, z float64) vec {
	return k.head.along(k.crown, crown*z).along(k.face, face*z).along(k.ear, ear*z)
}

func (f *figure) addHead(p *pose) {
	k, z := &f.bones, p.size
	axes := frame3{k.ear, k.crown, k.face}
	egg := func(mat material, c, fc, e, hx, hy, hz, blend float64) {
		f.add(solid(ellipsoid, mat, k.headAt(c, fc, e, z), axes, vec{hx * z, hy * z, hz * z}, 0, blend))
	}
	egg(skin, -0.012, 0.016, 0, 0.072, 0.106, 0.088, 0.03)
	f.add(cone(skin, k.headAt(-0.06, 0.02, 0, z), k.headAt(-0.088, 0.066, 0, z), 0.055*z, 0.03*z, 0.03)) // jaw
	f.add(cone(skin, k.headAt(0.012, 0.098, 0, z), k.headAt(-0.022, 0.112, 0, z), 0.012*z, 0.016*z, 0.02))
	f.add(cone(skin, k.headAt(-0.052, 0.09, -0.015, z), k.headAt(-0.052, 0.09, 0.015, z), 0.012*z, 0.012*z, 0.012))
	for _, s := range [2]float64{1, -1} {
		egg(skin, -0.012, -0.008, 0.073*s, 0.012, 0.03, 0.019, 0.008)
	}
	egg(hair, 0.022, -0.022, 0, 0.081, 0.1, 0.088, 0.006)
	egg(hair, -0.02, -0.05, 0, 0.066, 0.075, 0.06, 0.03)
	if !p.longHair {
		return
	}
	// Long hair is put up in a knot.
	f.add(cone(hair, k.headAt(0.05, -0.1, 0, z), k.headAt(0.06, -0.13, 0, z), 0.03*z, 0.034*z, 0.012))
}

// addMask makes the diving mask with its glass, and the snorkel.
func (f *figure) addMask(z float64) {
	k := &f.bones
	axes := frame3{k.ear, k.crown, k.face}
	f.add(solid(block, rubber, k.headAt(0.016, 0.082, 0, z), axes, vec{0.058 * z, 0.028 * z, 0.026 * z}, 0.014, 0.004))
	f.add(solid(block, white, k.headAt(0.017, 0.115, 0, z), axes, vec{0.056 * z, 0.027 * z, 0.004 * z}, 0.006, 0))
	path := []vec{
		k.headAt(-0.055, 0.112, 0.01, z), k.headAt(-0.06, 0.1, 0.05, z), k.headAt(-0.02, 0.05, 0.098, z),
		k.headAt(0.09, 0.005, 0.1, z), k.headAt(0.2, -0.04, 0.088, z), k.headAt(0.3, -0.1, 0.07, z),
	}
	for i := range len(path) - 1 {
		mat := plastic
		if i < 2 {
			mat = rubber
		}
		f.add(cone(mat, path[i], path[i+1], 0.0125*z, 0.0125*z, 0.008*boolean(i > 0)))
	}
}

func boolean(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// addReel hangs the tape reel in the far hand, and the tape from it to where the
// near hand presses it down.
func (f *figure) addReel(s *scene) {
	k := &f.bones
	onward := k.hand[1].sub(k.wrist[1]).unit()
	at := k.hand[1].along(onward, 0.075).along(vec{0, 1, 0}, -0.035)
	axis := k.aside.along(k.up, 0.35).along(k.ahead, 0.25).unit()
	axes := frameAlong(axis)
	f.add(solid(disc, tapeBand, at, axes, vec{0.062, 0.008, 0}, 0.004, 0))
	f.add(solid(disc, plastic, at.along(axis, 0.012), axes, vec{0.072, 0.002, 0}, 0.003, 0))
	f.add(solid(disc, plastic, at.along(axis, -0.012), axes, vec{0.072, 0.002, 0}, 0.003, 0))
	f.add(solid(disc, rubber, at, axes, vec{0.02, 0.024, 0}, 0.004, 0))
	f.add(cone(rubber, at.along(axes.x, 0.02), k.hand[1].along(onward, 0.03), 0.011, 0.013, 0))
	x := k.hand[0].X + 0.04*s.side
	f.touch = vec{x, 0.008, s.pose.tape.at(x)}
	last, end := f.touch, at.along(vec{0, 1, 0}, -0.07)
	for i := range 6 {
		u := float64(i+1) / 6
		next := f.touch.mix(end, u)
		next.Y -= 0.05 * u * (1 - u)
		next.Y = max(next.Y, 0.008)
		f.add(cone(tapeBand, last, next, 0.0048, 0.0048, 0))
		last = next
	}
}
