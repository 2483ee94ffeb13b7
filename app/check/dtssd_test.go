package check

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// Erofeev et al. 2015, worked with a general library.
func TestWorkedDtSSD(t *testing.T) {
	p := pair(t)
	got, err := DtSSD(t.Context(), p["pred_t0"], p["pred_t1"], p["gt_t0"], p["gt_t1"])
	require.NoError(t, err)
	rows := testdata.Table(t, "matte_dtssd.csv")
	require.Len(t, rows, 2)
	assert.InEpsilon(t, rows[0].Number("value"), got, 1e-6)
	assert.InEpsilon(t, rows[1].Number("value"), 100*got/16, 1e-6, "of 16 x 16 pixels")
}

// By hand: the first pixel changes by 0.5 more than its truth, the second by 1 less,
// the third as it does.
func TestDtSSD(t *testing.T) {
	got, err := DtSSD(t.Context(), plane(3, 1, 0, 0.5, 0), plane(3, 1, 1, 0.5, 1), plane(3, 1, 0, 0, 0), plane(3, 1, 0.5, 1, 1))
	require.NoError(t, err)
	assert.InDelta(t, math.Sqrt(0.25+1), got, 1e-12)
	_, err = DtSSD(t.Context(), plane(1, 1, 0), plane(3, 1, 1, 0.5, 1), plane(3, 1, 0, 0, 0), plane(3, 1, 0.5, 1, 1))
	require.EqualError(t, err, "check: the matte is 3 x 1, another of the four planes 1 x 1")
	_, err = DtSSD(t.Context(), colour.Plane{}, colour.Plane{}, colour.Plane{}, colour.Plane{})
	require.EqualError(t, err, "check: the matte is empty")
}
