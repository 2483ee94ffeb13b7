package colour

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testBases are settings from everyday to hard.
func testBases() map[string]Base {
	bases := map[string]Base{}
	add := func(name string, change func(b *Base)) {
		b := Neutral()
		change(&b)
		bases[name] = b
	}
	coast, err := WaterByName("3C")
	if err != nil {
		panic(err)
	}
	add("exposure up", func(b *Base) { b.Exposure = 1.3 })
	add("exposure down", func(b *Base) { b.Exposure = -2 })
	add("gains", func(b *Base) { b.Gains = [3]float64{2.4, 0.9, 0.7} })
	add("contrast", func(b *Base) { b.Contrast = 1.4 })
	add("flat contrast", func(b *Base) { b.Contrast = 0.6 })
	add("near neutral", func(b *Base) { b.Exposure = 1e-4 })
	add("water", func(b *Base) {
		b.Beta, b.Path, b.Veil = coast.Beta(), 4, [3]float64{0.02, 0.18, 0.22}
	})
	add("all", func(b *Base) {
		b.Beta, b.Path, b.Veil = coast.Beta(), 3, [3]float64{0.02, 0.15, 0.2}
		b.Gains, b.Exposure, b.Contrast, b.Pivot = [3]float64{1.8, 0.95, 0.8}, 0.7, 1.25, 0.2
	})
	add("all but lost", func(b *Base) {
		b.Beta, b.Path, b.Veil = coast.Beta(), 40, [3]float64{0.01, 0.12, 0.16}
		b.Gains, b.Exposure, b.Contrast = [3]float64{6, 0.9, 0.6}, 2, 0.5
	})
	add("black", func(b *Base) { b.Black, b.Gains = [3]float64{0.01, 0.05, 0.06}, [3]float64{2, 1, 0.9} })
	add("black through water", func(b *Base) {
		b.Beta, b.Path, b.Veil, b.Black = coast.Beta(), 2, [3]float64{0.02, 0.15, 0.2}, [3]float64{0, 0.05, 0.06}
	})
	add("log", func(b *Base) { b.Input = ACEScct })
	add("log, wet", func(b *Base) {
		b.Input, b.Exposure, b.Contrast = ACEScct, 0.5, 1.2
		b.Beta, b.Path, b.Veil = coast.Beta(), 3, [3]float64{0.02, 0.15, 0.2}
	})
	add("hlg", func(b *Base) { b.Input, b.Gains = HLG, [3]float64{2, 1, 0.8} })
	add("camera curve", func(b *Base) { b.Input, b.Exposure = BT709, 0.4 })
	return bases
}

// slowBase is Base.Colour written as its documentation reads.
func slowBase(b Base, c RGB) RGB {
	if b.IsNeutral() {
		return c
	}
	curve := func(ch int, v float64) float64 {
		t := math.Max(0.02, math.Exp(-b.Beta[ch]*b.Path))
		haze := b.Veil[ch] * (1 - t)
		if b.Black[0] > 0 || b.Black[1] > 0 || b.Black[2] > 0 {
			haze = b.Black[ch]
		}
		j := (b.Input.Light(v) - haze) / t
		x := math.Max(0, j*b.Gains[ch]*math.Exp2(b.Exposure))
		return b.Pivot * math.Pow(x/b.Pivot, b.Contrast)
	}
	w := math.Max(math.Max(1, curve(0, 1)), math.Max(curve(1, 1), curve(2, 1)))
	shoulder := func(y float64) float64 {
		if y <= 0.8 {
			return y
		}
		a := 1/0.2 - 1/(w-0.8)
		return math.Min(1, 0.8+(y-0.8)/(1+a*(y-0.8)))
	}
	part := func(ch int, v float64) float64 { return Encoded(shoulder(math.Min(w, curve(ch, v)))) }
	return RGB{part(0, c.R), part(1, c.G), part(2, c.B)}
}

func TestBaseIsItsFormula(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for name, b := range testBases() {
		for range 2000 {
			c := RGB{1.4*rng.Float64() - 0.2, 1.4*rng.Float64() - 0.2, 1.4*rng.Float64() - 0.2}
			requireNear(t, slowBase(b, c).parts(), b.Colour(c).parts(), 1e-9, "%s of %v", name, c)
		}
	}
}

func TestNeutralBaseIsTheIdentityToTheBit(t *testing.T) {
	src := randomPicture(50, 40, -0.5, 1.5, 3)
	src.R.Pix[7] = float32(math.NaN())
	src.G.Pix[8] = float32(math.Inf(1))
	untouched := Neutral()
	untouched.Veil, untouched.Pivot = [3]float64{0.1, 0.2, 0.3}, 0.5 // no path, no contrast: nothing happens
	beyond := Neutral()
	beyond.Path = 5 // water that takes nothing
	for _, b := range []Base{Neutral(), untouched, beyond} {
		require.True(t, b.IsNeutral())
		dst := &Image{}
		require.NoError(t, b.Apply(background, dst, src, 2))
		for c, p := range dst.planes() {
			for i, v := range p.Pix {
				require.Equal(t, math.Float32bits(src.planes()[c].Pix[i]), math.Float32bits(v))
			}
		}
		assert.Equal(t, RGB{-0.3, 0.5, 7}, b.Colour(RGB{-0.3, 0.5, 7}))
	}
}

// All codes of 8 and of 16 bits, and colours in between and outside.
func TestCurvesFollowTheDefinition(t *testing.T) {
	ramp := NewImage(65536, 1)
	for _, p := range ramp.planes() {
		for i := range p.Pix {
			p.Pix[i] = FromCode16(uint16(i))
		}
	}
	codes := NewImage(256, 1)
	for _, p := range codes.planes() {
		for i := range p.Pix {
			p.Pix[i] = FromCode8(uint8(i))
		}
	}
	for name, b := range testBases() {
		var far float64
		for _, src := range []*Image{ramp, codes, randomPicture(200, 100, -0.1, 1.1, 2), randomPicture(200, 100, 0, 0.03, 2)} {
			dst := &Image{}
			require.NoError(t, b.Apply(background, dst, src, 2))
			w, h := src.Size()
			for y := range h {
				for x := range w {
					want, got := b.Colour(src.RGB(x, y)), dst.RGB(x, y)
					for c, v := range want.parts() {
						far = max(far, math.Abs(v-got.parts()[c]))
					}
				}
			}
		}
		t.Logf("%s: %.2g", name, far)
		assert.LessOrEqual(t, far, 2e-5, name)
	}
}

// What water does (I = J t + veil (1 - t), J the thing's own light) is undone.
func TestBaseTakesWaterAway(t *testing.T) {
	for _, water := range waterTypes {
		for _, path := range []float64{0.5, 2, 3} {
			b := Neutral()
			b.Beta, b.Path, b.Veil = water.Beta(), path, [3]float64{0.03, 0.2, 0.25}
			for _, thing := range []RGB{{0.2, 0.3, 0.4}, {0.7, 0.5, 0.4}, {0.05, 0.05, 0.05}, {0, 0.8, 0.1}} {
				var seen [3]float64
				for c, j := range thing.parts() {
					through := math.Pow(water.Residual[c], path)
					seen[c] = Encoded(Linear(j)*through + b.Veil[c]*(1-through))
				}
				got := b.Colour(RGB{seen[0], seen[1], seen[2]})
				requireNear(t, thing.parts(), got.parts(), 1e-6, "%v through %v m of type %s", thing, path, water.Name)
			}
		}
	}
}

func TestBaseStaysABoundedNumber(t *testing.T) {
	hard := Neutral()
	hard.Exposure, hard.Contrast, hard.Gains = 100, 50, [3]float64{1e6, 1, 1e-6}
	bases := testBases()
	bases["hard"] = hard
	for name, b := range bases {
		for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1e30, 1e30, -0.1, 0, 1, 1.5} {
			for c, got := range b.Colour(RGB{v, v, v}).parts() {
				require.True(t, got >= 0 && got <= 1, "%s of %v, channel %d: %v", name, v, c, got)
			}
		}
	}
}

// The shoulder: identity at W = 1, slope 1 where it starts, W to 1, rising.
func TestShoulder(t *testing.T) {
	for _, stops := range []float64{0.01, 0.5, 1, 3, 8} {
		b := Neutral()
		b.Exposure = stops
		f := b.tones()[0]
		require.InDelta(t, math.Exp2(stops), f.white, 1e-12)
		require.Equal(t, 0.8, f.shoulder(0.8))
		require.InDelta(t, 1, f.shoulder(f.white), 1e-12)
		require.InDelta(t, 1, (f.shoulder(0.8+1e-7)-0.8)/1e-7, 1e-4, "slope")
		last := 0.0
		for i := range 1000 {
			y := f.shoulder(f.white * float64(i+1) / 1000)
			require.Greater(t, y, last)
			last = y
		}
	}
	// Nothing jumps as exposure leaves 0.
	b := Neutral()
	b.Exposure = 1e-6
	for i := range 101 {
		v := float64(i) / 100
		require.InDelta(t, v, b.Colour(RGB{v, v, v}).R, 1e-5)
	}
}

func TestBaseKeepsEqualChannelsEqual(t *testing.T) {
	b := Neutral()
	b.Exposure, b.Contrast = 1.5, 1.3
	for i := range 101 {
		v := float64(i) / 100
		c := b.Colour(RGB{v, v, v})
		require.True(t, c.R == c.G && c.G == c.B)
	}
}

func TestBaseRefusesWhatIsOutOfRange(t *testing.T) {
	for want, change := range map[string]func(*Base){
		"colour: base: gain of green is 0, want a number over 0":                                         func(b *Base) { b.Gains[1] = 0 },
		"colour: base: gain of red is NaN, want a number over 0":                                         func(b *Base) { b.Gains[0] = math.NaN() },
		"colour: base: black of green is -0.2, want 0 or more":                                           func(b *Base) { b.Black[1] = -0.2 },
		"colour: base: veil of blue is -0.1, want 0 or more":                                             func(b *Base) { b.Veil[2] = -0.1 },
		"colour: base: attenuation of red is -1, want 0 or more":                                         func(b *Base) { b.Beta[0] = -1 },
		"colour: base: path is +Inf, want 0 m or more":                                                   func(b *Base) { b.Path = math.Inf(1) },
		"colour: base: exposure is 101, want between -100 and 100 stops":                                 func(b *Base) { b.Exposure = 101 },
		"colour: base: contrast is 0, want a number over 0":                                              func(b *Base) { b.Contrast = 0 },
		"colour: base: pivot is -0.18, want a number over 0":                                             func(b *Base) { b.Pivot = -0.18 },
		"colour: base: path is -1, want 0 m or more\ncolour: base: contrast is -1, want a number over 0": func(b *Base) { b.Path, b.Contrast = -1, -1 },
	} {
		b := Neutral()
		change(&b)
		assert.EqualError(t, b.Check(), want)
		dst, src := NewImage(3, 3), randomPicture(3, 3, 0, 1, 1)
		before := append([]float32(nil), dst.R.Pix...)
		assert.EqualError(t, b.Apply(background, dst, src, 1), want)
		assert.Equal(t, before, dst.R.Pix, "a refused base leaves dst alone")
	}
	assert.NoError(t, Neutral().Check())
}

func TestCurvesInPlaceAndBits(t *testing.T) {
	src := randomPicture(90, 75, -0.1, 1.1, 8)
	b := testBases()["all"]
	curves, err := b.Curves()
	require.NoError(t, err)
	requireSameBits(t, func(workers int) []Plane {
		dst := &Image{}
		require.NoError(t, curves.Apply(background, dst, src, workers))
		return []Plane{dst.R, dst.G, dst.B}
	})
	dst := &Image{}
	requireFrugal(t, func() { require.NoError(t, curves.Apply(background, dst, src, 2)) })
	require.NoError(t, b.Apply(background, src, src, 2))
	d, _, _ := worst(t, src, dst)
	assert.Zero(t, d, "in place")

	ctx, cancel := context.WithCancel(background)
	cancel()
	assert.ErrorIs(t, curves.Apply(ctx, dst, src, 2), context.Canceled)
}
