package staging

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/scene"
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
		take, err := Make(t.Context(), t.TempDir(), seed, scene.Width, scene.Height, 1)
		require.NoError(t, err)
		q := render.Request{Study: take.Study, Settings: &take.Study.Mattes[0].Settings, Frame: take.Study.Clip.First}
		f := scoreWays(t, take.Renderer, q, take.Frame.Skin, nil)
		assert.Greater(t, f.both, f.mask, "seed %d", seed)
		bed := scoreSand(t, take)
		came, err := take.Score(t.Context())
		require.NoError(t, err)
		require.NoError(t, take.SetBase(t.Context()))
		require.NoError(t, take.Fit(t.Context()))
		based, err := take.Score(t.Context())
		require.NoError(t, err)
		b := scoreWays(t, take.Renderer, q, take.Frame.Skin, nil)
		bedBased := scoreSand(t, take)
		t.Logf("seed %2d %s; %s; %.3f | %s; %s; %.3f; %.3f %.3f", seed, f, bed, *came[2].Scores.IoU,
			b, bedBased, *based[2].Scores.IoU, came[0].Separation.Pick.Could.Value, based[0].Separation.Pick.Could.Value)
		share := 1 / float64(seeds)
		sand, sandBased = sand.plus(bed, share), sandBased.plus(bedBased, share)
		water += *came[2].Scores.IoU * share
		waterBased += *based[2].Scores.IoU * share
		ways = ways.plus(f, share)
		before += came[0].Separation.Pick.Could.Value / float64(seeds)
		after += based[0].Separation.Pick.Could.Value / float64(seeds)
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
