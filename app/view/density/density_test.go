package density

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

func randomImage(w, h int) *colour.Image {
	r := rand.New(rand.NewPCG(5, 6))
	m := colour.NewImage(w, h)
	for i := range m.R.Pix {
		base := r.Float32()
		m.R.Pix[i] = base + 0.2*r.Float32()
		m.G.Pix[i] = base + 0.1*r.Float32()
		m.B.Pix[i] = base * r.Float32()
		switch r.IntN(40) {
		case 0:
			m.G.Pix[i], m.B.Pix[i] = m.R.Pix[i], m.R.Pix[i]
		case 1:
			m.R.Pix[i] = float32(math.NaN())
		case 2:
			m.B.Pix[i] = -0.4
		case 3:
			m.G.Pix[i] = 1e30
		}
	}
	return m
}

// plainly is Measure pixel by pixel: the definition.
func plainly(src *colour.Image, m selection.Model, matte *colour.Plane) counts {
	var c counts
	c.clear()
	index := func(v, full float64, n int) int { return int(max(0, min(v/full*float64(n), float64(n-1)))) }
	for i := range src.R.Pix {
		r, g, b := src.R.Pix[i:i+1], src.G.Pix[i:i+1], src.B.Pix[i:i+1]
		var h, s, l [1]float32 // the fast conversion's: a bin's edge is not a question of colour
		if m == selection.LCh {
			colour.LChRow(h[:], s[:], l[:], r, g, b)
		} else {
			colour.HSLRow(h[:], s[:], l[:], r, g, b)
		}
		light := index(float64(l[0]), selection.Light.FullScale(m), Lights)
		c.Light[light]++
		if matte != nil {
			c.Matte[light] += uint64(colour.Code8(matte.Pix[i]))
		}
		if h[0] == colour.NoHue {
			c.hueless++
			continue
		}
		k := &c.cells[index(float64(h[0]), 360, Hues)*Sats+index(float64(s[0]), Span(m), Sats)]
		k.N++
		k.R += uint32(colour.Code8(r[0]))
		k.G += uint32(colour.Code8(g[0]))
		k.B += uint32(colour.Code8(b[0]))
	}
	return c
}

func TestMeasureAgreesWithPlain(t *testing.T) {
	src := randomImage(67, 53)
	matte := colour.NewPlane(67, 53)
	copy(matte.Pix, src.R.Pix)
	var d Map // one for all: what was measured before must not show
	for _, m := range []selection.Model{selection.HSL, selection.LCh} {
		for _, one := range []*colour.Plane{&matte, nil} {
			want := plainly(src, m, one)
			for _, workers := range []int{1, 2, 7} {
				require.NoError(t, Measure(context.Background(), &d, src, m, one, workers))
				moved := 0 // float32 and float64 may part on a bin's edge
				for i, k := range want.cells {
					if k != d.cells[i] {
						moved++
					}
				}
				assert.LessOrEqual(t, moved, 4, "%v", m)
				assert.Equal(t, want.hueless, d.hueless)
				assert.Equal(t, total(want.Light), total(d.Light))
				assert.Equal(t, total(want.Matte), total(d.Matte))
				assert.InDeltaSlice(t, floats(want.Light), floats(d.Light), 1)
			}
		}
	}
}

func TestMeasureSameForAnyWorkers(t *testing.T) {
	src := randomImage(80, 100)
	var one, seven Map
	require.NoError(t, Measure(context.Background(), &one, src, selection.LCh, nil, 1))
	require.NoError(t, Measure(context.Background(), &seven, src, selection.LCh, nil, 7))
	assert.Equal(t, one.counts, seven.counts)
}

func total(h [Lights]uint64) (sum uint64) {
	for _, n := range h {
		sum += n
	}
	return sum
}

func floats(h [Lights]uint64) []float64 {
	out := make([]float64, len(h))
	for i, n := range h {
		out[i] = float64(n)
	}
	return out
}

func TestMeasureErrors(t *testing.T) {
	src := colour.NewImage(5, 6)
	matte := colour.NewPlane(3, 4)
	var d Map
	assert.EqualError(t, Measure(context.Background(), &d, src, selection.HSL, &matte, 1),
		"density: matte has 3 x 4 pixels, want the picture's 5 x 6")
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	assert.ErrorIs(t, Measure(ctx, &d, src, selection.HSL, nil, 1), context.Canceled)
	assert.NoError(t, Measure(context.Background(), &d, colour.NewImage(0, 0), selection.HSL, nil, 2))
}

func of(c ...colour.RGB) *colour.Image {
	m := colour.NewImage(len(c), 1)
	for i, v := range c {
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(v.R), float32(v.G), float32(v.B)
	}
	return m
}

// The chroma of sRGB's red is 104.55 (B. Lindbloom's calculator, D65): the next
// ten is 110, as long as at least one pixel in a thousand has it.
func TestTopOfChroma(t *testing.T) {
	red, grey := colour.RGB{R: 1}, colour.RGB{R: 0.5, G: 0.5, B: 0.5}
	few := make([]colour.RGB, 2000)
	for i := range few {
		few[i] = grey
	}
	var d Map
	assert.Equal(t, 1.0, d.Top())
	require.NoError(t, Measure(context.Background(), &d, of(red), selection.LCh, nil, 1))
	assert.Equal(t, 110.0, d.Top())
	few[7], few[8] = red, red
	require.NoError(t, Measure(context.Background(), &d, of(few...), selection.LCh, nil, 1))
	assert.Equal(t, 10.0, d.Top(), "2 of 2000 are the thousandth that is left out")
	few[9] = red
	require.NoError(t, Measure(context.Background(), &d, of(few...), selection.LCh, nil, 1))
	assert.Equal(t, 110.0, d.Top())
	require.NoError(t, Measure(context.Background(), &d, of(red), selection.HSL, nil, 1))
	assert.Equal(t, 1.0, d.Top())
}

// smooth has 960 x 540 pixels that change slowly, as pictures do, with noise.
func smooth() *colour.Image {
	r := rand.New(rand.NewPCG(8, 8))
	m := colour.NewImage(960, 540)
	for i := range m.R.Pix {
		x, y := float64(i%960)/960, float64(i/960)/540
		noise := func() float32 { return float32(r.NormFloat64() * 0.01) }
		m.R.Pix[i] = float32(0.3+0.3*math.Sin(5*x+y)) + noise()
		m.G.Pix[i] = float32(0.4+0.3*math.Sin(3*y+x)) + noise()
		m.B.Pix[i] = float32(0.4+0.2*math.Cos(4*x-2*y)) + noise()
	}
	return m
}

func BenchmarkMeasure(b *testing.B) {
	src := smooth()
	for _, m := range []selection.Model{selection.HSL, selection.LCh} {
		b.Run(m.String(), func(b *testing.B) {
			var d Map
			for b.Loop() {
				_ = Measure(context.Background(), &d, src, m, nil, 0)
			}
		})
		b.Run(m.String()+"/plain", func(b *testing.B) {
			for b.Loop() {
				plainly(src, m, nil)
			}
		})
	}
}
