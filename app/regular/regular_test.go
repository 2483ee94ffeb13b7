package regular

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestOpen(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.txt")
	require.NoError(t, os.WriteFile(path, []byte("abc"), 0o666))
	link := filepath.Join(folder, "link.txt")
	require.NoError(t, os.Symlink(path, link))
	for _, name := range []string{path, link} {
		f, info, err := Open(name)
		require.NoError(t, err)
		text, err := io.ReadAll(f)
		require.NoError(t, err)
		require.NoError(t, f.Close())
		assert.Equal(t, "abc", string(text))
		assert.Equal(t, int64(3), info.Size())
	}
	_, _, err := Open(filepath.Join(folder, "none"))
	require.ErrorIs(t, err, fs.ErrNotExist)
	_, _, err = Open(folder)
	require.ErrorIs(t, err, ErrNot)
	assert.EqualError(t, err, folder+" is a folder, want a file")
	var own *Error
	require.True(t, errors.As(err, &own))
	assert.Equal(t, "a folder", own.Is)
}

// The names are those of Microsoft's "Naming Files, Paths, and Namespaces": "CON, PRN,
// AUX, NUL, COM1 to COM9, COM¹, COM², COM³, LPT1 to LPT9, LPT¹, LPT², LPT³. Also avoid
// these names followed immediately by an extension"; \\.\ is its Win32 device
// namespace. CONIN$ and CONOUT$ are of "CreateFile", Consoles; the digit 0 is common
// practice, no source.
func TestDevicePathsOfWindows(t *testing.T) {
	for _, path := range []string{
		"CON", "con", "nul", "NUL.png", "Aux.tar.gz", "PRN", "COM1", "com9.mov", "COM¹", "lpt³.cdl", "LPT0", "NUL ", "nul .png", "CONIN$", "conout$",
		`C:\shots\nul`, `C:nul`, "shots/aux.halocline", `..\COM2.png`, `\\.\COM1`, `\\.\pipe\frames`, "//./PhysicalDrive0", "NUL:", "con:x",
	} {
		assert.True(t, IsDevicePath(path), path)
	}
	for _, path := range []string{
		"", "console", "com10", "com", "nullify.png", "COM1x", "aux_1.png", `C:\nul\shot.png`, `\\?\C:\shot.png`, `\\server\share\shot.png`, "xcon", "lpt٣", ".con", "shot.con",
	} {
		assert.False(t, IsDevicePath(path), path)
	}
}
