package motion

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// A part reads what the whole does, and its motion is the frame's.
func TestPartsReadWhatTheWholeDoes(t *testing.T) {
	const w, h = 96, 64
	from, to := pair(turn(4, 1.05), w, h)
	p, err := NewPicture(t.Context(), from, 1)
	require.NoError(t, err)
	q, err := NewPicture(t.Context(), to, 1)
	require.NoError(t, err)
	f, err := Between(t.Context(), p, q, 1)
	require.NoError(t, err)
	carried := colour.NewPlane(w, h)
	require.NoError(t, f.Carry(t.Context(), carried, to, 1))
	at := Part{Plane: colour.NewPlane(20, 12), Min: image.Pt(30, 40), Step: 1}
	need := at.Targets(f, image.Rect(0, 0, 20, 12))
	src := Part{Plane: colour.NewPlane(need.Dx(), need.Dy()), Min: need.Min, Step: 1}
	for y := range src.H {
		for x := range src.W {
			src.Row(y)[x] = to.At(min(max(need.Min.X+x, 0), w-1), min(max(need.Min.Y+y, 0), h-1))
		}
	}
	u, v := make([]float32, 20), make([]float32, 20)
	for y := range at.H {
		at.Motion(f, u, v, 0, y)
		for x := range at.W {
			du, dv := f.At(30+x, 40+y)
			require.Equal(t, [2]float32{du, dv}, [2]float32{u[x], v[x]})
			require.Equal(t, carried.At(30+x, 40+y), src.Read(at.Target(x, y, du, dv)), "(%d,%d)", x, y)
		}
	}
}

// On a proxy a sample's motion is that in the middle of its pixels.
func TestMotionOfAProxysSamples(t *testing.T) {
	f := Still(8, 8)
	for i := range f.u {
		f.u[i] = float32(i % 8)
	}
	p := Part{Plane: colour.NewPlane(2, 2), Min: image.Pt(1, 0), Step: 2}
	var u, v [2]float32
	p.Motion(f, u[:], v[:], 0, 1)
	assert.Equal(t, [2]float32{2.5, 4.5}, u, "between pixels 2 and 3, and 4 and 5")
	x, y := p.Target(0, 1, 3, -2)
	assert.Equal(t, [2]float32{2.5, 0}, [2]float32{x, y}, "in samples")
}

func TestLikeness(t *testing.T) {
	const w, h = 120, 80
	from, to := pair(turn(2, 1), w, h)
	p, err := NewPicture(t.Context(), from, 1)
	require.NoError(t, err)
	q, err := NewPicture(t.Context(), to, 1)
	require.NoError(t, err)
	f, err := Between(t.Context(), p, q, 1)
	require.NoError(t, err)
	assert.Greater(t, f.Likeness(p, q, 1), 0.95, "carried")
	assert.Less(t, Still(w, h).Likeness(p, q, 1), f.Likeness(p, q, 1), "where it was")
	negative := colour.NewPlane(w, h)
	for i, v := range from.Pix {
		negative.Pix[i] = 1 - v
	}
	n, err := NewPicture(t.Context(), negative, 1)
	require.NoError(t, err)
	assert.InDelta(t, -1, Still(w, h).Likeness(p, n, 1), 1e-6)
	even, err := NewPicture(t.Context(), colour.NewPlane(w, h), 1)
	require.NoError(t, err)
	assert.Zero(t, Still(w, h).Likeness(p, even, 1))
}
