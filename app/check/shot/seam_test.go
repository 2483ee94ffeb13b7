package shot

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/seam"
	"halocline/app/render"
	"halocline/colour"
)

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
	warm := colour.NeutralCDL()
	warm.Slope = [3]float64{1.12, 1.03, 0.92}
	require.NoError(t, s.Settings.Trial.SetCDL(1, warm))
	all := judge()
	require.NotNil(t, all[0].Seam)
	assert.Greater(t, all[0].Seam.Misfit, 0.)
	require.NotNil(t, all[1].Seam)
	assert.Nil(t, all[2].Seam, "the matte is empty")
	assert.Equal(t, 2, line.Summary().Misfit.Frames)

	f, err := seam.On(t.Context(), render.New(film, 1, render.DefaultCache/16), render.Request{Study: s.Study, Settings: s.Settings, Frame: 1}, 1)
	require.NoError(t, err)
	want, err := f.Judge(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, want, *all[0].Seam)

	s.Settings.Trial.Off = true
	for _, f := range judge() {
		require.Nil(t, f.Seam)
	}
}
