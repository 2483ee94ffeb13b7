package staging

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/gonum/stat"

	"halocline/colour"
)

// pastedClips are of real people: each moves in several ways.
func pastedClips(t *testing.T, folder string) []*pastedClip {
	t.Helper()
	over := func(name string) *colour.Image {
		return deserted(readLabelled(t, folder, name))
	}
	cut := func(name string, x, y float64) *cutOut { return cutOutOf(t, folder, name, x, y) }
	return []*pastedClip{
		{
			name: "shift, grain", over: over("d_r_312_"), drift: 0.02, grain: 0.02,
			subject: pastedLayer{what: cut("d_r_196_", 0.79, 0.37), height: 0.6, x: 0.6, y: 0.5, across: 0.5, down: 0.1},
		},
		{
			name: "turn, growth", over: over("d_r_196_"), drift: 0.03, grain: 0.01,
			subject: pastedLayer{what: cut("n_l_42_", 0.62, 0.3), height: 0.5, x: 0.8, y: 0.5, turn: 0.6, grow: 1.3, across: 0.1},
		},
		{
			name: "bending limbs", over: over("n_l_49_"), drift: 0.02, grain: 0.01,
			subject: pastedLayer{what: cut("d_r_196_", 0.3, 0.3), height: 0.7, x: 0.9, y: 0.5, bend: 0.1, across: -0.15},
		},
		{
			name: "occlusion", over: over("d_r_196_"), drift: -0.02, grain: 0.01,
			subject: pastedLayer{what: cut("n_l_49_", 0.48, 0.34), height: 0.55, x: 0.9, y: 0.45, across: 0.1, turn: -0.1},
			before:  &pastedLayer{what: cut("d_r_195_", 0.8, 0.75), height: 0.6, x: 0.2, y: 0.8, across: 1.1},
		},
		{
			name: "shift, blur", over: over("n_l_42_"), drift: 0.02, blur: true, grain: 0.01,
			subject: pastedLayer{what: cut("d_r_195_", 0.55, 0.2), height: 0.7, x: 0.5, y: 0.45, across: 0.8, bend: 0.03},
		},
		{
			name: "all of these", over: over("d_r_312_"), drift: 0.04, blur: true, grain: 0.02,
			subject: pastedLayer{what: cut("d_r_196_", 0.79, 0.37), height: 0.6, x: 1.2, y: 0.5, across: -0.45, down: -0.1, turn: -0.4, grow: 1.2, bend: 0.06},
			before:  &pastedLayer{what: cut("d_r_195_", 0.55, 0.2), height: 0.5, x: 0.2, y: 0.9, across: 0.6},
		},
	}
}

// Masks about real people that move in known ways. HALOCLINE_FOLLOW, set to anything, asks for
// it: it takes minutes.
func TestFollowedMasksOnPastedClips(t *testing.T) {
	folder := openData(t)
	if os.Getenv("HALOCLINE_FOLLOW") == "" {
		t.Skip("HALOCLINE_FOLLOW not set")
	}
	var plain, found []float64
	for _, p := range pastedClips(t, folder) {
		r := trialOf(p.strip())
		keys := keysEvery(24, r.strip.count())
		straightAlone := r.run(t, straight, keys)
		hand := r.hand(t)
		t.Logf("%-13s: hand on every frame: mean %.3f", p.name, stat.Mean(hand, nil))
		for _, w := range maskWays {
			s := r.run(t, w, keys)
			over, at := s.worstAgainst(straightAlone.ious)
			t.Logf("%-13s: %-20s: mean %.3f, least %.3f, against straight at worst %+.3f on frame %d",
				p.name, w.name, s.mean(), s.least(), over, at)
			r.look(t, w, keys, at, p.name+", "+w.name)
			if w == followToEdge {
				found = append(found, s.mean())
			}
		}
		plain = append(plain, straightAlone.mean())
	}
	assert.Greater(t, stat.Mean(found, nil), stat.Mean(plain, nil)+0.1)
}
