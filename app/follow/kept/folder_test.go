package kept

import (
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func digest(of string) string {
	sum := sha256.Sum256([]byte(of))
	return hex.EncodeToString(sum[:])
}

func TestWhatIsSavedIsLoaded(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "dive.cache")
	f := New(dir, DefaultMost, func(s string) { t.Errorf("told %q", s) })
	_, ok := f.Load(digest("a"))
	require.False(t, ok)
	require.NoDirExists(t, dir, "it is made when it is needed")
	f.Save(digest("a"), []byte("one"))
	f.Save(digest("b"), nil)
	f.Save(digest("a"), []byte("two"))
	for _, from := range []*Folder{f, New(dir, DefaultMost, nil)} {
		got, ok := from.Load(digest("a"))
		require.True(t, ok)
		require.Equal(t, "two", string(got))
		got, ok = from.Load(digest("b"))
		require.True(t, ok)
		require.Empty(t, got)
		require.True(t, from.Has(digest("b")))
	}
	f.Drop(digest("a"))
	_, ok = f.Load(digest("a"))
	require.False(t, ok)
	require.False(t, f.Has(digest("a")))
}

// What is not whole, or not what its name says, is not read: it is told once, and a new file
// takes its place.
func TestSpoiltFilesAreNotRead(t *testing.T) {
	dir := t.TempDir()
	New(dir, DefaultMost, nil).Save(digest("a"), []byte("the outline of a limb"))
	path := filepath.Join(dir, digest("a")+outlines.ending)
	good, err := os.ReadFile(path)
	require.NoError(t, err)
	flipped := append([]byte{}, good...)
	flipped[len(flipped)-40] ^= 1
	for name, c := range map[string]struct {
		text []byte
		says string
	}{
		"empty":   {nil, "0 bytes"},
		"cut":     {good[:len(good)-1], "changed or cut"},
		"longer":  {append(append([]byte{}, good...), 'x'), "changed or cut"},
		"flipped": {flipped, "changed or cut"},
		"foreign": {[]byte(strings.Repeat("somebody's letter ", 20)), "no file of outlines"},
		"another": {outlines.sealed(digest("b"), []byte("x")), "another name"},
	} {
		require.NoError(t, os.WriteFile(path, c.text, 0o600))
		var told []string
		f := New(dir, DefaultMost, func(s string) { told = append(told, s) })
		for range 2 {
			_, ok := f.Load(digest("a"))
			require.False(t, ok, name)
		}
		require.Len(t, told, 1, name)
		require.Contains(t, told[0], path)
		require.Contains(t, told[0], c.says)
		require.NotContains(t, told[0], "\n")
		f.Save(digest("a"), []byte("anew"))
		got, ok := f.Load(digest("a"))
		require.True(t, ok, name)
		require.Equal(t, "anew", string(got))
	}
}

// All together take no more than the folder may: those used longest ago go, and files of others
// stay.
func TestTheFolderIsBounded(t *testing.T) {
	dir := t.TempDir()
	letter, dead, young := filepath.Join(dir, "letter.txt"), filepath.Join(dir, outlines.unfinished()+"1"), filepath.Join(dir, outlines.unfinished()+"2")
	for _, path := range []string{letter, dead, young} {
		require.NoError(t, os.WriteFile(path, make([]byte, 5000), 0o600))
	}
	long := time.Now().Add(-2 * stale)
	require.NoError(t, os.Chtimes(dead, long, long))
	const each = 1000
	f := New(dir, 10*(each+72), nil)
	name := func(i int) string { return digest(strings.Repeat("x", i+1)) }
	for i := range 10 {
		f.Save(name(i), make([]byte, each))
		at := time.Now().Add(time.Duration(i-100) * time.Minute)
		require.NoError(t, os.Chtimes(f.file(name(i)), at, at))
	}
	_, ok := f.Load(name(0)) // used last
	require.True(t, ok)
	f.Save(name(10), make([]byte, each))
	var left []int
	for i := range 11 {
		if f.Has(name(i)) {
			left = append(left, i)
		}
	}
	require.Equal(t, []int{0, 3, 4, 5, 6, 7, 8, 9, 10}, left, "nine tenths of ten")
	require.FileExists(t, letter)
	require.FileExists(t, young)
	require.NoFileExists(t, dead)
	for range 30 {
		f.Save(name(20), make([]byte, each)) // in its own place
	}
	require.True(t, f.Has(name(10)))
}

func TestAFolderThatCannotBe(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	var told []string
	f := New(filepath.Join(file, "cache"), DefaultMost, func(s string) { told = append(told, s) })
	f.Save(digest("a"), []byte("x"))
	f.Save(digest("b"), []byte("x"))
	require.Len(t, told, 1)
	require.Contains(t, told[0], "cannot be kept")
	require.False(t, f.Has(digest("a")))
	if runtime.GOOS != "windows" && os.Geteuid() != 0 {
		locked := t.TempDir()
		require.NoError(t, os.Chmod(locked, 0o500))
		told = nil
		f = New(locked, DefaultMost, func(s string) { told = append(told, s) })
		f.Save(digest("a"), []byte("x"))
		require.Len(t, told, 1)
	}
}
