package study

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
)

// WriteBeside makes the file at path from what write gives, such that under
// that name there is always either the old file or the whole new one: it
// writes under a temporary name in the same folder, forces the data to the disk,
// renames, and forces the folder to the disk. An older file's permissions are
// kept; a symbolic link is followed; a read-only file is not replaced. On any
// failure, also a panic of write, the temporary file is removed. Errors name
// the file and wrap their cause.
func WriteBeside(path string, write func(io.Writer) error) error {
	target, mode, err := replaceable(path)
	if err != nil {
		return fmt.Errorf("study: cannot write %s: %w", path, err)
	}
	f, err := CreateBeside(target)
	if err != nil {
		return fmt.Errorf("study: cannot write %s: its folder takes no new file: %w", path, cause(err))
	}
	renamed := false
	defer func() {
		if !renamed {
			f.Close() // a second time after fill, which does no harm
			os.Remove(f.Name())
		}
	}()
	if err := fill(f, mode, write); err != nil {
		return fmt.Errorf("study: cannot write %s: %w", path, cause(err))
	}
	if err := os.Rename(f.Name(), target); err != nil {
		return fmt.Errorf("study: cannot write %s: %w", path, cause(err))
	}
	renamed = true
	if err := syncFolder(filepath.Dir(target)); err != nil {
		return fmt.Errorf("study: %s is written, but the disk did not confirm it: %w", path, err)
	}
	return nil
}

// replaceable returns the file that a path stands for, and its permissions if
// it exists, or why it must not be replaced.
func replaceable(path string) (target string, mode fs.FileMode, err error) {
	target = path
	if real, err := filepath.EvalSymlinks(path); err == nil {
		target = real
	}
	info, err := os.Stat(target)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return target, 0, nil
	case err != nil:
		return "", 0, cause(err)
	case info.IsDir():
		return "", 0, errors.New("it is a folder")
	case !info.Mode().IsRegular():
		return "", 0, errors.New("it is not a regular file")
	case info.Mode()&0o200 == 0:
		return "", 0, errors.New("it is read-only")
	}
	return target, info.Mode().Perm(), nil
}

// PartPattern matches, in the form of filepath.Match, the names under which
// WriteBeside works. A process that is killed leaves such a file behind; no
// reader may take one for a result.
const PartPattern = ".halocline-*.part"

// CreateBeside makes a new file of a name nobody has, which PartPattern matches, in
// the folder of target: for who cannot write through WriteBeside. Its permissions
// are those of any new file.
func CreateBeside(target string) (*os.File, error) {
	for try := 0; ; try++ {
		name := filepath.Join(filepath.Dir(target), strings.Replace(PartPattern, "*", fmt.Sprintf("%016x", rand.Uint64()), 1))
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil || !errors.Is(err, fs.ErrExist) || try == 100 {
			return f, err
		}
	}
}

// fill writes f, forces it to the disk and closes it.
func fill(f *os.File, mode fs.FileMode, write func(io.Writer) error) error {
	b := bufio.NewWriterSize(f, 1<<16)
	if err := write(b); err != nil {
		return err
	}
	if err := b.Flush(); err != nil {
		return err
	}
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			return err
		}
	}
	if err := f.Sync(); err != nil {
		return err
	}
	return f.Close()
}

// cause takes the temporary file's name out of an error: it means nothing to
// its reader.
func cause(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path):
		return path.Err
	case errors.As(err, &link):
		return link.Err
	}
	return err
}

// syncFolder forces a folder's list of names to the disk. Systems that cannot
// do that for folders say so in various ways; only a failing disk is reported.
func syncFolder(folder string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(folder)
	if err != nil {
		return nil
	}
	defer d.Close()
	if err := d.Sync(); errors.Is(err, syscall.EIO) {
		return err
	}
	return nil
}
