package scene

import "math"

// A camera looks along forward; a point one metre away and one metre to the
// side is focal pixels from the centre of the picture.
type camera struct {
	at                 vec
	right, up, forward vec
	focal, cx, cy      float64
}

// focalOverWidth is the focal length over the width of the picture: a wide lens
// behind a flat port, 62 degrees across.
const focalOverWidth = 0.83

// scaleOf is the size of a picture of w x h pixels against the scene's usual
// one: of the largest picture of the usual shape that fits in it.
func scaleOf(w, h int) float64 {
	return min(float64(w)/Width, float64(h)/Height)
}

// nearEdge is how far from the camera, level, the sand comes into the picture.
func (s *scene) nearEdge() float64 {
	return s.cameraAt.Y / math.Tan(s.pitch+math.Atan(0.5*Height/Width/focalOverWidth))
}

// newCamera puts a camera at a point, looking pitch radians below the horizon,
// turned and rolled, for a picture of w x h pixels.
func newCamera(at vec, pitch, turn, roll float64, w, h int) camera {
	sp, cp := math.Sincos(pitch)
	st, ct := math.Sincos(turn)
	sr, cr := math.Sincos(roll)
	forward := vec{st * cp, -sp, ct * cp}
	side := vec{ct, 0, -st}
	up := forward.cross(side)
	return camera{
		at:      at,
		forward: forward,
		right:   side.mul(cr).add(up.mul(sr)),
		up:      up.mul(cr).sub(side.mul(sr)),
		focal:   focalOverWidth * Width * scaleOf(w, h),
		cx:      float64(w) / 2,
		cy:      float64(h) / 2,
	}
}

// ray returns the direction, of length 1, seen at picture point (x, y).
func (c *camera) ray(x, y float64) vec {
	return c.forward.mul(c.focal).along(c.right, x-c.cx).along(c.up, c.cy-y).unit()
}

// project returns where p is seen and how far it is along the axis; a depth of
// 0 or less lies behind the camera.
func (c *camera) project(p vec) (x, y, depth float64) {
	d := p.sub(c.at)
	depth = d.dot(c.forward)
	k := c.focal / depth
	return c.cx + k*d.dot(c.right), c.cy - k*d.dot(c.up), depth
}

// cameraAtTime drifts as a swimmer's hands do: slowly, along with the
// volunteer, falling behind, never quite level.
func (s *scene) cameraAtTime(t float64) camera {
	wave := func(period, phase float64) float64 { return math.Sin(2*math.Pi*t/period + phase) }
	own := 6 * unit(s.seed)
	c, u := &s.course, s.course.along(t)
	at := s.cameraAt.add(vec{0, c.rise * u, -c.back * u}).add(vec{
		s.side*0.35*s.pose.speed*t + 0.014*(wave(4.1, own)-math.Sin(own)),
		0.01 * wave(3.3, own+1),
		0.012 * wave(5.2, own+2),
	})
	return newCamera(at, s.pitch+0.006*wave(3.7, own+3), 0.007*wave(4.6, own+4)+c.pan*u, 0.02*wave(6.1, own), s.w, s.h)
}
