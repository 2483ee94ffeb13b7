package kept

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
)

// holds asserts what a place or a folder has under a digest; "" for nothing.
func holds(t *testing.T, in interface {
	Load(digest string) ([]byte, bool)
	Has(digest string) bool
}, of, want string) {
	t.Helper()
	got, ok := in.Load(digest(of))
	require.Equal(t, want, string(got), of)
	require.Equal(t, want != "", ok, of)
	require.Equal(t, want != "", in.Has(digest(of)), of)
}

// What is saved before there is a folder waits, and is written once there is one.
func TestDataWaitForAFolder(t *testing.T) {
	dir := Beside(filepath.Join(t.TempDir(), "dive.halocline"))
	p := NewPlace()
	holds(t, p, "a", "")
	p.Save(digest("a"), []byte("one"))
	p.Save(digest("b"), []byte("two"))
	p.Save(digest("c"), []byte("state"))
	p.Drop(digest("c"))
	holds(t, p, "a", "one")
	holds(t, p, "c", "")
	require.Equal(t, len("onetwo"), p.bytes)
	require.NoDirExists(t, dir)
	p.MoveTo(New(dir, DefaultMost, nil))
	for of, want := range map[string]string{"a": "one", "b": "two", "c": ""} {
		holds(t, New(dir, DefaultMost, nil), of, want)
		holds(t, p, of, want)
	}
	require.Zero(t, p.bytes)
}

// What was saved and read goes along to another folder; what others left in the first stays.
func TestDataGoAlongToTheNextFolder(t *testing.T) {
	first, next := filepath.Join(t.TempDir(), "first"), filepath.Join(t.TempDir(), "next")
	New(first, DefaultMost, nil).Save(digest("read"), []byte("read"))
	New(first, DefaultMost, nil).Save(digest("other"), []byte("other"))
	New(next, DefaultMost, nil).Save(digest("made"), []byte("there"))
	p := NewPlace()
	p.MoveTo(New(first, DefaultMost, nil))
	holds(t, p, "read", "read")
	p.Save(digest("made"), []byte("made"))
	p.Save(digest("new"), []byte("new"))
	p.MoveTo(New(next, DefaultMost, nil))
	for of, want := range map[string]string{"read": "read", "new": "new", "made": "there", "other": ""} {
		holds(t, New(next, DefaultMost, nil), of, want)
	}
	holds(t, New(first, DefaultMost, nil), "new", "new")
	p.Drop(digest("new"))
	holds(t, p, "new", "")
}

// Only so much waits; what is too much is forgotten, and nothing else.
func TestNotTooMuchWaits(t *testing.T) {
	p := NewPlace()
	p.Save(digest("a"), make([]byte, mostWaiting-1))
	p.Save(digest("b"), []byte("bb"))
	holds(t, p, "b", "")
	p.Save(digest("c"), []byte("c"))
	holds(t, p, "c", "c")
	p.Drop(digest("a"))
	p.Save(digest("b"), []byte("bb"))
	holds(t, p, "b", "bb")
}

// A folder that cannot be written is told once.
func TestAPlaceThatCannotBeWritten(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("a file in the way has another error there")
	}
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o600))
	var told []string
	p := NewPlace()
	p.Save(digest("a"), []byte("one"))
	p.MoveTo(New(filepath.Join(file, "in"), DefaultMost, func(s string) { told = append(told, s) }))
	p.Save(digest("b"), []byte("two"))
	require.Len(t, told, 1)
	holds(t, p, "b", "")
}
