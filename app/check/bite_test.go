package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

// Colours of a Macbeth chart's patches, sRGB from memory: dark skin, light skin, blue sky.
var (
	darkSkin  = colour.RGB{R: 115. / 255, G: 82. / 255, B: 68. / 255}
	lightSkin = colour.RGB{R: 194. / 255, G: 150. / 255, B: 130. / 255}
	blueSky   = colour.RGB{R: 98. / 255, G: 122. / 255, B: 157. / 255}
)

func dabOf(keep bool, c colour.RGB) selection.Dab {
	return selection.Dab{Keep: keep, Colours: []colour.RGB{c, c}}
}

// biteBench is a picture of rows of single colours, deep inside but for its last column, and a
// matte that has each row's alpha.
func biteBench(alphas []float32, rows []colour.RGB) (matte, deep colour.Plane, picture *colour.Image) {
	const w = 201
	h := len(rows)
	matte, deep, picture = colour.NewPlane(w, h), colour.NewPlane(w, h), colour.NewImage(w, h)
	for y, c := range rows {
		for x := range w {
			i := y*w + x
			matte.Pix[i], deep.Pix[i] = alphas[y], 1
			picture.R.Pix[i], picture.G.Pix[i], picture.B.Pix[i] = float32(c.R), float32(c.G), float32(c.B)
		}
		deep.Pix[y*w+w-1] = 0.999
	}
	return matte, deep, picture
}

// What looks like dabs to drop, or like none, does not count.
func TestBiteIsOfWhatLooksKept(t *testing.T) {
	matte, deep, picture := biteBench([]float32{1, 0.5, 0.5, 0.8, 0}, []colour.RGB{darkSkin, darkSkin, darkSkin, darkSkin, blueSky})
	dabs := []selection.Dab{dabOf(true, darkSkin), dabOf(false, blueSky)}
	b, err := MeasureBite(t.Context(), matte, deep, picture, dabs, 0)
	require.NoError(t, err)
	assert.Equal(t, 1000, b.Inside)
	assert.InDelta(t, 0.8, b.Like, 1e-9)
	assert.InDelta(t, 0.7, b.Kept, 1e-6)
	assert.True(t, b.Bites())
	assert.Equal(t, "the pick leaves out 30 % of the inside of its mask: more dabs, or the mask alone", b.Words())
	one, err := MeasureBite(t.Context(), matte, deep, picture, dabs, 1)
	require.NoError(t, err)
	assert.Equal(t, b, one, "for any number of workers")

	b, err = MeasureBite(t.Context(), matte, deep, picture, append(dabs, dabOf(false, darkSkin)), 0)
	require.NoError(t, err)
	assert.InDelta(t, 0.8, b.Like, 1e-9, "as near to both looks kept")
	b, err = MeasureBite(t.Context(), matte, deep, picture, []selection.Dab{dabOf(true, lightSkin), dabOf(false, darkSkin)}, 0)
	require.NoError(t, err)
	assert.Zero(t, b.Like)
	assert.Zero(t, b.Kept)
	assert.False(t, b.Known())
	assert.Empty(t, b.Words())
}

// A shade of the same thing is like it: lightness alone parts nothing from the keep dabs.
func TestShadeLooksKept(t *testing.T) {
	shade := colour.RGB{R: 0.7 * darkSkin.R, G: 0.7 * darkSkin.G, B: 0.7 * darkSkin.B}
	matte, deep, picture := biteBench([]float32{1, 0, 0}, []colour.RGB{darkSkin, shade, shade})
	b, err := MeasureBite(t.Context(), matte, deep, picture, []selection.Dab{dabOf(true, darkSkin)}, 0)
	require.NoError(t, err)
	assert.Equal(t, 1.0, b.Like)
	assert.InDelta(t, 1./3, b.Kept, 1e-6)
	assert.True(t, b.Bites())
}

// Nothing is told without keep dabs, of a few pixels, of a mask about more than what is kept, and
// where the pick leaves hardly anything out.
func TestWhenNoBiteIsTold(t *testing.T) {
	matte, deep, picture := biteBench([]float32{0.5, 0.5}, []colour.RGB{darkSkin, darkSkin})
	b, err := MeasureBite(t.Context(), matte, deep, picture, []selection.Dab{dabOf(false, blueSky)}, 0)
	require.NoError(t, err)
	assert.Nil(t, b)
	assert.False(t, b.Bites())
	b, err = MeasureBite(t.Context(), matte, deep, picture, []selection.Dab{dabOf(true, darkSkin)}, 0)
	require.NoError(t, err)
	assert.Equal(t, 400, b.Inside)
	assert.False(t, b.Known(), "too few")
	for _, told := range []struct {
		b  Bite
		is bool
	}{{Bite{1000, 0.59, 0.1}, false}, {Bite{1000, 0.6, 0.1}, true}, {Bite{1000, 1, 0.9}, false}, {Bite{1000, 1, 0.89}, true}} {
		assert.Equal(t, told.is, told.b.Bites(), "%v", told.b)
	}
}
