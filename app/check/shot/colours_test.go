package shot

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// Two pixels of weight 1 and 0.5, by the definitions of a weighed mean and its deviation.
func TestColoursInAMatte(t *testing.T) {
	matte := colour.Plane{W: 4, H: 1, Pix: []float32{0, 1, 0.5, 0}}
	picture := colour.NewImage(4, 1)
	a, b := colour.RGB{R: 0.75, G: 0.5, B: 0.25}, colour.RGB{R: 0.25, G: 0.5, B: 0.5}
	for x, c := range []colour.RGB{b, a, b, a} {
		picture.R.Pix[x], picture.G.Pix[x], picture.B.Pix[x] = float32(c.R), float32(c.G), float32(c.B)
	}
	in, dropped := coloursIn(matte, picture, nil)
	require.NotNil(t, in)
	assert.Nil(t, dropped, "there is no plane")
	p, q := a.Lab(), b.Lab()
	for i, want := range []float64{(p.L + 0.5*q.L) / 1.5, (p.A + 0.5*q.A) / 1.5, (p.B + 0.5*q.B) / 1.5} {
		assert.InDelta(t, want, in.Mean[i], 1e-3)
	}
	apart := sq(p.L-q.L) + sq(p.A-q.A) + sq(p.B-q.B)
	assert.InDelta(t, apart*2/9, sq(in.Spread), 1e-2, "shares of 2/3 and 1/3 are spread by their product")
	in, dropped = coloursIn(colour.NewPlane(4, 1), picture, nil)
	assert.Nil(t, in, "the matte is empty")
	assert.Nil(t, dropped)
}

// What is kept of a mask is its pick's share: half of a mask that the square fills to the half.
func TestFilledIsTheShareThatIsKept(t *testing.T) {
	masks := colour.Plane{W: 3, H: 1, Pix: []float32{1, 0.5, 0}}
	assert.InDelta(t, 0.5, *filled(colour.Plane{W: 3, H: 1, Pix: []float32{0.5, 0.25, 0}}, masks), 1e-9)
	assert.Nil(t, filled(masks, colour.NewPlane(3, 1)))
}
