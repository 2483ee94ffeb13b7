package batch

import (
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/sample"
)

// TestBaseHelpsOnTheSample fits skin on ten scenes as they came and after a base
// from slate and open water, and compares how far colour parts it from what was
// dabbed to drop.
func TestBaseHelpsOnTheSample(t *testing.T) {
	seeds := 10
	if testing.Short() {
		seeds = 1
	}
	var before, after float64
	t.Log("skin: IoU, balanced accuracy, parted (dabs left out), plane | the same after base")
	for seed := 1; seed <= seeds; seed++ {
		set, err := makeSample(t.Context(), t.TempDir(), "sample", seed, size{sample.Width, sample.Height})
		require.NoError(t, err)
		flat, err := set.judge(t.Context())
		require.NoError(t, err)
		require.NoError(t, set.setBase(t.Context()))
		require.NoError(t, set.fit(t.Context()))
		based, err := set.judge(t.Context())
		require.NoError(t, err)
		f, b := flat[0], based[0]
		t.Logf("seed %2d %s %s %.3f %.3f | %s %s %.3f %.3f", seed,
			ratio(f.scores.IoU), ratio(f.scores.BalancedAccuracy), f.parted.Pick.Could.Value, f.parted.Plane.Could.Value,
			ratio(b.scores.IoU), ratio(b.scores.BalancedAccuracy), b.parted.Pick.Could.Value, b.parted.Plane.Could.Value)
		before += f.parted.Pick.Could.Value / float64(seeds)
		after += b.parted.Pick.Could.Value / float64(seeds)
	}
	t.Logf("parted in the mean: %.3f as it came, %.3f after base", before, after)
	require.GreaterOrEqual(t, after, before-0.005)
}
