package scene

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// usual renders the scene's first frame of a seed at its usual size.
func usual(t *testing.T, seed int) *Frame {
	t.Helper()
	f, err := Render(t.Context(), seed, 1, Width, Height, 0)
	require.NoError(t, err)
	return f
}

// least returns the smallest value of a plane within a disc.
func least(p colour.Plane, d Disc) float32 {
	v := float32(1)
	for y := max(0, int(d.Y-d.Radius)); y <= min(p.H-1, int(d.Y+d.Radius)); y++ {
		for x := max(0, int(d.X-d.Radius)); x <= min(p.W-1, int(d.X+d.Radius)); x++ {
			if math.Hypot(float64(x)+0.5-d.X, float64(y)+0.5-d.Y) <= d.Radius {
				v = min(v, p.At(x, y))
			}
		}
	}
	return v
}

func checkDabs(t *testing.T, f *Frame, seed int) {
	t.Helper()
	for c := range classes {
		d, err := f.Dabs(c, seed)
		require.NoError(t, err, "seed %d class %d", seed, c)
		require.Len(t, d.Keep, 3)
		require.Len(t, d.Drop, 9)
		for i, k := range d.Keep {
			assert.EqualValues(t, dabRadius, k.Radius, "seed %d class %d", seed, c)
			assert.Greater(t, least(f.truth(c), k), float32(dabTruth), "seed %d class %d", seed, c)
			assert.True(t, apart(k, d.Keep[:i]), "seed %d class %d: dabs overlap", seed, c)
		}
		for _, k := range d.Drop {
			assert.Less(t, f.truth(c).At(int(k.X), int(k.Y)), float32(0.1), "seed %d class %d", seed, c)
		}
	}
}

func TestDabsShrinkOnlyWhereNothingFits(t *testing.T) {
	truth := colour.NewPlane(40, 40)
	for y := 10; y < 21; y++ { // 11 rows: a disc of radius 5 fits, 6 does not
		for x := 5; x < 35; x++ {
			truth.Pix[y*40+x] = 1
		}
	}
	got := discsIn(truth, newDraw(1, 1))
	require.Len(t, got, 3)
	for _, d := range got {
		assert.EqualValues(t, 5, d.Radius)
		assert.Greater(t, least(truth, d), float32(dabTruth))
	}
	assert.Empty(t, discsIn(colour.NewPlane(40, 40), newDraw(1, 1)))
}

func TestDabsAreDrawnBySeed(t *testing.T) {
	f := &Frame{Skin: filled(200, 100, 0, 50), Sand: filled(200, 100, 50, 100), Water: filled(200, 100, 100, 150)}
	a, err := f.Dabs(Skin, 1)
	require.NoError(t, err)
	b, _ := f.Dabs(Skin, 1)
	c, _ := f.Dabs(Skin, 2)
	assert.Equal(t, a, b)
	assert.NotEqual(t, a, c)
	_, err = f.Dabs(classes, 1)
	assert.ErrorContains(t, err, "class 4")
	f.Water = colour.NewPlane(200, 100)
	_, err = f.Dabs(Skin, 1)
	assert.ErrorContains(t, err, "room for a dab")
}

// filled returns a plane that is 1 in columns [x0,x1) and 0 elsewhere.
func filled(w, h, x0, x1 int) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := x0; x < x1; x++ {
			p.Pix[y*w+x] = 1
		}
	}
	return p
}

// Within a mask dabs to drop lie where it is; those to keep are the same.
func TestDabsWithinAMask(t *testing.T) {
	f, err := Render(t.Context(), 2, 1, 640, 360, 0)
	require.NoError(t, err)
	all, err := f.Dabs(Skin, 3)
	require.NoError(t, err)
	left := colour.NewPlane(640, 360)
	for y := range left.H {
		for x := range left.W / 2 {
			left.Row(y)[x] = 1
		}
	}
	half, err := f.DabsWithin(Skin, 3, &left)
	require.NoError(t, err)
	assert.Equal(t, all.Keep, half.Keep)
	require.NotEmpty(t, half.Drop)
	for _, d := range half.Drop {
		assert.LessOrEqual(t, d.X+d.Radius, 320.5)
	}
	nothing := colour.NewPlane(640, 360)
	none, err := f.DabsWithin(Skin, 3, &nothing)
	require.NoError(t, err)
	assert.Empty(t, none.Drop)
}
