package kept

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// How long following takes is kept beside the outlines, and where nothing is kept it is not.
func TestThePaceIsKept(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "dive.cache")
	f := New(dir, DefaultMost, func(s string) { t.Error(s) })
	f.SavePace(time.Second)
	_, ok := f.LoadPace()
	require.False(t, ok)
	require.NoDirExists(t, dir, "there is nothing that it would be about")
	p := NewPlace()
	p.SavePace(time.Second)
	_, ok = p.LoadPace()
	require.False(t, ok)
	f.Save(digest("a"), nil)
	p.MoveTo(f)
	p.SavePace(1234567 * time.Microsecond)
	for _, in := range []interface{ LoadPace() (time.Duration, bool) }{p, f, New(dir, DefaultMost, nil)} {
		took, ok := in.LoadPace()
		require.True(t, ok)
		require.Equal(t, 1235*time.Millisecond, took)
	}
	for _, spoilt := range []string{"", "soon", "-3s", "0s"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, paceName), []byte(spoilt), 0o600))
		_, ok := f.LoadPace()
		require.False(t, ok, spoilt)
	}
	require.Len(t, f.files(), 1, "it is none of the outlines")
}
