package export

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
)

// A state is what lies under a picture's name before it is written.
type state int

const (
	free    state = iota // nothing
	lost                 // nothing, though the manifest lists it
	owned                // a file that may be replaced
	damaged              // one that an export wrote and that was damaged since
	whole                // what the manifest says
)

// examineAll looks at what lies under the names of all pictures. It is an error
// where one must not be replaced.
func (j Job) examineAll(ctx context.Context, tasks []task, m *manifest) ([]state, error) {
	found := make([]state, len(tasks))
	for i, t := range tasks {
		var err error
		if found[i], err = j.examine(ctx, t, m); err != nil {
			return nil, err
		}
	}
	return found, nil
}

// examine stops before anything is replaced that is not the folder's own, was
// made from other footage (two clips may have one name), or was changed since by
// someone else, say retouched.
func (j Job) examine(ctx context.Context, t task, m *manifest) (state, error) {
	path := j.path(t)
	_, err := os.Lstat(path)
	old, known := m.entry(t.name)
	switch {
	case errors.Is(err, fs.ErrNotExist) && known:
		return lost, nil
	case errors.Is(err, fs.ErrNotExist):
		return free, nil
	case !known && j.Overwrite:
		return owned, nil
	case err != nil:
		return 0, fmt.Errorf("export: %s cannot be looked at: %w", path, err)
	case !known:
		return 0, fmt.Errorf("export: %s exists and was not written by an export into this folder: choose another folder, or allow overwriting", path)
	case old.Source != "" && old.Source != j.Study.Clip.SHA256 && !j.Overwrite:
		return 0, fmt.Errorf("export: %s was made from other footage than %s: choose another folder or name pattern, or allow overwriting", path, j.Study.Clip.Path)
	}
	return j.compare(ctx, m, t)
}

// compare tells how a file that the manifest lists stands to what was written. It
// is an error where somebody has changed it, unless that may be overwritten.
func (j Job) compare(ctx context.Context, m *manifest, t task) (state, error) {
	path := j.path(t)
	want, _ := m.entry(t.name)
	print, wrote, err := m.wrote(ctx, t.name, path)
	switch {
	case ctx.Err() != nil:
		return 0, ctx.Err()
	case err == nil && wrote && print.Size == want.Size && print.SHA256 == want.SHA256:
		return whole, nil
	case err == nil && !wrote && isBroken(path):
		return damaged, nil
	case wrote || j.Overwrite:
		return owned, nil
	case err != nil:
		return 0, fmt.Errorf("export: %s cannot be looked at: %w", path, err)
	}
	found := "other bytes"
	if print.SHA256 == "" {
		found = fmt.Sprintf("%d bytes", print.Size)
	}
	return 0, fmt.Errorf("export: %s was changed since an export wrote it: found %s, want %d bytes with sha256 %.12s as in %s: choose another folder, or allow overwriting",
		path, found, want.Size, want.SHA256, m.path)
}

// namesTold is how many files a notice names.
const namesTold = 3

// tellRedone tells which files of an earlier export are made again because
// something befell them.
func (j Job) tellRedone(tasks []task, found []state) {
	for _, k := range []struct {
		is   state
		what string
	}{{lost, "missing"}, {damaged, "damaged"}} {
		var names []string
		for i, t := range tasks {
			if found[i] == k.is {
				names = append(names, t.name)
			}
		}
		n := len(names)
		if n == 0 || j.Notice == nil {
			continue
		}
		list := strings.Join(names[:min(n, namesTold)], ", ")
		if n > namesTold {
			list += fmt.Sprintf(" and %d more", n-namesTold)
		}
		j.Notice(fmt.Sprintf("%d of %d files that the manifest lists are %s and written again: %s", n, len(tasks), k.what, list))
	}
}

func (r *run) tellLeft() {
	if r.left > 0 && r.Notice != nil {
		r.Notice(fmt.Sprintf("%d of %d files are there as an earlier export wrote them, from the same settings: left as they are", r.left, len(r.tasks)))
	}
}
