package scene

import (
	"context"
	"math"
	"math/rand/v2"
)

// water is what the light passes through.
type water struct {
	depth    float64  // of the sand below the surface, in metres
	kd, beam spectrum // attenuation of daylight and along the line of sight, 1/m
	detour   float64  // how much further than the sun's the light from all sides has come, m
	glow     float64  // light turned towards the camera in each metre, as a share of the daylight
}

// A scene is everything that a seed decides; it does not change with time.
// Where a moment's water differs, the moment says so.
type scene struct {
	seed   uint32
	w, h   int
	water  water // in frame 1, as are lights
	lights *lights
	things [materials]spectrum

	sun       vec     // towards the sun as it stands under water
	sunlight  float64 // strength of the sun and of the rest of the daylight
	daylight  float64
	sparkle   float64 // contrast of the caustics
	exposure  float64
	cast      tint // what the white balance leaves, of skin
	gains     tint // the white balance
	noisiness float64
	without   Effects

	cameraAt vec
	pitch    float64
	side     float64 // 1: the swimmer heads right, -1: left
	pose     pose
	course   course
	bed      bed
	meadow   []blade
	slate    slab
}

// draw is a generator with the few shapes of chance a scene needs.
type draw struct{ *rand.Rand }

// newDraw returns the generator of one purpose of a seed.
func newDraw(seed, purpose int) draw {
	return draw{rand.New(rand.NewPCG(uint64(seed), uint64(purpose)))}
}

func (d draw) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

func (d draw) sign() float64 {
	if d.IntN(2) == 0 {
		return -1
	}
	return 1
}

// newScene returns the scene of a seed for a picture of w x h pixels, its camera
// set.
func newScene(ctx context.Context, seed, w, h int) (*scene, error) {
	first, err := readingOf(ctx, seed)
	if err != nil {
		return nil, err
	}
	s := stage(seed, w, h, first.stain())
	s.set(first)
	return s, nil
}

// even stains nothing.
var even = tint{1, 1, 1}

// stage puts together all but the camera's settings. Stain is how far the sand's
// likeness to the skin is moved.
func stage(seed, w, h int, stain tint) *scene {
	d := newDraw(seed, 0x48414C4F)
	s := &scene{seed: uint32(seed) * 2654435761, w: w, h: h}
	s.water = newWater(d)
	s.things = reflectances(d, &s.water, stain)
	s.lights = newLights(s.water, s.things)
	s.side = d.sign()
	s.sun = vec{d.sign() * d.between(0.4, 0.55), 1, d.between(-0.36, -0.24)}.unit()
	s.sunlight, s.daylight = d.between(0.66, 0.74), d.between(0.45, 0.49)
	s.sparkle = d.between(0.6, 0.75)
	s.cameraAt = vec{0, d.between(0.84, 1.06), 0}
	s.pitch = d.between(0.13, 0.18)
	s.course = newCourse(seed)
	s.pose = newPose(d, s.side, s.nearEdge()+0.5)
	s.bed = newBed(d)
	s.slate = newSlab(d, s)
	s.meadow = newMeadow(d, s)
	s.exposure = d.between(0.228, 0.236)
	s.cast = tint{d.between(0.925, 0.935), 1, d.between(0.797, 0.803)}
	s.noisiness = d.between(0.98, 1.02)
	return s
}

// newWater draws depth, type and haze. The scatter is chosen to give the 5 to 12 metres of sight of a summer coast (common practice, no source).
func newWater(d draw) water {
	side := [2]string{"IB", "III"}[d.IntN(2)]
	kd := diffuse("II").mixed(diffuse(side), d.between(0, 0.55))
	return water{
		depth:  d.between(2.3, 3.5),
		kd:     kd,
		beam:   beam(kd, d.between(0.05, 0.065)),
		detour: d.between(1.9, 2.3),
	}
}

// reflectances draws the skin, a sand that is lighter or darker than it, and
// the rest.
func reflectances(d draw, w *water, stain tint) (r [materials]spectrum) {
	tone := d.between(0.0, 1.1)
	r[skin] = skinOf(tone)
	r[flushedSkin] = flushed(r[skin])
	lighter := d.sign() * d.between(0.1, 0.3)
	bed := coralSand.mixed(quartzSand, d.between(0.35, 0.75))
	bed = bed.scaled(settle(math.Exp(lighter)) * level(r[skin]) / level(bed))
	w.glow = w.glowFor(bed, d.between(0.29, 0.33))
	r[sand] = w.near(bed, r[skin], typical*stain[0], bluer*stain[2])
	r[litter] = r[sand].scaled(0.45).mixed(deadLeaf, 0.3)
	r[leaf] = seagrassLeaf.mixed(deadLeaf, d.between(0.05, 0.3)).scaled(d.between(1.5, 2.1))
	r[oldLeaf] = deadLeaf.mixed(r[leaf], 0.3)
	r[slate] = grey(0.24)
	r[tapeBand] = yellowPlastic.scaled(0.35).mixed(grey(0.75), 0.62)
	r[ink] = grey(0.03)
	r[vest] = blueCloth.mixed(tealCloth, d.Float64()).scaled(d.between(0.4, 0.75)).mixed(grey(0.06), 0.25)
	r[shorts] = grey(d.between(0.025, 0.05)).mixed(blueCloth, 0.12)
	r[rubber] = grey(0.03)
	r[hair] = brownHair.scaled(d.between(0.5, 1.6))
	r[plastic] = yellowPlastic.scaled(d.between(0.55, 0.8))
	r[white] = grey(0.9)
	return r
}

// level is the mean reflectance over the green bands.
func level(s spectrum) float64 {
	sum := 0.0
	for _, v := range s[10:19] {
		sum += v
	}
	return sum / 9
}

// skinOf returns skin of a tone: 0 is the chart's light skin, 1 its dark skin.
// Pigment absorbs, so tones are joined as products, not as sums.
func skinOf(tone float64) (s spectrum) {
	for b := range s {
		s[b] = settle(math.Exp((1-tone)*math.Log(lightSkin[b]) + tone*math.Log(darkSkin[b])))
	}
	return s
}

// flushed returns skin with more blood in it: darker and redder.
func flushed(s spectrum) spectrum {
	top := s[bands-5]
	for b := range s {
		s[b] = settle(top * math.Pow(s[b]/top, 1.22))
	}
	return s.scaled(0.97)
}
