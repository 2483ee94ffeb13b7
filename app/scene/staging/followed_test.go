package staging

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat"

	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A maskWay is how a mask goes from key to key, and beyond the first and the last.
type maskWay struct {
	name   string
	way    mask.Way
	search bool
	beyond mask.Beyond
}

var (
	straight       = maskWay{name: "straight"}
	straightToEdge = maskWay{name: "straight, edge found", search: true}
	follow         = maskWay{name: "follow", way: mask.Follow, beyond: mask.Follows}
	followToEdge   = maskWay{name: "follow, edge found", way: mask.Follow, search: true, beyond: mask.Follows}
	maskWays       = []maskWay{straight, straightToEdge, follow, followToEdge}
)

// A trial is a shot on which a mask is tried with keys and ways of several kinds.
type trial struct {
	strip    *strip
	renderer *render.Renderer
}

// trialBytes is what a trial's renderer keeps: the motion of some hundred frames and more.
const trialBytes = 3 << 30

func trialOf(s *strip) *trial { return &trial{s, render.New(s, 0, trialBytes)} }

// frameScores are, for each frame, the IoU of a mask and how sure it is of its outline.
type frameScores struct{ ious, sure []float64 }

func (s frameScores) mean() float64  { return stat.Mean(s.ious, nil) }
func (s frameScores) least() float64 { return slices.Min(s.ious) }

// at is the IoU on a frame.
func (s frameScores) at(frame int) float64 { return s.ious[frame-1] }

// worstAgainst returns by how much it lies over another where it does least well, and the frame.
func (s frameScores) worstAgainst(other []float64) (over float64, frame int) {
	for i, v := range s.ious {
		if d := v - other[i]; frame == 0 || d < over {
			over, frame = d, i+1
		}
	}
	return over, frame
}

// run scores a mask with keys on some frames.
func (r *trial) run(t *testing.T, w maskWay, frames []int) (out frameScores) {
	t.Helper()
	s, set := r.study(t, w, frames)
	for n := 1; n <= r.strip.count(); n++ {
		q := render.Request{Study: s, Settings: set, Frame: n}
		m, err := r.renderer.Mask(t.Context(), q)
		require.NoError(t, err)
		o, err := r.renderer.Outlines(t.Context(), q)
		require.NoError(t, err)
		out.ious = append(out.ious, iouOf(t, m, r.strip.truth(n), nil))
		out.sure = append(out.sure, o[0].Confidence)
	}
	return out
}

// study has a matte of one mask, drawn by hand on some frames.
func (r *trial) study(t *testing.T, w maskWay, frames []int) (*study.Study, *study.Settings) {
	t.Helper()
	_, h := r.strip.size()
	track := mask.Track{Keys: handKeys(t, r.strip, frames), Before: w.beyond, After: w.beyond}
	if w.search {
		track.Search = searchDepth * float64(h) / scene.Height
	}
	for i := range track.Keys {
		track.Keys[i].Way = w.way
	}
	s := study.New(study.Clip{Path: "shot", First: 1, Count: r.strip.count(), Noise: colour.Noise(r.strip.frames[0])})
	set := study.NewSettings(selection.LCh)
	set.Masks = []study.Mask{{ID: 1, Kind: study.Keep, Track: track}}
	return s, &set
}

// hand scores the outlines that a hand draws on every frame, as they are drawn.
func (r *trial) hand(t *testing.T) []float64 {
	t.Helper()
	return r.run(t, straight, keysEvery(1, r.strip.count())).ious
}

// Masks between keys: straight, or with the picture's motion, with and without edge search.
func TestFollowedMasksStayOnTheSubject(t *testing.T) {
	const count = 13
	r := trialOf(stripOf(t, 1, scene.Width/2, count, 0))
	of := func(w maskWay) frameScores { return r.run(t, w, []int{1, count}) }
	scores := of(followToEdge)
	for _, w := range maskWays {
		t.Logf("%-20s: mean %.3f, least %.3f", w.name, of(w).mean(), of(w).least())
	}
	assert.GreaterOrEqual(t, scores.least(), min(scores.at(1), scores.at(count))-0.05, "no frame falls far under its keys")
	assert.Greater(t, slices.Min(scores.sure), 0.6)
	assert.Greater(t, of(follow).mean(), of(straight).mean())
	assert.Greater(t, scores.mean(), of(straightToEdge).mean()+0.02)
	assert.Greater(t, scores.mean(), of(straight).mean()+0.05)
}
