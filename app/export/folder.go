package export

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"

	"halocline/app/study"
)

// A folder is what an export writes to. It stays the same one: where it is moved or
// removed meanwhile, nothing more is written, and no folder is made in its place.
type folder struct {
	path string
	root *os.Root
	own  fs.FileInfo
}

// openFolder makes a folder where there is none, and opens it.
func openFolder(path string) (*folder, error) {
	if err := os.MkdirAll(path, 0o777); err != nil {
		return nil, fmt.Errorf("export: folder %s cannot be made: %w", path, err)
	}
	root, err := os.OpenRoot(path)
	if err != nil {
		return nil, fmt.Errorf("export: folder %s cannot be opened: %w", path, err)
	}
	own, err := root.Stat(".")
	if err != nil {
		root.Close()
		return nil, fmt.Errorf("export: folder %s cannot be looked at: %w", path, err)
	}
	return &folder{path, root, own}, nil
}

func (f *folder) close() { f.root.Close() }

// check is an error where the folder is no longer in its place.
func (f *folder) check() error {
	now, err := os.Stat(f.path)
	if err == nil && os.SameFile(now, f.own) {
		return nil
	}
	return fmt.Errorf("export: folder %s was moved or removed while the export ran: put it back and run the export again, which goes on from there", f.path)
}

// at is the path of one of its files, whose name has slashes.
func (f *folder) at(name string) string { return filepath.Join(f.path, filepath.FromSlash(name)) }

// prepare makes the folders below that a file needs. Links that lead elsewhere are
// refused.
func (f *folder) prepare(name string) error {
	dir := path.Dir(name)
	if err := f.root.MkdirAll(dir, 0o777); err != nil {
		return f.why(fmt.Errorf("export: no folder for %s: %w", f.at(name), f.escape(dir, err)))
	}
	if info, err := f.root.Stat(dir); err != nil || !info.IsDir() {
		return f.why(fmt.Errorf("export: no folder for %s: %w", f.at(name), f.escape(dir, errors.Join(err, fs.ErrInvalid))))
	}
	return nil
}

// escape says in plain words that a folder below is a link that leads out.
func (f *folder) escape(dir string, err error) error {
	real, linked := filepath.EvalSymlinks(f.at(dir))
	if linked == nil && !within(f.path, real) {
		return fmt.Errorf("%s is a link that leads out of %s, to %s: remove the link, or export to that folder", f.at(dir), f.path, real)
	}
	return err
}

// within reports whether a real path lies in a folder.
func within(folder, real string) bool {
	base, err := filepath.EvalSymlinks(folder)
	if err != nil {
		return false
	}
	rel, err := filepath.Rel(base, real)
	return err == nil && filepath.IsLocal(rel)
}

// write makes a file, as study.PutBeside does.
func (f *folder) write(name string, encode func(io.Writer) error) (fs.FileInfo, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	if err := f.prepare(name); err != nil {
		return nil, err
	}
	info, err := study.PutBeside(f.at(name), encode)
	if err != nil {
		return nil, f.why(err)
	}
	return info, nil
}

// removeDeadParts removes what runs that were killed left half written where this one
// writes.
func (r *run) removeDeadParts() {
	done := map[string]bool{}
	for _, t := range append(slices.Clone(r.tasks), tasksOf(r.extras)...) {
		if dir := filepath.Dir(r.path(t)); !done[dir] {
			study.RemoveDeadParts(dir)
			done[dir] = true
		}
	}
}

// why is what made a write fail: that the folder is gone, where it is.
func (f *folder) why(err error) error {
	if gone := f.check(); gone != nil {
		return gone
	}
	return err
}
