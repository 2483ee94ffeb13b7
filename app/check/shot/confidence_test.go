package shot

import (
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/mask"
)

// followedShot is a shot of a square that moves, with a mask that follows it from the first
// frame to the last.
func followedShot(t testing.TB, frames int) (*Shot, *reel) {
	r := &reel{w: 200, h: 120, left: func(n int) int { return 30 + 3*n }, sigma: 0.01}
	square := func(n int) []mask.Point {
		x := float64(r.left(n))
		return rectangle(x-2, squareTop-2, x+squareSide+2, squareTop+squareSide+2)
	}
	s := r.shot(t, frames, map[int][]mask.Point{1: square(1), frames: square(frames)})
	s.Settings.Masks[0].Keys[0].Way = mask.Follow
	return s, r
}

// The workers of a shot carry a stretch once between them.
func TestWorkersShareWhatIsCarried(t *testing.T) {
	s, _ := followedShot(t, 6)
	p, err := s.prepare(t.Context())
	require.NoError(t, err)
	ask := render.Request{Study: s.Study, Settings: s.Settings, Frame: 4}
	first, second := p.renderers.New().(*render.Renderer), p.renderers.New().(*render.Renderer)
	want, err := first.Mask(t.Context(), ask)
	require.NoError(t, err)
	require.Positive(t, first.Runs()[render.FindFlow])
	got, err := second.Mask(t.Context(), ask)
	require.NoError(t, err)
	require.Zero(t, second.Runs()[render.FindFlow])
	require.Equal(t, want, got)
}

func TestFollowedFramesHaveAConfidence(t *testing.T) {
	s, _ := followedShot(t, 5)
	all := judgedFrames(t, s)
	for n := 1; n <= 5; n++ {
		if n == 1 || n == 5 {
			require.Nil(t, all[n].Confidence, "a key")
			require.Empty(t, all[n].Sure)
			continue
		}
		require.Greater(t, *all[n].Confidence, Doubtful, "frame %d", n)
		require.LessOrEqual(t, *all[n].Confidence, 1.0)
		require.Equal(t, []MaskSure{{Mask: s.Settings.Masks[0].ID, Confidence: *all[n].Confidence}}, all[n].Sure)
	}

	// Where a key lies elsewhere, its outline and that of the other key part on the way.
	s.Settings.Masks[0].Keys[1].Points = rectangle(150, 80, 195, 118)
	line := new(Timeline)
	line.Update(s)
	require.NoError(t, s.Each(t.Context(), s.Frames, func(f Frame) { line.Add(f) }))
	require.Less(t, line.Summary().Confidence.Most, Doubtful)
	require.Equal(t, 3, line.Summary().Confidence.Frames)
	told := map[int]string{}
	for _, f := range line.Worst(10) {
		told[f.Frame] = f.Sentence
	}
	require.Contains(t, told[2]+told[3]+told[4], "the mask may have lost it here: set a key")
}

// Doubt is told on the frame itself, where the key is to be set, and the more the less likely an
// outline is right.
func TestDoubtStandsOut(t *testing.T) {
	likely := map[int]float64{4: 0.59, 9: 0.3, 10: 0, 11: 0.61}
	all := clipOf(16, func(n int) (f Frame) {
		if c, ok := likely[n]; ok {
			f.Confidence = &c
		}
		return f
	})
	compare(all)
	for i, want := range map[int]float64{4: 4.575, 9: 6.75, 10: 9, 11: 0, 12: 0} {
		require.InDelta(t, want, all[i-1].Badness, 1e-9, "frame %d", i)
	}
	found := worstOf(all, nil, 5)
	require.Len(t, found, 2)
	require.Equal(t, []int{10, 4}, []int{found[0].Frame, found[1].Frame})
	require.Equal(t, "the mask may have lost it here: set a key (confidence 0.00)", found[0].Sentence)
	require.True(t, found[1].StandsOut())
}
