package sample

import "math"

// A material is something the light falls on.
type material int

const (
	skin material = iota
	flushedSkin
	sand
	litter // dark remains of leaves that gather in the troughs of the sand
	leaf
	oldLeaf
	slate
	tapeBand
	ink
	vest
	shorts
	rubber
	hair
	plastic
	white
	materials
)

// A tint is linear light in the camera's red, green and blue.
type tint [3]float64

func (t tint) mul(k float64) tint { return tint{t[0] * k, t[1] * k, t[2] * k} }
func (t tint) add(o tint) tint    { return tint{t[0] + o[0], t[1] + o[1], t[2] + o[2]} }

func (t tint) mix(o tint, u float64) tint {
	return tint{lerp(t[0], o[0], u), lerp(t[1], o[1], u), lerp(t[2], o[2], u)}
}

// The lights are tables over the distance from the camera, every reachSpacing
// metres up to reach.
const (
	reach        = 24.0
	reachEntries = 480
	reachSpacing = reach / reachEntries
)

type reachTable [reachEntries + 1]tint

// at returns the tint d metres away.
func (r *reachTable) at(d float64) tint {
	pos := min(d/reachSpacing, reachEntries-1e-6)
	i := int(pos)
	return r[i].mix(r[i+1], pos-float64(i))
}

// lights says what the camera receives from each material at each distance.
// The sums over the bands are done here, once a scene.
type lights struct {
	lit     [materials]reachTable // under the sun of strength 1 at the sand
	shaded  [materials]reachTable // under as strong a light from the water around
	bounced [materials]reachTable // under the light that sand of strength 1 sends up
	haze    reachTable            // what the water itself sends over that distance
	open    tint                  // the water without end, level
	above   tint                  // and towards the surface
	clear   [reachEntries + 1]float64
}

// sensitivity is a camera's response to a band: bells about the usual peaks
// (common practice, no source).
func sensitivity(channel int, nm float64) float64 {
	peak := [3]float64{602, 540, 462}[channel]
	wide := [3]float64{33, 36, 30}[channel]
	u := (nm - peak) / wide
	return math.Exp(-u * u / 2)
}

// settle rounds a value worked out with math.Exp, whose last bit differs
// between processors.
func settle(v float64) float64 { return math.Round(v*1e9) / 1e9 }

// purity is the camera's colour matrix: it takes from each channel what it sees
// of its neighbours' light. Rows sum to 1, so that grey stays grey.
var purity = [3][3]float64{
	{1.42, -0.36, -0.06},
	{-0.14, 1.34, -0.20},
	{0.00, -0.34, 1.34},
}

// response returns the channels' responses to each band, which sum to 1.
func response() (s [3]spectrum) {
	pure := sensitivities()
	for c := range s {
		for b := range s[c] {
			for i, k := range purity[c] {
				s[c][b] += k * pure[i][b]
			}
		}
	}
	return s
}

// sensitivities returns the sensors' own, each scaled to a sum of 1.
func sensitivities() (s [3]spectrum) {
	for c := range s {
		total := 0.0
		for b := range s[c] {
			s[c][b] = settle(sensitivity(c, firstBand+bandWidth*float64(b)))
			total += s[c][b]
		}
		s[c] = s[c].scaled(1 / total)
	}
	return s
}

// decay returns exp(-k d) for every band.
func decay(k spectrum, d float64) spectrum {
	for b := range k {
		k[b] = settle(math.Exp(-k[b] * d))
	}
	return k
}

// newLights works out the tables for a water and its materials. The water's
// own light is what particles turn towards the camera, glow of it in every
// metre, of the daylight at that depth.
func newLights(w water, reflect [materials]spectrum) *lights {
	l := &lights{}
	see := response()
	day, high := decay(w.kd, w.depth), decay(w.kd, w.depth*0.35)
	collect := func(parts ...*spectrum) (t tint) {
		for c := range t {
			for b := range day {
				v := see[c][b]
				for _, p := range parts {
					v *= p[b]
				}
				t[c] += v
			}
		}
		return t
	}
	// Light from all sides has gone a longer way through the water than the
	// sun's own: shadows are bluer.
	around := decay(w.kd, w.depth+w.detour)
	around = around.scaled(level(day) / level(around))
	var glow, glowHigh spectrum
	for b := range glow {
		glow[b] = w.glow / w.beam[b]
		glowHigh[b] = glow[b]
	}
	l.open, l.above = collect(&day, &glow), collect(&high, &glowHigh)
	for i := range l.haze {
		through := decay(w.beam, float64(i)*reachSpacing)
		for m := range reflect {
			l.lit[m][i] = collect(&day, &reflect[m], &through)
			l.shaded[m][i] = collect(&around, &reflect[m], &through)
			l.bounced[m][i] = collect(&day, &reflect[sand], &reflect[m], &through)
		}
		passed := collect(&day, &glow, &through)
		for c := range passed {
			l.haze[i][c] = l.open[c] - passed[c]
		}
		l.clear[i] = l.lit[sand][i][1] / l.lit[sand][0][1]
	}
	return l
}

// under returns what the camera receives from a material d metres away under
// so much of the sun and so much light from all sides.
func (l *lights) under(m material, d, direct, sky float64) tint {
	return l.lit[m].at(d).mul(direct).add(l.shaded[m].at(d).mul(sky))
}

// transmission returns how much of the sand's green light is left after d
// metres of water.
func (l *lights) transmission(d float64) float64 {
	pos := min(d/reachSpacing, reachEntries-1e-6)
	i := int(pos)
	return lerp(l.clear[i], l.clear[i+1], pos-float64(i))
}
