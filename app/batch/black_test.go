package batch

import (
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// The verb takes black off before grey, and black counts where the veil would.
func TestBaseTakesBlackOff(t *testing.T) {
	b := newBeach(t)
	veiled := result[baseResult](t, "base", b.picture, "--water", "80,20,10", "--type", "IB", "--path", "2", "--grey", "80,110,6")
	made := result[baseResult](t, "base", veiled.Study, "--black", "80,20,10", "--grey", "80,110,6")
	for c := range 3 {
		require.Positive(t, made.Base.Black[c])
		require.Less(t, made.Base.Black[c], veiled.Base.Veil[c], "nine tenths of the darkest of what was the water")
		require.Equal(t, veiled.Base.Veil[c], made.Base.Veil[c], "the veil stays, and does not count")
	}
	require.NotEqual(t, veiled.Base.Gains, made.Base.Gains)
	require.Less(t, *made.Spread, 1e-4, "grey after black")
	s, err := study.Load(made.Study)
	require.NoError(t, err)
	at := s.Base.At(s.Clip.First)
	require.Equal(t, at.Black, at.Steps().Haze)

	back := result[baseResult](t, "base", made.Study, "--no-black", "--grey", "80,110,6")
	require.Zero(t, back.Base.Black)
	require.Equal(t, veiled.Base.Gains, back.Base.Gains)

	keyed := result[baseResult](t, "base", made.Study, "--black", "80,20,10", "--key")
	s, err = study.Load(keyed.Study)
	require.NoError(t, err)
	require.Len(t, s.Base.Black[0].Keys, 1)

	status, _, stderr := run(t, "base", made.Study, "--black", "900,20,10")
	require.Equal(t, failed, status)
	require.Equal(t, "halocline-batch: base: --black 900,20,10 lies outside the picture, want a place within 160 x 120\n", stderr)
	status, _, stderr = run(t, "base", made.Study, "--black", "80,20,10", "--no-black")
	require.Equal(t, misused, status)
	require.Contains(t, stderr, "--black and --no-black exclude each other")
}
