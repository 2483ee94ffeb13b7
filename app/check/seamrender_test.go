package check

import (
	"fmt"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
)

// trialled is a reel's red with a trial and its frame's request.
func trialled(t *testing.T, r *reel) (*render.Renderer, render.Request) {
	t.Helper()
	s := r.shot(t, 1, nil)
	require.NoError(t, s.Settings.Trial.SetCDL(1, warmTrial(1)))
	s.Settings.Edge.Despeckle = study.Constant(0)
	return render.New(r, 1, render.DefaultCache/16), render.Request{Study: s.Study, Settings: s.Settings, Frame: 1}
}

func TestSeamOn(t *testing.T) {
	film := &reel{w: 320, h: 180, left: standing, sigma: 0.01}
	r, q := trialled(t, film)
	q.Settings.Edge.Soften = study.Constant(2)
	f, err := SeamOn(t.Context(), r, q, 1)
	require.NoError(t, err)

	shown, err := r.Shown(t.Context(), q)
	require.NoError(t, err)
	soft, err := r.Matte(t.Context(), q)
	require.NoError(t, err)
	bare := q
	settings := *q.Settings
	settings.Edge.Soften = study.Constant(0)
	bare.Settings = &settings
	before, err := r.Matte(t.Context(), bare)
	require.NoError(t, err)
	plain := seamOf(t, shown, before)
	change := plain.Change(warmTrial(1).Colour)
	assert.Equal(t, change, f.Trial())
	got, err := f.Judge(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, judgedBy(t, plain, soft, change), got)
	assert.Greater(t, got.Bleed, 5*got.Rim)
	assert.Equal(t, 2., q.Settings.Edge.Soften.At(1), "the settings stay")

	sweep, err := f.Sweep(t.Context(), []float64{0, 0.375, 1.5, 3.375, 6}, 1)
	require.NoError(t, err)
	assert.Less(t, sweep.Best, 0.5, "the square has no blur")

	q.Settings.Trial.Off = true
	off, err := SeamOn(t.Context(), r, q, 1)
	require.NoError(t, err)
	none, err := off.Judge(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, SeamFigures{EdgeMismatch: got.EdgeMismatch}, none)
	q.Settings = nil
	_, err = SeamOn(t.Context(), r, q, 1)
	assert.EqualError(t, err, "check: a seam needs a matte's settings")
}

// On proxies and parts the pieces of the outline lie where they do in the source.
func TestSeamOnProxiesAndParts(t *testing.T) {
	film := &reel{w: 960, h: 400, left: func(int) int { return 300 }}
	for _, factor := range []int{1, 2, 3} {
		for _, region := range []image.Rectangle{{}, image.Rect(255, 3, 480, 151)} {
			t.Run(fmt.Sprint(factor, region), func(t *testing.T) {
				r, q := trialled(t, film)
				q.Factor, q.Region = factor, region
				f, err := SeamOn(t.Context(), r, q, 1)
				require.NoError(t, err)
				assert.InDelta(t, 18, f.factor()*f.distance(f.band.bins()-1), 3)
				pieces, err := f.Along(t.Context())
				require.NoError(t, err)
				require.NotEmpty(t, pieces)
				low, high := [2]float64{1e9, 1e9}, [2]float64{}
				for _, p := range pieces {
					low = [2]float64{math.Min(low[0], float64(p.X0)), math.Min(low[1], float64(p.Y0))}
					high = [2]float64{math.Max(high[0], float64(p.X1)), math.Max(high[1], float64(p.Y1))}
				}
				within := 0.6 * float64(factor)
				assert.InDelta(t, 300, low[0], within)
				assert.InDelta(t, squareTop, low[1], within)
				assert.InDelta(t, 300+squareSide, high[0], within)
				assert.InDelta(t, squareTop+squareSide, high[1], within)
			})
		}
	}
}

// A frame that nothing is selected on has no seam, and says so.
func TestNoSeamOnAFrame(t *testing.T) {
	film := &reel{w: 320, h: 180, left: func(int) int { return 1000 }}
	r, q := trialled(t, film)
	_, err := SeamOn(t.Context(), r, q, 1)
	assert.Equal(t, NoSeamError{"the matte is nowhere one half or more"}, err)
	film.broken = 1
	r, q = trialled(t, film)
	_, err = SeamOn(t.Context(), r, q, 1)
	assert.ErrorIs(t, err, errBroken)
}

// A shot's frames have a seam where the trial changes something, and are judged
// anew where it does so otherwise.
func TestSeamOfAShot(t *testing.T) {
	film := &reel{w: 320, h: 180, left: func(n int) int { return 50 + 1000*(n/3) }, sigma: 0.01}
	s := film.shot(t, 3, nil)
	line := Timeline{}
	judge := func() []Judged {
		missing := line.Update(s)
		require.Equal(t, []int{1, 2, 3}, missing)
		require.NoError(t, s.Each(t.Context(), missing, line.Add))
		return line.Judged()
	}
	for _, f := range judge() {
		require.Nil(t, f.Seam)
	}
	require.NoError(t, s.Settings.Trial.SetCDL(1, warmTrial(1)))
	all := judge()
	require.NotNil(t, all[0].Seam)
	assert.Greater(t, all[0].Seam.Misfit, 0.)
	require.NotNil(t, all[1].Seam)
	assert.Nil(t, all[2].Seam, "the matte is empty")
	assert.Equal(t, 2, line.Summary().Misfit.Frames)

	f, err := SeamOn(t.Context(), render.New(film, 1, render.DefaultCache/16), render.Request{Study: s.Study, Settings: s.Settings, Frame: 1}, 1)
	require.NoError(t, err)
	want, err := f.Judge(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, want, *all[0].Seam)

	s.Settings.Trial.Off = true
	for _, f := range judge() {
		require.Nil(t, f.Seam)
	}
}
