package batch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/sample"
)

// TestTenScenes fits skin on ten scenes: as they came, by mask, pick and both;
// and after a base from slate and open water, which must not make colour part
// skin worse from what was dabbed to drop.
func TestTenScenes(t *testing.T) {
	seeds := 10
	if testing.Short() {
		seeds = 1
	}
	var ways threeWays
	var before, after float64
	t.Log("IoU of skin by mask, pick, both; of sand, water | pick after base; parted before, after; sand, water after base")
	for seed := 1; seed <= seeds; seed++ {
		set, err := makeSample(t.Context(), t.TempDir(), "sample", seed, size{sample.Width, sample.Height})
		require.NoError(t, err)
		q := render.Request{Study: set.study, Settings: &set.study.Mattes[0].Settings, Frame: set.study.Clip.First}
		f := judgeWays(t, set.renderer, q, set.frame.Skin, nil)
		assert.Greater(t, f.both, f.mask, "seed %d", seed)
		came, err := set.judge(t.Context())
		require.NoError(t, err)
		require.NoError(t, set.setBase(t.Context()))
		require.NoError(t, set.fit(t.Context()))
		based, err := set.judge(t.Context())
		require.NoError(t, err)
		b := judgeWays(t, set.renderer, q, set.frame.Skin, nil)
		t.Logf("seed %2d %.3f %.3f %.3f; %s %s | %.3f %.3f; %.3f %.3f; %s %s", seed, f.mask, f.pick, f.both,
			ratio(came[1].scores.IoU), ratio(came[2].scores.IoU), b.pick, b.both,
			came[0].parted.Pick.Could.Value, based[0].parted.Pick.Could.Value,
			ratio(based[1].scores.IoU), ratio(based[2].scores.IoU))
		ways = ways.plus(f, 1/float64(seeds))
		before += came[0].parted.Pick.Could.Value / float64(seeds)
		after += based[0].parted.Pick.Could.Value / float64(seeds)
	}
	t.Logf("mean %.3f %.3f %.3f; parted %.3f as they came, %.3f after base", ways.mask, ways.pick, ways.both, before, after)
	if seeds > 1 {
		ways.check(t)
		assert.GreaterOrEqual(t, after, before)
	}
}
