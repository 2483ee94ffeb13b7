package staging

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// iouOf returns the IoU where the truth is known: everywhere where unknown is nil.
func iouOf(t *testing.T, matte, truth colour.Plane, unknown *colour.Plane) float64 {
	if unknown == nil {
		iou, err := check.IoU(t.Context(), matte, truth)
		require.NoError(t, err)
		return *iou
	}
	s, err := check.Score(t.Context(), matte, truth, unknown)
	require.NoError(t, err)
	return *s.IoU
}

// threeWays is the IoU of a keep mask alone, of the pick alone, and of both with
// the default edge.
type threeWays struct{ mask, pick, both float64 }

func scoreWays(t *testing.T, r *render.Renderer, q render.Request, truth colour.Plane, unknown *colour.Plane) threeWays {
	alone, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	pick, err := r.Pick(t.Context(), q)
	require.NoError(t, err)
	both, err := r.Matte(t.Context(), q)
	require.NoError(t, err)
	return threeWays{iouOf(t, alone, truth, unknown), iouOf(t, pick, truth, unknown), iouOf(t, both, truth, unknown)}
}

func (a threeWays) plus(b threeWays, share float64) threeWays {
	return threeWays{a.mask + b.mask*share, a.pick + b.pick*share, a.both + b.both*share}
}

// A mask and a pick together must do far more than either alone.
func (mean threeWays) check(t *testing.T) {
	assert.GreaterOrEqual(t, mean.both, mean.mask+0.25*(1-mean.mask))
	assert.LessOrEqual(t, mean.pick, mean.both-0.25)
}

func (a threeWays) String() string { return fmt.Sprintf("%.3f %.3f %.3f", a.mask, a.pick, a.both) }

// maskAll gives the matte one keep mask about all of the truth.
func maskAll(s *study.Study, m *study.Matte, truth colour.Plane, frame int) {
	points := hullOf(truth, 0, truth.W, skinVertices).outline(skinClear)
	s.AddMask(m, wholeName, study.Keep, skinKey(frame, points))
}
