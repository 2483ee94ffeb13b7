package study

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
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
	_, err := PutBeside(path, write)
	return err
}

// PutBeside is WriteBeside that also returns the new file's FileInfo, taken before the
// file got its name. While os.SameFile, size and time agree with it, nobody has changed
// the file.
func PutBeside(path string, write func(io.Writer) error) (fs.FileInfo, error) {
	target, mode, err := replaceable(path)
	if err != nil {
		return nil, cannotWrite(path, err)
	}
	f, err := CreateBeside(target)
	if err != nil {
		return nil, noNewFile(path, err)
	}
	renamed := false
	defer func() {
		if !renamed {
			f.Close() // a second time after fill, which does no harm
			os.Remove(f.Name())
		}
	}()
	info, err := fill(f, mode, write)
	if err != nil {
		return nil, cannotWrite(path, err)
	}
	if err := os.Rename(f.Name(), target); err != nil {
		return nil, cannotWrite(path, err)
	}
	renamed = true
	if err := syncFolder(filepath.Dir(target)); err != nil {
		return nil, fmt.Errorf("study: written, but the disk did not confirm it, %w: %s", cause(err), path)
	}
	return info, nil
}

// cannotWrite says why a file is not written, before its name: where a line is cut
// off, the reason stays.
func cannotWrite(path string, err error) error {
	return fmt.Errorf("study: cannot write, %w: %s", cause(err), path)
}

// noNewFile says why nothing can be written beside a file.
func noNewFile(path string, err error) error {
	return fmt.Errorf("study: cannot write, its folder takes no new file (%w): %s", cause(err), path)
}

// behindLinks is the file that a path stands for: what a symbolic link names, else
// the path itself.
func behindLinks(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		return real
	}
	return path
}

// replaceable returns the file that a path stands for, and its permissions if
// it exists, or why it must not be replaced.
func replaceable(path string) (target string, mode fs.FileMode, err error) {
	target = behindLinks(path)
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

// fill writes f, forces it to the disk and closes it. It returns what f is then.
func fill(f *os.File, mode fs.FileMode, write func(io.Writer) error) (fs.FileInfo, error) {
	b := bufio.NewWriterSize(f, 1<<16)
	if err := write(b); err != nil {
		return nil, err
	}
	if err := b.Flush(); err != nil {
		return nil, err
	}
	if mode != 0 {
		if err := f.Chmod(mode); err != nil {
			return nil, err
		}
	}
	if err := f.Sync(); err != nil {
		return nil, err
	}
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	return info, f.Close()
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
