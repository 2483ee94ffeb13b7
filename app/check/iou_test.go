package check

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// Minima 0.5 + 0 + 0.25, maxima 1 + 1 + 0.5, by hand; and as Score has it.
func TestIoUAlone(t *testing.T) {
	matte, truth := colour.NewPlane(3, 1), colour.NewPlane(3, 1)
	copy(matte.Pix, []float32{0.5, 1, 0.25})
	copy(truth.Pix, []float32{1, 0, 0.5})
	v, err := IoU(t.Context(), matte, truth)
	require.NoError(t, err)
	require.NotNil(t, v)
	assert.InDelta(t, 0.75/2.5, *v, 1e-12)
	s, err := Score(t.Context(), matte, truth, nil)
	require.NoError(t, err)
	assert.Equal(t, s.IoU, v)

	_, err = IoU(t.Context(), matte, colour.NewPlane(2, 1))
	assert.EqualError(t, err, "check: the matte is 3 x 1, its truth 2 x 1")
	v, err = IoU(t.Context(), colour.NewPlane(2, 2), colour.NewPlane(2, 2))
	require.NoError(t, err)
	assert.Nil(t, v, "both are empty")
}
