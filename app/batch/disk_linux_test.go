package batch

import (
	"fmt"
	"os"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// A full disk and a folder that may not be written to stop an export with a
// message, and leave no broken file.
func TestExportToFullAndReadOnlyDisks(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root may mount the small disk that this fills")
	}
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=16k"); err != nil {
		t.Skipf("no small disk can be mounted here: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	status, _, stderr := run(t, "export", fit.Study, "--out", disk, "--kind", "base", "--depth", "16")
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "no space left")
	require.Contains(t, stderr, disk)
	checkPictures(t, disk)

	require.NoError(t, syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))
	status, _, stderr = run(t, "export", fit.Study, "--out", filepath.Join(disk, "mattes"))
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "read-only")
	status, _, stderr = run(t, "fit", b.picture, "--keep", b.keep, "--study", filepath.Join(disk, "x.halocline"))
	require.Equal(t, failed, status)
	require.Contains(t, stderr, "read-only")
}

// A disk that is full in the middle of a clip: what is finished stays, nothing is
// half, and once there is room the next run goes on to the same bytes.
func TestDiskFullInTheMiddleOfAClip(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("only root may mount the small disk that this fills")
	}
	path, whole := aClip(t, longFrames)
	disk := t.TempDir()
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=96k"); err != nil {
		t.Skipf("no small disk can be mounted here: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(disk, syscall.MNT_DETACH) })
	for range 2 { // the second goes on into the same wall
		status, stdout, stderr := run(t, "export", path, "--out", disk, "--workers", "3")
		require.Equal(t, failed, status)
		require.Empty(t, stdout)
		require.Contains(t, stderr, "no space left on device")
		require.Contains(t, stderr, disk)
		checkPictures(t, disk)
		require.Zero(t, countParts(t, disk))
	}
	n := len(pictures(t, disk))
	require.Greater(t, n, 2)
	require.Less(t, n, longFrames)
	require.NoError(t, syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT, "size=4m"))
	status, _, stderr := run(t, "export", path, "--out", disk, "--workers", "3")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, fmt.Sprintf("%d of %d files are there", n, longFrames))
	requireSameFiles(t, whole, disk)
	require.Equal(t, longFrames, result[verifyReport](t, "verify", disk).Good)
}
