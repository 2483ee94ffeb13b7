package kept

import (
	"cmp"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"
)

// thinned is what share of the most bytes is left where files were taken away, so that this is
// not done with each that comes.
const thinned = 0.9

// stale is how old a file is that nobody goes on writing: who did was killed.
const stale = time.Hour

// count finds out how much all files take, and takes away those that nobody finishes.
func (f *Folder) count() {
	f.bytes, f.counted = 0, true
	for _, info := range f.files() {
		f.bytes += info.Size()
	}
}

// thin takes away the files that were used longest ago. Those of others stay.
func (f *Folder) thin() {
	all := f.files()
	f.bytes = 0
	for _, info := range all {
		f.bytes += info.Size()
	}
	slices.SortFunc(all, func(a, b fs.FileInfo) int {
		return cmp.Or(a.ModTime().Compare(b.ModTime()), cmp.Compare(a.Name(), b.Name()))
	})
	for _, info := range all {
		if float64(f.bytes) <= thinned*float64(f.most) {
			return
		}
		if os.Remove(filepath.Join(f.path, info.Name())) == nil {
			f.bytes -= info.Size()
		}
	}
}

// files are those that the folder keeps. Those that nobody finishes go.
func (f *Folder) files() (all []fs.FileInfo) {
	entries, err := os.ReadDir(f.path)
	if err != nil {
		return nil
	}
	for _, e := range entries {
		info, err := e.Info()
		switch {
		case err != nil || !info.Mode().IsRegular():
		case f.isOurs(e.Name()):
			all = append(all, info)
		case strings.HasPrefix(e.Name(), f.unfinished()) && time.Since(info.ModTime()) > stale:
			os.Remove(filepath.Join(f.path, e.Name()))
		}
	}
	return all
}
