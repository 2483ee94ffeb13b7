package render

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// What is kept shows to the bit; what is not lies under pairs of lines, 50 %
// darker and 20 % lighter, 6 px apart, of which every channel takes the same.
func TestHatch(t *testing.T) {
	s := newScene(t, 320, 180)
	r := New(s, 2, DefaultCache)
	shown, err := r.Shown(t.Context(), s.request())
	require.NoError(t, err)
	matte, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	hatch, err := r.Hatch(t.Context(), s.request())
	require.NoError(t, err)
	kept, out := 0, 0
	for y := range 180 {
		for x := range 320 {
			less := 1 - float64(matte.At(x, y))
			for c, p := range planesOf(hatch) {
				v := float64(planesOf(shown)[c].At(x, y))
				switch (x + y) % 6 {
				case 0:
					v *= 1 - 0.5*less
				case 1:
					v += 0.2 * less * (1 - v)
				}
				require.InDelta(t, v, p.At(x, y), 1e-6, "(%d,%d)", x, y)
			}
			if less == 0 {
				kept++
				require.Equal(t, shown.RGB(x, y), hatch.RGB(x, y))
			} else if less == 1 {
				out++
			}
		}
	}
	assert.NotZero(t, kept)
	assert.NotZero(t, out)
}

func TestCutoutIsThePictureAndTheMatte(t *testing.T) {
	s := newScene(t, 320, 180)
	r := New(s, 2, DefaultCache)
	picture, alpha, err := r.Cutout(t.Context(), s.request())
	require.NoError(t, err)
	shown, err := r.Shown(t.Context(), s.request())
	require.NoError(t, err)
	matte, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	requireSame(t, matte, alpha)
	requireSame(t, shown.G, picture.G, "not multiplied")
}

func TestReasonsViewLeavesWhatIsKept(t *testing.T) {
	s := newScene(t, 320, 180)
	r := New(s, 2, DefaultCache)
	shown, err := r.Shown(t.Context(), s.request())
	require.NoError(t, err)
	reasons, err := r.Reasons(t.Context(), s.request())
	require.NoError(t, err)
	view, _, err := r.ReasonsView(t.Context(), s.request())
	require.NoError(t, err)
	for i, why := range reasons {
		x, y := i%320, i/320
		if c := view.RGB(x, y); why == selection.In {
			require.Equal(t, shown.RGB(x, y), c)
		} else {
			require.True(t, c.R == c.G && c.G == c.B, "grey")
		}
	}
}
