package sample

import "math"

// A pose is how the volunteer swims: fixed by the seed, moved by time.
type pose struct {
	side                   float64 // 1 heads right
	yaw, height, away      float64 // heading, metres over the sand, metres from the camera
	from, speed            float64 // metres along the picture at time 0, metres a second
	kick, beat, beatPhase  float64 // radians, beats a second
	knee, spread           float64 // rest angles of the legs
	nod                    float64
	reachNear              float64 // how far ahead of its shoulder a hand presses the tape
	reachFar               vec     // the other hand from its shoulder: ahead, up, aside
	tape                   tapeLine
	longHair, bareFeet     bool
	size                   float64
	stroke, strokePerSec   float64
	turnOfHead, rollOfBody float64
}

// newPose draws a pose about away metres from the camera.
func newPose(d draw, side, away float64) pose {
	return pose{
		tape:         newTape(d, side, away),
		side:         side,
		yaw:          d.between(-0.25, 0.22),
		height:       d.between(0.42, 0.54),
		away:         away,
		from:         d.between(-0.04, 0.1),
		speed:        d.between(0.07, 0.1),
		kick:         d.between(0.1, 0.16),
		beat:         d.between(0.35, 0.5),
		beatPhase:    d.between(0, 2*math.Pi),
		knee:         d.between(0.1, 0.6),
		spread:       d.between(0.03, 0.1),
		nod:          d.between(-0.1, 0.15),
		reachNear:    d.between(0.32, 0.44),
		reachFar:     vec{d.between(0.47, 0.56), d.between(-0.24, -0.1), d.between(-0.12, 0.05)},
		longHair:     d.IntN(2) == 0,
		bareFeet:     d.IntN(3) == 0,
		size:         d.between(0.98, 1.05),
		stroke:       d.between(0.02, 0.04),
		strokePerSec: d.between(0.3, 0.5),
		turnOfHead:   d.between(0.3, 0.75),
		rollOfBody:   d.between(-0.05, 0.15),
	}
}

// A skeleton is the figure's joints at one time. Index 0 is the side towards
// the camera.
type skeleton struct {
	ahead, up, aside vec // the trunk's axes; aside points at the camera
	pelvis, chest    vec
	neck, head       vec
	shoulder, elbow  [2]vec
	wrist, hand      [2]vec
	hip, knee        [2]vec
	ankle, toe       [2]vec
	crown, face, ear vec // the head's axes
}

// at returns the joints t seconds after the beginning.
func (p *pose) at(t float64, c *course) skeleton {
	var k skeleton
	u := c.along(t)
	straight := p.heading(p.yaw, 0, t)
	k.ahead = p.heading(p.yaw+c.turn*u, c.dip*u, t)
	k.aside = vec{0, 1, 0}.cross(k.ahead).mul(p.side).unit()
	k.up = k.ahead.cross(k.aside).mul(p.side).unit()
	k.up = k.up.along(k.aside, p.rollOfBody+c.roll*u+0.04*math.Sin(2*math.Pi*p.beat*t+p.beatPhase)).unit()
	k.aside = k.up.cross(k.ahead).mul(p.side).unit()

	bob := 0.012 * math.Sin(2*math.Pi*0.4*t+p.beatPhase)
	k.pelvis = vec{p.side * (p.from + p.speed*t), p.height + bob, p.away}
	k.pelvis = k.pelvis.along(straight.sub(k.ahead), trunk*p.size) // the body turns about the chest
	k.chest = k.go3(k.pelvis, trunk, 0.02, 0, p.size)
	k.neck = k.go3(k.chest, 0.18, 0.035, 0, p.size)
	p.setHead(&k, t, c)
	for i, s := range [2]float64{1, -1} {
		p.setArm(&k, i, s, t, c)
		p.setLeg(&k, i, s, t)
	}
	return k
}

// trunk is how far the chest lies before the pelvis, in sizes.
const trunk = 0.40

// heading returns which way the trunk points, turned from the picture's plane by
// yaw radians.
func (p *pose) heading(yaw, dip, t float64) vec {
	sy, cy := math.Sincos(yaw)
	return vec{p.side * cy, -0.06 + dip + 0.02*math.Sin(1.3*t), sy}.unit()
}

// go3 goes from a along the trunk's axes.
func (k *skeleton) go3(a vec, ahead, up, aside, size float64) vec {
	return a.along(k.ahead, ahead*size).along(k.up, up*size).along(k.aside, aside*size)
}

func (p *pose) setHead(k *skeleton, t float64, c *course) {
	lift := 0.72 + p.nod + 0.05*math.Sin(0.9*t+p.beatPhase)
	sl, cl := math.Sincos(lift)
	k.crown = k.ahead.mul(cl).along(k.up, sl).unit()
	front := k.ahead.mul(sl).along(k.up, -cl)
	ts, tc := math.Sincos(p.turnOfHead + c.look*c.along(t))
	k.face = front.mul(tc).along(k.aside, ts).unit()
	k.ear = k.crown.cross(k.face).mul(p.side).unit()
	k.head = k.neck.along(k.ahead, 0.075*p.size).along(k.crown, 0.095*p.size)
}

// setArm bends the arm so that the hand reaches its place: one holds the reel,
// the other presses the tape down.
func (p *pose) setArm(k *skeleton, i int, s, t float64, c *course) {
	const upper, fore, palm = 0.30, 0.27, 0.09
	k.shoulder[i] = k.go3(k.chest, 0.1, 0.0, 0.17*s, p.size)
	sway := p.stroke * math.Sin(2*math.Pi*p.strokePerSec*t+1.9*float64(i))
	want := k.go3(k.shoulder[i], p.reachFar.X+sway, p.reachFar.Y+0.5*sway+c.lift*c.along(t), p.reachFar.Z*s, p.size)
	if i == 0 {
		x := k.shoulder[i].X + p.side*(p.reachNear+sway+c.reach*c.amid(t))
		want = vec{x, 0.075 + 0.3*max(0, sway), p.tape.at(x)}
	}
	pole := k.up.mul(-0.25).along(k.aside, 0.8*s).along(k.ahead, -0.35)
	k.elbow[i], k.wrist[i] = bend(k.shoulder[i], want, pole, upper*p.size, fore*p.size)
	onward := k.wrist[i].sub(k.elbow[i]).unit()
	flat := onward.along(vec{0, 1, 0}, 0.35).unit()
	if i == 0 {
		flat.Y = max(flat.Y, -0.35)
		flat = flat.unit()
	}
	k.hand[i] = k.wrist[i].along(flat, palm*p.size)
}

func (p *pose) setLeg(k *skeleton, i int, s, t float64) {
	const thigh, shank, foot = 0.43, 0.42, 0.17
	beat := math.Sin(2*math.Pi*p.beat*t + p.beatPhase + math.Pi*float64(i))
	k.hip[i] = k.go3(k.pelvis, -0.05, 0, 0.085*s, p.size)
	swing := 0.06 + p.kick*beat
	k.knee[i] = k.go3(k.hip[i], -thigh*math.Cos(swing), -thigh*math.Sin(swing), p.spread*s, p.size)
	late := math.Sin(2*math.Pi*p.beat*t + p.beatPhase + math.Pi*float64(i) - 1.1)
	fold := p.knee + 0.6*p.kick*late - swing
	k.ankle[i] = k.go3(k.knee[i], -shank*math.Cos(fold), shank*math.Sin(fold), 0.3*p.spread*s, p.size)
	point := fold - 0.35 + 0.25*late
	k.toe[i] = k.go3(k.ankle[i], -foot*math.Cos(point), foot*math.Sin(point), 0.02*s, p.size)
}

// bend returns the joint and the end of a limb of two bones that starts at
// from and reaches for want, its joint on the side of pole.
func bend(from, want, pole vec, first, second float64) (joint, end vec) {
	d := want.sub(from)
	far := min(d.length(), 0.985*(first+second))
	dir := d.unit()
	end = from.along(dir, far)
	along := (first*first - second*second + far*far) / (2 * far)
	out := math.Sqrt(max(0, first*first-along*along))
	pole = pole.along(dir, -pole.dot(dir)).unit()
	return from.along(dir, along).along(pole, out), end
}
