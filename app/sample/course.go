package sample

// A course is what a clip brings besides what swings and sways of itself: by how
// much the volunteer has turned and reached, the camera has gone, and the swell
// has lifted the surface, when the clip ends. It is drawn apart from the rest of
// the scene and is nothing in frame 1.
type course struct {
	turn  float64 // of the body about the chest, radians; the legs swing round
	dip   float64 // of the chest against the seat
	roll  float64 // of the body about its length, radians
	look  float64 // of the head, radians
	reach float64 // of the near hand along the tape at mid-clip, m
	lift  float64 // of the far hand, m
	back  float64 // how far the camera falls behind, m
	rise  float64 // and rises
	pan   float64 // radians
	swell float64 // of the surface, m
}

// newCourse draws the course of a seed. The swell is a low one of some six
// seconds, of which a clip sees the half that rises: 0.3 to 0.5 m over sand two
// to four metres deep (common practice, no source).
func newCourse(seed int) course {
	d := newDraw(seed, 0x434F5552)
	return course{
		turn:  d.sign() * d.between(0.14, 0.26),
		dip:   d.between(-0.05, 0.05),
		roll:  d.between(0.06, 0.14) * d.sign(),
		look:  d.between(0.2, 0.4) * d.sign(),
		reach: d.between(0.05, 0.09),
		lift:  d.between(0.05, 0.11),
		back:  d.between(0.16, 0.28),
		rise:  d.between(0.02, 0.06),
		pan:   d.sign() * d.between(0.008, 0.016),
		swell: d.between(0.3, 0.5),
	}
}

// The course begins when frame 1's shutter has closed, and ends with the clip.
const (
	courseBegins = 0.5 / FPS
	courseEnds   = (Frames - 1.0) / FPS
)

// along returns how much of the course lies behind at time t: 0 to 1, without a
// start or a stop that shows.
func (c *course) along(t float64) float64 { return smoothstep(courseBegins, courseEnds, t) }

// amid returns what rises to 1 in the middle of the clip and is 0 at its ends.
func (c *course) amid(t float64) float64 {
	u := c.along(t)
	return 4 * u * (1 - u)
}
