package field

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/view/density"
	"halocline/colour"
	"halocline/selection"
)

// allHues has a pixel at every tenth of a degree.
func allHues() *colour.Image {
	m := colour.NewImage(60, 60)
	for i := range m.R.Pix {
		c := colour.HSL{H: colour.Degrees(i) / 10, S: float64(1+i%37) / 38, L: 0.5}.RGB()
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(c.R), float32(c.G), float32(c.B)
	}
	return m
}

// However the bins lie, they share out all pixels in view.
func TestBinsLoseNoPixel(t *testing.T) {
	var d density.Map
	require.NoError(t, density.Measure(context.Background(), &d, allHues(), selection.HSL, nil, 1))
	counted := 0.0
	for hue := range density.Hues {
		for _, k := range d.Hue(hue) {
			counted += float64(k.N)
		}
	}
	for _, w := range []hueWindow{{180, 360}, {21, 360}, {359.3, 360}} {
		b := binnedOf(&d, w, 1, 76, 60)
		sum := 0.0
		for _, n := range b.n {
			sum += n
		}
		assert.InDelta(t, counted, sum, 1e-6*counted)
	}
}

// A colour shows where its hue and saturation say, as itself.
func TestPaint(t *testing.T) {
	c := colour.HSL{H: 30, S: 0.5, L: 0.5}.RGB() // 191, 128, 64
	m := colour.NewImage(2, 2)
	for i := range m.R.Pix {
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(c.R), float32(c.G), float32(c.B)
	}
	var d density.Map
	require.NoError(t, density.Measure(context.Background(), &d, m, selection.HSL, nil, 1))
	p := skin(selection.HSL)
	p.Limits[selection.Hue].Range = selection.Range{From: 20, To: 40}
	v := narrowView(p)
	got := paint(v, &d)
	x, y := int(v.window.share(30.2)*v.plot.w()), int(v.plot.h()/2)-1
	in := got.inside.RGBAAt(x, y)
	assert.InDelta(t, 191, float64(in.R), 2)
	assert.InDelta(t, 128, float64(in.G), 2)
	out := got.outside.RGBAAt(x, y)
	assert.InDelta(t, 30+0.76*(191-30), float64(out.R), 2)
	assert.Equal(t, uint8(0x1e), got.inside.RGBAAt(x+20, y).R)

	dst := got.outside
	shifted := place(view{layout{plot: box{0, 0, v.plot.w(), v.plot.h()}}, v.window, 1}, p)
	got.lighten(dst, &shifted)
	assert.Equal(t, in, dst.RGBAAt(x, y), "inside the pick")
}

func BenchmarkPaint(b *testing.B) {
	var d density.Map
	_ = density.Measure(context.Background(), &d, clouds(), selection.HSL, nil, 0)
	p := skin(selection.HSL)
	v := narrowView(p)
	at := place(v, p)
	b.Run("density", func(b *testing.B) {
		for b.Loop() {
			paint(v, &d)
		}
	})
	picture := paint(v, &d)
	dst := image.NewRGBA(image.Rect(0, 0, v.w, v.h))
	b.Run("lighten", func(b *testing.B) {
		for b.Loop() {
			picture.lighten(dst, &at)
		}
	})
}

// Labels of the hue axis do not touch, wherever the window stands: one that the plot's end
// would move against its neighbour is left out, and nearly every tick has one.
func TestHueLabelsDoNotTouch(t *testing.T) {
	v := narrowView(skin(selection.HSL))
	for centre := range 360 {
		for _, width := range []float64{30, 60, 210, 264, 360, 420} {
			v.window = hueWindow{float64(centre), width}
			labels := v.hueLabels()
			for i := 1; i < len(labels); i++ {
				a, b := labels[i-1], labels[i]
				require.GreaterOrEqual(t, b.x-b.half-(a.x+a.half), v.dp(labelGap), "%s, %s of %v", a.text, b.text, v.window)
			}
			require.GreaterOrEqual(t, len(labels), len(v.hueTicks())-2)
		}
	}
}
