package colour

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// awkwardPicture holds what the fast forms could trip over inside the cube:
// corners, edges, greys, near-greys, the knees of the curves, 8-bit codes.
func awkwardPicture() *Image {
	m := &Image{}
	add := func(r, g, b float64) {
		m.R.Pix = append(m.R.Pix, float32(r))
		m.G.Pix = append(m.G.Pix, float32(g))
		m.B.Pix = append(m.B.Pix, float32(b))
	}
	levels := []float64{0, 1e-7, 1. / 255, 0.04, srgbEncodedKnee, 0.0405, 0.2, 0.5, 0.73, 1 - 1e-7, 1}
	for _, r := range levels {
		for _, g := range levels {
			for _, b := range levels {
				add(r, g, b)
			}
		}
	}
	for i := range 256 {
		v := float64(i) / 255
		add(v, v, v)
		for _, d := range []float64{1. / 255, -1. / 255, 1. / 65535, 1e-6} {
			if w := v + d; w >= 0 && w <= 1 {
				add(w, v, v)
				add(v, w, v)
				add(v, v, w)
				add(w, v, w)
			}
		}
	}
	m.reshapeToRow()
	return m
}

func (m *Image) reshapeToRow() {
	for _, p := range []*Plane{&m.R, &m.G, &m.B} {
		p.W, p.H = len(p.Pix), 1
	}
}

// largestErrors are the largest differences of a fast form from its definition.
type largestErrors struct{ h, s, l float64 }

// channels are the planes that HSLRow or LChRow make of a picture.
type channels struct{ H, S, L Plane }

func (c *channels) from(src *Image, workers int, row func(h, s, l, r, g, b []float32)) {
	w, height := src.Size()
	for _, p := range []*Plane{&c.H, &c.S, &c.L} {
		p.Reshape(w, height)
	}
	_ = EachBand(background, workers, height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			row(c.H.Row(y), c.S.Row(y), c.L.Row(y), src.R.Row(y), src.G.Row(y), src.B.Row(y))
		}
	})
}

// channelErrors compares planes with a definition. Hue counts where the
// definition has one and its s exceeds hueFrom.
func channelErrors(t *testing.T, got *channels, src *Image, hueFrom float64, definition func(RGB) (h Degrees, s, l float64, ok bool)) largestErrors {
	t.Helper()
	var e largestErrors
	for i := range src.R.Pix {
		c := RGB{float64(src.R.Pix[i]), float64(src.G.Pix[i]), float64(src.B.Pix[i])}
		h, s, l, ok := definition(c)
		gh := float64(got.H.Pix[i])
		e.s = max(e.s, math.Abs(s-float64(got.S.Pix[i])))
		e.l = max(e.l, math.Abs(l-float64(got.L.Pix[i])))
		if s > hueFrom && ok {
			require.True(t, gh >= 0 && gh < 360, "%v: hue %v", c, gh)
			e.h = max(e.h, math.Abs(float64(h.ArcTo(Degrees(gh)))))
		}
		if gh == NoHue || !ok {
			require.Equal(t, !ok, gh == NoHue || math.Abs(s-Achromatic) < 1e-4, "%v: hue %v, definition ok %v, s %v", c, gh, ok, s)
		}
	}
	return e
}

func defineHSL(c RGB) (Degrees, float64, float64, bool) {
	v, ok := c.HSL()
	return v.H, v.S, v.L, ok
}

func defineLCh(c RGB) (Degrees, float64, float64, bool) {
	v, ok := c.LCh()
	return v.H, v.C, v.L, ok
}

func TestHSLPlanesFollowTheDefinition(t *testing.T) {
	for name, src := range map[string]*Image{
		"cube":    randomPicture(400, 400, 0, 1, 1),
		"dark":    randomPicture(200, 200, 0, 0.05, 2),
		"light":   randomPicture(200, 200, 0.98, 1, 3),
		"awkward": awkwardPicture(),
	} {
		var got channels
		got.from(src, 0, HSLRow)
		e := channelErrors(t, &got, src, 0, defineHSL)
		t.Logf("%s: hue %.2g deg, S %.2g, L %.2g", name, e.h, e.s, e.l)
		assert.LessOrEqual(t, e.h, 1e-3, "%s: hue", name)
		assert.LessOrEqual(t, e.s, 2e-6, "%s: saturation", name)
		assert.LessOrEqual(t, e.l, 2e-6, "%s: lightness", name)
	}
}

func TestLChPlanesFollowTheDefinition(t *testing.T) {
	for name, src := range map[string]*Image{
		"cube":         randomPicture(400, 400, 0, 1, 1),
		"dark":         randomPicture(200, 200, 0, 0.12, 2),
		"middle":       randomPicture(200, 200, 0.45, 0.5, 3),
		"awkward":      awkwardPicture(),
		"out of gamut": randomPicture(200, 200, -0.5, 1.6, 4),
	} {
		var got channels
		got.from(src, 0, LChRow)
		e := channelErrors(t, &got, src, 1, defineLCh)
		t.Logf("%s: hue %.2g deg, C %.2g, L %.2g", name, e.h, e.s, e.l)
		assert.LessOrEqual(t, e.h, 0.003, "%s: hue", name)
		assert.LessOrEqual(t, e.s, 0.002, "%s: chroma", name)
		assert.LessOrEqual(t, e.l, 0.002, "%s: lightness", name)
	}
}

func TestLabRowFollowsTheDefinition(t *testing.T) {
	for _, src := range []*Image{randomPicture(700, 1, 0, 1, 5), awkwardPicture()} {
		n := src.R.W
		l, a, b := make([]float32, n), make([]float32, n), make([]float32, n)
		LabRow(l, a, b, src.R.Pix, src.G.Pix, src.B.Pix)
		for i := range n {
			want := src.RGB(i, 0).Lab()
			require.InDelta(t, want.L, l[i], 0.001, "L* of %v", src.RGB(i, 0))
			require.InDelta(t, want.A, a[i], 0.001, "a* of %v", src.RGB(i, 0))
			require.InDelta(t, want.B, b[i], 0.001, "b* of %v", src.RGB(i, 0))
		}
	}
}

func TestGreysHaveNoHue(t *testing.T) {
	const n = 2001
	grey, l, a, b := make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)
	for i := range grey {
		v := float64(i)/1000 - 0.5 // greys outside [0,1] too
		grey[i] = float32(v)
		lab := RGB{v, v, v}.Lab()
		require.InDelta(t, 0, lab.A, 1e-4)
		require.InDelta(t, 0, lab.B, 1e-4)
		_, ok := lab.LCh()
		require.False(t, ok, "LCh hue of grey %v", v)
		_, ok = RGB{v, v, v}.HSL()
		require.False(t, ok, "HSL hue of grey %v", v)
	}
	LabRow(l, a, b, grey, grey, grey)
	for i := range grey {
		require.Zero(t, a[i], "a* of grey %v", grey[i])
		require.Zero(t, b[i], "b* of grey %v", grey[i])
	}
	for name, row := range map[string]func(h, s, l, r, g, b []float32){"HSL": HSLRow, "LCh": LChRow} {
		row(l, a, b, grey, grey, grey)
		for i := range grey {
			require.Equal(t, float32(NoHue), l[i], "%s hue of grey %v", name, grey[i])
		}
	}
}

// Out of gamut S may be anything; but the colour must come back.
func TestHSLRowOutOfGamutComesBack(t *testing.T) {
	src := randomPicture(20000, 1, -0.7, 1.9, 6)
	var c channels
	c.from(src, 1, HSLRow)
	for i := range src.R.Pix {
		h, s, l := float64(c.H.Pix[i]), float64(c.S.Pix[i]), float64(c.L.Pix[i])
		require.GreaterOrEqual(t, s, 0.0)
		require.True(t, h >= 0 && h < 360)
		room := min(math.Abs(l), math.Abs(1-l))
		if room < 1e-3 { // float32 lightness is too coarse there
			continue
		}
		got, want := HSL{Degrees(h), s, l}.RGB(), src.RGB(i, 0)
		tolerance := 1e-6 + 1e-6/room
		require.InDelta(t, want.R, got.R, tolerance, "%v", want)
		require.InDelta(t, want.G, got.G, tolerance, "%v", want)
		require.InDelta(t, want.B, got.B, tolerance, "%v", want)
	}
}

func TestChannelsOfSamplesThatAreNotFinite(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	odd := []float32{0, 0.3, 1, nan, inf, -inf}
	for name, row := range map[string]func(h, s, l, r, g, b []float32){"HSL": HSLRow, "LCh": LChRow} {
		for _, r := range odd {
			for _, g := range odd {
				for _, b := range odd {
					if sum := r + g + b; sum-sum == 0 {
						continue
					}
					h, s, l := []float32{5}, []float32{5}, []float32{5}
					row(h, s, l, []float32{r}, []float32{g}, []float32{b})
					require.Equal(t, [3]float32{NoHue, 0, 0}, [3]float32{h[0], s[0], l[0]}, "%s of %v %v %v", name, r, g, b)
				}
			}
		}
	}
}

// A row's outputs may be its inputs.
func TestRowsInPlace(t *testing.T) {
	for name, row := range map[string]func(h, s, l, r, g, b []float32){"HSL": HSLRow, "LCh": LChRow, "Lab": LabRow} {
		src := randomPicture(700, 1, 0, 1, 7)
		n := src.R.W
		h, s, l := make([]float32, n), make([]float32, n), make([]float32, n)
		row(h, s, l, src.R.Pix, src.G.Pix, src.B.Pix)
		row(src.R.Pix, src.G.Pix, src.B.Pix, src.R.Pix, src.G.Pix, src.B.Pix)
		assert.Equal(t, h, src.R.Pix, name)
		assert.Equal(t, s, src.G.Pix, name)
		assert.Equal(t, l, src.B.Pix, name)
	}
}

func FuzzRows(f *testing.F) {
	f.Add(float32(0.5), float32(0.2), float32(0.1))
	f.Add(float32(-1e-30), float32(1), float32(2))
	f.Add(float32(3e38), float32(-3e38), float32(math.NaN()))
	f.Fuzz(func(t *testing.T, r, g, b float32) {
		for name, row := range map[string]func(h, s, l, r, g, b []float32){"HSL": HSLRow, "LCh": LChRow} {
			h, s, l := []float32{0}, []float32{0}, []float32{0}
			row(h, s, l, []float32{r}, []float32{g}, []float32{b})
			require.True(t, h[0] == NoHue || h[0] >= 0 && h[0] < 360, "%s hue of %v %v %v is %v", name, r, g, b, h[0])
			require.True(t, s[0] >= 0, "%s of %v %v %v: s is %v", name, r, g, b, s[0])
			require.False(t, l[0] != l[0], "%s of %v %v %v: l is %v", name, r, g, b, l[0])
		}
	})
}
