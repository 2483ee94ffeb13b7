package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/lucasb-eyer/go-colorful"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// colorfulColours are 100,000 random colours, the corners and edges of the
// cube, and every 8-bit grey.
func colorfulColours() []RGB {
	rng := rand.New(rand.NewPCG(8, 8))
	var colours []RGB
	for range 100_000 {
		colours = append(colours, RGB{rng.Float64(), rng.Float64(), rng.Float64()})
	}
	for i := range 256 {
		v := float64(i) / 255
		colours = append(colours, RGB{v, v, v})
		for corner := range 4 {
			p, q := float64(corner&1), float64(corner>>1)
			colours = append(colours, RGB{v, p, q}, RGB{p, v, q}, RGB{p, q, v})
		}
	}
	return colours
}

func TestHSLAgreesWithColorful(t *testing.T) {
	for _, c := range colorfulColours() {
		h, s, l := colorful.Color(c).Hsl()
		got, ok := c.HSL()
		requireHue(t, Degrees(h), got.H, 1e-9, "hue of %v", c)
		requireClose(t, s, got.S, 1e-9, "saturation of %v", c)
		requireClose(t, l, got.L, 1e-12, "lightness of %v", c)
		// It says hue 0 where there is none.
		if grey := c.R == c.G && c.G == c.B; grey == ok {
			t.Fatalf("%v: hue %v", c, ok)
		}
		back := colorful.Hsl(h, s, l)
		requireNear(t, RGB(back).parts(), got.RGB().parts(), 1e-9, "%v and back", c)
	}
}

// colorful's matrix is ours to 16 digits; its white, 0.95047, 1, 1.08883, is
// rounded and not where that matrix sends R = G = B = 1. Given ours, its CIELAB
// agrees.
func TestLabAgreesWithColorfulForTheSameWhite(t *testing.T) {
	ref := [3]float64(white.parts())
	for _, c := range colorfulColours() {
		x, y, z := colorful.Color(c).Xyz()
		requireNear(t, [3]float64{x, y, z}, c.XYZ().parts(), 1e-7, "XYZ of %v", c)
		l, a, b := colorful.XyzToLabWhiteRef(c.XYZ().X, c.XYZ().Y, c.XYZ().Z, ref)
		requireNear(t, [3]float64{l * 100, a * 100, b * 100}, c.Lab().parts(), 1e-9, "Lab of %v", c)
	}
}

// With colorful's own rounded white a grey has b* = -0.014; by the definition
// a* and b* of a grey are 0, and ours are. This limits the departure to what
// the rounding explains, so that nothing else can hide behind it.
func TestWhereColorfulRoundsItsWhite(t *testing.T) {
	var far float64
	for _, c := range colorfulColours() {
		l, a, b := colorful.Color(c).Lab()
		got := c.Lab()
		requireClose(t, l*100, got.L, 1e-5, "L* of %v", c)
		requireClose(t, a*100, got.A, 0.02, "a* of %v", c)
		requireClose(t, b*100, got.B, 0.03, "b* of %v", c)
		far = max(far, math.Abs(b*100-got.B))
	}
	t.Logf("b* differs by up to %.3g", far)
	_, _, b := colorful.Color{R: 1, G: 1, B: 1}.Lab()
	assert.InDelta(t, -0.014, b*100, 0.001, "colorful's white")
	assert.InDelta(t, 0, RGB{1, 1, 1}.Lab().B, 1e-12)
}

// colorful's hue is 0 wherever a* is under 0.01 or within 0.01 of b*, whatever
// the chroma. There the test is against the definition, elsewhere against it.
func TestLChAgreesWithColorfulButForItsHue(t *testing.T) {
	departures := 0
	check := func(lab Lab) {
		h, c, l := colorful.LabToHcl(lab.L/100, lab.A/100, lab.B/100)
		got, ok := lab.LCh()
		requireClose(t, c*100, got.C, 1e-9, "chroma of %v", lab)
		requireClose(t, l*100, got.L, 1e-9, "L* of %v", lab)
		if ok != (math.Hypot(lab.A, lab.B) > Achromatic) {
			t.Fatalf("%v: hue %v", lab, ok)
		}
		switch {
		case !ok:
		case math.Abs(lab.A) <= 0.01 || math.Abs(lab.A-lab.B) <= 0.01:
			departures++
			radians := float64(got.H) * math.Pi / 180
			requireClose(t, lab.A, got.C*math.Cos(radians), 1e-9, "a* from the hue of %v", lab)
			requireClose(t, lab.B, got.C*math.Sin(radians), 1e-9, "b* from the hue of %v", lab)
		default:
			requireHue(t, Degrees(h), got.H, 1e-6, "hue of %v", lab)
		}
	}
	for _, c := range colorfulColours() {
		check(c.Lab())
	}
	require.NotZero(t, departures)
	for _, want := range []struct {
		a, b float64
		hue  Degrees
	}{{0, 50, 90}, {30, 30, 45}, {-30, -30, 225}, {0, -50, 270}, {0.3, 0.3, 45}, {50, 0, 0}, {-50, 0, 180}} {
		check(Lab{50, want.a, want.b})
		got, ok := Lab{50, want.a, want.b}.LCh()
		require.True(t, ok)
		requireHue(t, want.hue, got.H, 1e-9, "%v", want)
	}
}

// colorful takes colours and its own rounded white; given colours whose Lab is
// known to us by that white, the formula agrees.
func TestDeltaEAgreesWithColorful(t *testing.T) {
	colours := colorfulColours()
	for i := 1; i < len(colours); i++ {
		p, q := colorful.Color(colours[i-1]), colorful.Color(colours[i])
		want := p.DistanceCIEDE2000(q) * 100
		got := labOfColorful(p).DeltaE(labOfColorful(q))
		requireClose(t, want, got, 1e-6, "%v and %v", colours[i-1], colours[i])
	}
}

func labOfColorful(c colorful.Color) Lab {
	l, a, b := c.Lab()
	return Lab{l * 100, a * 100, b * 100}
}
