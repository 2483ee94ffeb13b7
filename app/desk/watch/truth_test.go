package watch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

func TestAgainstTruth(t *testing.T) {
	matte := colour.Plane{W: 4, H: 1, Pix: []float32{1, 0.5, 0, 1}}
	truth := colour.Plane{W: 4, H: 1, Pix: []float32{1, 1, 0, 0}}
	c, err := againstTruth(t.Context(), matte, truth)
	require.NoError(t, err)
	assert.InDelta(t, 1.5/3, c.Overlap, 1e-9)
	assert.InDelta(t, 0.25, c.Missed, 1e-9)
	assert.InDelta(t, 0.5, c.Extra, 1e-9)

	empty := colour.NewPlane(4, 1)
	c, err = againstTruth(t.Context(), empty, empty)
	require.NoError(t, err)
	assert.Equal(t, comparison{Overlap: 1}, c)
	_, err = againstTruth(t.Context(), matte, colour.NewPlane(2, 2))
	assert.EqualError(t, err, "check: the matte is 4 x 1, its truth 2 x 2")
}
