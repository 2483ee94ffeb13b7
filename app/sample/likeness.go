package sample

import "math"

// The scene is meant to be hard in the right way: sand whose hue is near the
// skin's, so that no one channel separates the two and all three together nearly
// do. Stains of the sand grains bring that about, whatever the skin and the
// water: iron takes blue, pink shell gives red.

// How much bluer and redder against green skin shows than sand, on the mean of
// a frame, so that one channel alone is left in doubt. The more the two stray by
// themselves and by the sensor's noise, the further they have to be apart.
const (
	bluer   = 1.03
	apartBy = 1.77  // times what they stray
	grain   = 0.092 // the noise, as straying
	typical = 1.265 // how much redder on average
)

func redder(spread float64) float64 { return math.Exp(apartBy * math.Hypot(spread, grain)) }

// arm is the distance, in metres, at which skin and sand are compared.
const arm = 2.3

// seen returns what the camera receives of a level surface at arm's distance,
// under daylight and through haze.
func (w water) seen(r spectrum) (t tint) {
	see := response()
	day, through := decay(w.kd, w.depth), decay(w.beam, arm)
	for c := range t {
		for b := range r {
			haze := w.glow / w.beam[b] * (1 - through[b])
			t[c] += see[c][b] * day[b] * (r[b]*through[b] + haze)
		}
	}
	return t
}

// glowFor returns the glow at which haze is a share of the green light that
// comes from a surface at arm's distance.
func (w water) glowFor(r spectrum, share float64) float64 {
	w.glow = 0
	bare := w.seen(r)[1]
	w.glow = 1
	return settle(share / (1 - share) * bare / (w.seen(r)[1] - bare))
}

// stained returns s with its red and its blue end made stronger or weaker.
func (s spectrum) stained(red, blue float64) spectrum {
	for b := range s {
		nm := firstBand + bandWidth*float64(b)
		s[b] *= lerp(1, red, smoothstep(550, 600, nm)) * lerp(1, blue, smoothstep(510, 460, nm))
	}
	return s
}

// near returns the sand stained until skin, as the camera sees both, has
// redder times its share of red to green and bluer times its share of blue.
func (w water) near(sand, skin spectrum, redder, bluer float64) spectrum {
	want := w.seen(skin)
	red, blue := 1.0, 1.0
	for range 12 { // each round leaves less than half of the error
		got := w.seen(sand.stained(red, blue))
		red *= want[0] / want[1] / redder / (got[0] / got[1])
		blue *= want[2] / want[1] / bluer / (got[2] / got[1])
	}
	return sand.stained(settle(red), settle(blue))
}
