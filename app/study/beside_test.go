package study

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, s)
		return err
	}
}

// holds asserts what a folder's files are, and the content of one.
func holds(t *testing.T, path, content string, others ...string) {
	t.Helper()
	got, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, content, string(got))
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	assert.ElementsMatch(t, append(others, filepath.Base(path)), names)
}

func TestWriteBeside(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.png")
	require.NoError(t, WriteBeside(path, text("first")))
	holds(t, path, "first")
	require.NoError(t, WriteBeside(path, func(w io.Writer) error {
		holds(t, path, "first", besideName(t, path))
		return text("second")(w)
	}))
	holds(t, path, "second")
}

// besideName finds the temporary file.
func besideName(t *testing.T, path string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(filepath.Dir(path), PartPattern))
	require.NoError(t, err)
	require.Len(t, found, 1)
	return filepath.Base(found[0])
}

func TestWriteBesideFails(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.png")
	require.NoError(t, WriteBeside(path, text("old")))
	err := WriteBeside(path, func(w io.Writer) error {
		require.NoError(t, text(strings.Repeat("half", 100_000))(w))
		return &os.PathError{Op: "write", Path: ".halocline-1.part", Err: syscall.ENOSPC}
	})
	assert.ErrorIs(t, err, syscall.ENOSPC)
	assert.EqualError(t, err, "study: cannot write, "+syscall.ENOSPC.Error()+": "+path)
	holds(t, path, "old")
	assert.Panics(t, func() { WriteBeside(path, func(io.Writer) error { panic("encoder") }) })
	holds(t, path, "old")
	assert.ErrorContains(t, WriteBeside(filepath.Dir(path), text("")), "it is a folder")
	err = WriteBeside(filepath.Join(filepath.Dir(path), "none", "a.png"), text(""))
	assert.ErrorIs(t, err, os.ErrNotExist)
	assert.ErrorContains(t, err, "its folder takes no new file")
}

func TestWriteBesideKeepsPermissions(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no permission bits on this system")
	}
	path := filepath.Join(t.TempDir(), "a.png")
	mode := func() os.FileMode {
		info, err := os.Stat(path)
		require.NoError(t, err)
		return info.Mode().Perm()
	}
	require.NoError(t, os.WriteFile(path, nil, 0o666))
	fresh := mode()
	require.NoError(t, os.Remove(path))
	require.NoError(t, WriteBeside(path, text("a")))
	assert.Equal(t, fresh, mode(), "a new file is like any new file")
	require.NoError(t, os.Chmod(path, 0o640))
	require.NoError(t, WriteBeside(path, text("b")))
	assert.Equal(t, os.FileMode(0o640), mode())
	require.NoError(t, os.Chmod(path, 0o440))
	assert.EqualError(t, WriteBeside(path, text("c")), "study: cannot write, it is read-only: "+path)
	holds(t, path, "b")
}

func TestWriteBesideFollowsLinks(t *testing.T) {
	folder := t.TempDir()
	real, link := filepath.Join(folder, "real", "a.png"), filepath.Join(folder, "a.png")
	require.NoError(t, os.Mkdir(filepath.Dir(real), 0o755))
	require.NoError(t, os.WriteFile(real, []byte("old"), 0o644))
	if err := os.Symlink(real, link); err != nil {
		t.Skip("no symbolic links here: ", err)
	}
	require.NoError(t, WriteBeside(link, text("new")))
	holds(t, real, "new")
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&os.ModeSymlink, "the link is still a link")
}

func TestWriteBesideInReadOnlyFolder(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.png")
	require.NoError(t, WriteBeside(path, text("old")))
	if os.Geteuid() == 0 { // permissions do not bind root: make the whole place read-only
		mount(t, folder, "-t", "tmpfs", "-o", "size=64k", "tmpfs")
		require.NoError(t, WriteBeside(path, text("old")))
		remount := exec.Command("mount", "-o", "remount,ro", folder)
		if out, err := remount.CombinedOutput(); err != nil {
			t.Skipf("cannot make a read-only place: %s", out)
		}
	} else {
		require.NoError(t, os.Chmod(folder, 0o555))
		t.Cleanup(func() { os.Chmod(folder, 0o755) })
	}
	err := WriteBeside(path, text("new"))
	require.Error(t, err)
	assert.Regexp(t, `^study: cannot write, its folder takes no new file \(.+\): `+regexp.QuoteMeta(path)+"$", err.Error())
	assert.True(t, errors.Is(err, os.ErrPermission) || errors.Is(err, syscall.EROFS), err)
	holds(t, path, "old")
	_, locked := Acquire(t.Context(), path)
	assert.EqualError(t, locked, err.Error(), "it is said before the work")
}

// mount puts a small file system at a folder, or skips the test.
func mount(t *testing.T, folder string, args ...string) {
	t.Helper()
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("mounting a small file system takes root on Linux")
	}
	if out, err := exec.Command("mount", append(args, folder)...).CombinedOutput(); err != nil {
		t.Skipf("mounting a small file system is not allowed here: %s", out)
	}
	t.Cleanup(func() { exec.Command("umount", folder).Run() })
}

func TestWriteBesideOnAFullDisk(t *testing.T) {
	folder := t.TempDir()
	mount(t, folder, "-t", "tmpfs", "-o", "size=64k", "tmpfs")
	path := filepath.Join(folder, "a.png")
	require.NoError(t, WriteBeside(path, text("old")))
	err := WriteBeside(path, text(strings.Repeat("x", 200_000)))
	assert.ErrorIs(t, err, syscall.ENOSPC)
	assert.EqualError(t, err, "study: cannot write, no space left on device: "+path)
	holds(t, path, "old")

	small := NewSession(transect(t), "")
	require.NoError(t, small.SaveAs(filepath.Join(folder, "a.halocline")))
	require.NoError(t, small.Edit("grow", func(s *Study) error {
		s.Mattes[0].Note = strings.Repeat("sand ", 15_000)
		return nil
	}))
	assert.ErrorIs(t, small.Save(), syscall.ENOSPC)
	assert.True(t, small.Dirty())
	assert.ErrorIs(t, small.Autosave(), syscall.ENOSPC)
	got, err := Load(small.Path())
	require.NoError(t, err)
	require.NoError(t, small.Close())
	assert.NoFileExists(t, LockPath(small.Path()))
	assert.NoFileExists(t, LockPath(AutosavePath(small.Path())))
	assert.Equal(t, "from \"dive 4\", <smooth>", got.Mattes[0].Note)
}
