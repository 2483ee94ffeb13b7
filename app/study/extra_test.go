package study

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestExtra(t *testing.T) {
	s := New(Clip{Path: filepath.Join(t.TempDir(), "a.png"), First: 1, Count: 1})
	got := map[string]float64{}
	assert.False(t, s.ReadExtra("pivots", &got), "nothing is carried")
	s.Extra = `{"theirs": [1, {"deep": "a: b, c"}]}`
	require.NoError(t, s.SetExtra("pivots", map[string]float64{"2": 0.35}))
	require.NoError(t, s.SetExtra("pivots", map[string]float64{"2": 0.25, "3": 0.5}))
	assert.True(t, s.ReadExtra("pivots", &got))
	assert.Equal(t, map[string]float64{"2": 0.25, "3": 0.5}, got)
	var theirs []any
	assert.True(t, s.ReadExtra("theirs", &theirs), "what others keep there stays")
	assert.Len(t, theirs, 2)
	assert.False(t, s.ReadExtra("theirs", &got), "of another kind")

	kept := s.Extra
	assert.Error(t, s.SetExtra("x", make(chan int)))
	assert.Equal(t, kept, s.Extra)
	for _, bad := range []string{"[1]", "{"} {
		s.Extra = bad
		assert.Error(t, s.SetExtra("x", 1))
		assert.Equal(t, bad, s.Extra)
	}

	s.Extra = kept
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, s))
	again, err := Load(path)
	require.NoError(t, err)
	assert.Equal(t, kept, again.Extra, "written as it is kept")
}
