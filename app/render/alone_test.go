package render

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What a renderer forgets it makes anew, to the same bits; masks that stand still
// stay, those that moved go.
func TestForget(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	want, err := New(s, 1, DefaultCache).Matte(t.Context(), s.request())
	require.NoError(t, err)
	r := New(s, 2, 1).Alone(1, DefaultCache)
	for range 3 {
		got, err := r.Matte(t.Context(), s.request())
		require.NoError(t, err)
		requireSame(t, want, got)
		r.Forget()
	}
	assert.Equal(t, 3, r.Runs()[Decode])
	assert.Equal(t, 1, r.Runs()[Mask])
	one := r.cache.bytes
	for range 3 {
		s.matte().Masks[0].Keys[0].Points[1].Y--
		_, err := r.Matte(t.Context(), s.request())
		require.NoError(t, err)
		r.Forget()
	}
	assert.Equal(t, 4, r.Runs()[Mask])
	assert.Equal(t, one, r.cache.bytes, "one mask is kept")
}
