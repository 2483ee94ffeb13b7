package batch

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/sample"
)

// TestTenScenes fits skin, sand and water on ten scenes, skin and sand by mask,
// pick and both: as they came, and after a base from slate and open water, which
// must not make colour separate skin worse from what was dabbed to drop.
func TestTenScenes(t *testing.T) {
	seeds := 10
	if testing.Short() {
		seeds = 1
	}
	var ways threeWays
	var before, after float64
	var sand, sandBased threeWays
	var water, waterBased float64
	t.Log("IoU of skin by mask, pick, both; of sand likewise; of water | the same after base; separation of skin before, after")
	for seed := 1; seed <= seeds; seed++ {
		set, err := makeSample(t.Context(), t.TempDir(), "sample", seed, size{sample.Width, sample.Height}, 1)
		require.NoError(t, err)
		q := render.Request{Study: set.study, Settings: &set.study.Mattes[0].Settings, Frame: set.study.Clip.First}
		f := scoreWays(t, set.renderer, q, set.frame.Skin, nil)
		assert.Greater(t, f.both, f.mask, "seed %d", seed)
		bed := scoreSand(t, set)
		came, err := set.score(t.Context())
		require.NoError(t, err)
		require.NoError(t, set.setBase(t.Context()))
		require.NoError(t, set.fit(t.Context()))
		based, err := set.score(t.Context())
		require.NoError(t, err)
		b := scoreWays(t, set.renderer, q, set.frame.Skin, nil)
		bedBased := scoreSand(t, set)
		t.Logf("seed %2d %s; %s; %s | %s; %s; %s; %.3f %.3f", seed, f, bed, ratio(came[2].scores.IoU),
			b, bedBased, ratio(based[2].scores.IoU), came[0].separation.Pick.Could.Value, based[0].separation.Pick.Could.Value)
		share := 1 / float64(seeds)
		sand, sandBased = sand.plus(bed, share), sandBased.plus(bedBased, share)
		water += *came[2].scores.IoU * share
		waterBased += *based[2].scores.IoU * share
		ways = ways.plus(f, share)
		before += came[0].separation.Pick.Could.Value / float64(seeds)
		after += based[0].separation.Pick.Could.Value / float64(seeds)
	}
	t.Logf("mean %s; %s; %.3f | %s; %.3f; separation of skin %.3f as they came, %.3f after base", ways, sand, water, sandBased, waterBased, before, after)
	if seeds > 1 {
		ways.check(t)
		assert.GreaterOrEqual(t, after, before)
		for _, f := range []threeWays{sand, sandBased} {
			assert.GreaterOrEqual(t, f.both, 0.80)
			assert.Greater(t, f.both, f.pick+0.1)
			assert.Greater(t, f.both, f.mask)
		}
		assert.GreaterOrEqual(t, water, 0.80)
		assert.GreaterOrEqual(t, waterBased, 0.80)
	}
}
