package scene

import (
	"context"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

// N. G. Jerlov (1976), Marine Optics, table XXVII.
func TestDiffuseIsJerlovsTable(t *testing.T) {
	rows := testdata.Table(t, "jerlov_kd.csv")
	require.Len(t, rows, 13)
	for _, kind := range []string{"IB", "II", "III", "1C"} {
		got := diffuse(kind)
		for i, row := range rows {
			published, nm := row.Number(kind), row.Number("lambda_nm")
			assert.Equal(t, published, jerlov[kind][i], "type %s at %v nm", kind, nm)
			if b := nm - firstBand; math.Mod(b, bandWidth) == 0 {
				// Where the table lies below pure water's own absorption, that counts.
				want := max(published, pureWater[int(b)/bandWidth])
				assert.InDelta(t, want, got[int(b)/bandWidth], 1e-12, "type %s at %v nm", kind, nm)
			}
		}
	}
}

// R. M. Pope, E. S. Fry (1997), Applied Optics 36, table 3.
func TestPureWaterIsPopeAndFry(t *testing.T) {
	found := 0
	for _, row := range testdata.Table(t, "pope_fry.csv") {
		if b := row.Number("lambda_nm") - firstBand; b >= 0 && math.Mod(b, bandWidth) == 0 {
			assert.Equal(t, row.Number("a_per_m"), pureWater[int(b)/bandWidth], "%v", row)
			found++
		}
	}
	assert.Equal(t, bands, found)
}

// The Beer-Lambert law, worked by hand for pure water: exp(-0.34 * 5) at 650 nm.
func TestDecayFollowsBeerLambert(t *testing.T) {
	assert.InDelta(t, 0.18268352, decay(pureWater, 5)[(650-firstBand)/bandWidth], 1e-8)
}

// Smoothstep, 3u^2-2u^3: values worked by hand at u = 0, 1/4, 1/2, 3/4, 1.
func TestHazeTakesTheSandSmoothly(t *testing.T) {
	for _, c := range []struct{ transmission, want float64 }{
		{1, 1}, {0.5, 1}, {0.425, 0.84375}, {0.35, 0.5}, {0.275, 0.15625}, {0.2, 0}, {0.05, 0},
	} {
		assert.InDelta(t, c.want, sandLeft(c.transmission), 1e-12, "at %v", c.transmission)
	}
}

// The patches dark skin and light skin of the test chart in sRGB, D65, as given
// with the chart: 115, 82, 68 and 194, 150, 130. The camera's channels are not
// the eye's, so only the order of the channels and of the two are compared.
func TestSkinIsSkin(t *testing.T) {
	see := response()
	as := func(s spectrum) (t tint) {
		for c := range t {
			for b := range s {
				t[c] += see[c][b] * s[b]
			}
		}
		return t
	}
	dark, light := as(skinOf(1)), as(skinOf(0))
	assert.Equal(t, darkSkin[10], skinOf(1)[10])
	for _, s := range []tint{dark, light} {
		assert.Greater(t, s[0], s[1])
		assert.Greater(t, s[1], s[2])
	}
	assert.Greater(t, light[1], 2*dark[1])
}

func TestGreyStaysGreyInWhiteLight(t *testing.T) {
	for c, s := range response() {
		sum := 0.0
		for _, v := range s {
			sum += v
		}
		assert.InDelta(t, 1, sum, 1e-9, "channel %d", c)
	}
}

// Less light and less sand with every metre; the water's own light grows to
// that of open water.
func TestLightFallsWithDistance(t *testing.T) {
	l := stage(1, 320, 180, even).lights
	for i := 1; i <= reachEntries; i++ {
		assert.Less(t, l.clear[i], l.clear[i-1])
		assert.Greater(t, l.haze[i][1], l.haze[i-1][1])
	}
	assert.InDelta(t, l.open[1], l.haze[reachEntries][1]+l.open[1]*l.clear[reachEntries], 0.02*l.open[1])
}

func TestTruthIsAPartition(t *testing.T) {
	f, err := Render(t.Context(), 2, 1, 480, 270, 0)
	require.NoError(t, err)
	soft, clothes := 0, 0
	for i := range f.Skin.Pix {
		s, d, w := f.Skin.Pix[i], f.Sand.Pix[i], f.Water.Pix[i]
		require.LessOrEqual(t, s+d+w, float32(1.0001), "pixel %d", i)
		require.GreaterOrEqual(t, min(s, d, w), float32(0), "pixel %d", i)
		whole := f.Swimmer.Pix[i]
		require.GreaterOrEqual(t, whole, s-1e-4, "the swimmer's skin is of the swimmer, pixel %d", i)
		require.LessOrEqual(t, whole+d+w, float32(1.0001), "pixel %d", i)
		if whole > 0.95 && s < 0.05 {
			clothes++
		}
		if s > 0.05 && s < 0.95 {
			soft++
		}
	}
	assert.Greater(t, soft, 500, "the skin's edge is soft")
	assert.Greater(t, clothes, 500, "the swimmer is dressed")
	assert.Greater(t, len(slices.Compact(slices.Sorted(slices.Values(f.Skin.Pix)))), 1000, "not quantised")
}

// The light below the horizon is haze over sand: going up the picture through
// open ground, sand hands over to water and never takes back.
func TestSandGivesWayToWater(t *testing.T) {
	f := stage(3, 320, 180, even).moment(1)
	last := 1.0
	for d := 1.5; d < 14; d += 0.1 {
		ray := vec{0, -f.cam.at.Y, math.Sqrt(d*d - f.cam.at.Y*f.cam.at.Y)}.unit()
		s := f.ground(spotOnBed{p: f.cam.at.along(ray, d), reach: d, wide: 0.01, deep: 0.02}, ray)
		assert.InDelta(t, 1, s.sand+s.water, 1e-12)
		assert.LessOrEqual(t, s.sand, last)
		assert.Equal(t, sandLeft(f.lights.transmission(d)), s.sand)
		last = s.sand
	}
	assert.Zero(t, last)
}

func TestSpotsLieWhollyOnTheirThing(t *testing.T) {
	for _, size := range [][2]int{{Width, Height}, {640, 640}, {960, 360}} {
		f, err := Render(t.Context(), 4, 1, size[0], size[1], 0)
		require.NoError(t, err)
		checkSpots(t, f, 4)
	}
}

func checkSpots(t *testing.T, f *Frame, seed int) {
	t.Helper()
	assert.Greater(t, least(f.truth(Rest), Disc(f.Slate)), float32(0.995), "seed %d: slate", seed)
	assert.Greater(t, least(f.Water, Disc(f.OpenWater)), float32(0.995), "seed %d: open water", seed)
}

func TestRenderRefuses(t *testing.T) {
	_, err := Render(t.Context(), 1, 0, 320, 180, 1)
	assert.EqualError(t, err, "scene: frame 0, want 1 or more")
	_, err = Render(t.Context(), 1, 1, 20, 180, 1)
	assert.EqualError(t, err, "scene: size 20 x 180, want each side from 64 to 8192")
	done, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Render(done, 1, 1, 320, 180, 2)
	assert.ErrorIs(t, err, context.Canceled)
}

func TestSameBytesForAnyNumberOfWorkers(t *testing.T) {
	one, err := Render(t.Context(), 5, 7, 320, 180, 1)
	require.NoError(t, err)
	for _, workers := range []int{2, 7} {
		many, err := Render(t.Context(), 5, 7, 320, 180, workers)
		require.NoError(t, err)
		assert.True(t, one.same(many), "%d workers", workers)
	}
	next, _ := Render(t.Context(), 5, 8, 320, 180, 2)
	assert.False(t, one.same(next), "the next frame differs")
	other, _ := Render(t.Context(), 6, 7, 320, 180, 2)
	assert.False(t, one.same(other), "another seed differs")
}

func (f *Frame) same(g *Frame) bool {
	return slices.Equal(f.Image.R.Pix, g.Image.R.Pix) && slices.Equal(f.Image.G.Pix, g.Image.G.Pix) &&
		slices.Equal(f.Image.B.Pix, g.Image.B.Pix) && slices.Equal(f.Skin.Pix, g.Skin.Pix) &&
		slices.Equal(f.Sand.Pix, g.Sand.Pix) && slices.Equal(f.Water.Pix, g.Water.Pix) &&
		f.Slate == g.Slate && f.OpenWater == g.OpenWater
}

func TestImageIsEightBit(t *testing.T) {
	f, err := Render(t.Context(), 1, 1, 320, 180, 0)
	require.NoError(t, err)
	for _, v := range slices.Concat(f.Image.R.Pix, f.Image.G.Pix, f.Image.B.Pix) {
		k := float64(v) * 255
		require.InDelta(t, math.Round(k), k, 1e-4)
	}
}
