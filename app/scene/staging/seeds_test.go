package staging

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// scoreSkin is scoreWays of a scene's skin.
func scoreSkin(t *testing.T, take *Take) threeWays {
	t.Helper()
	return scoreWays(t, take.Renderer, take.request(0, take.Study.Clip.First), take.Frame.Skin, nil)
}

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
		take, takeBased := stillOf(t, seed)
		f := scoreSkin(t, take)
		assert.Greater(t, f.both, f.mask, "seed %d", seed)
		bed := scoreSand(t, take)
		came, err := take.Score(t.Context())
		require.NoError(t, err)
		based, err := takeBased.Score(t.Context())
		require.NoError(t, err)
		b := scoreSkin(t, takeBased)
		bedBased := scoreSand(t, takeBased)
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
