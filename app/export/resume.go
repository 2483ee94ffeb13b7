package export

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"halocline/app/clip"
)

// A state is what lies under a picture's name before it is written.
type state int

const (
	free    state = iota // nothing
	lost                 // nothing, though the manifest lists it
	owned                // a file that may be replaced
	damaged              // one that an export wrote and that was damaged since
	whole                // what the manifest says
	orphan               // one that no manifest lists, to be taken if its bytes are right
)

// examineAll looks at what lies under the names of all pictures. It is an error
// where one must not be replaced.
func (j Job) examineAll(ctx context.Context, tasks []task, m *manifest) ([]state, error) {
	found := make([]state, len(tasks))
	inside := map[string]bool{}
	reads := j.reads()
	for i, t := range tasks {
		if err := reads.spare(j.path(t)); err != nil {
			return nil, err
		}
		if dir := filepath.Dir(j.path(t)); !inside[dir] {
			if err := j.leadsOut(dir); err != nil {
				return nil, err
			}
			inside[dir] = true
		}
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
	info, err := os.Lstat(path)
	old, known := m.entry(t.name)
	switch {
	case errors.Is(err, fs.ErrNotExist) && known && old.Skipped == "":
		return lost, nil
	case errors.Is(err, fs.ErrNotExist):
		return free, nil
	case err != nil:
		return 0, fmt.Errorf("export: %s cannot be looked at: %w", path, err)
	case info.IsDir():
		return 0, fmt.Errorf("export: %s is a folder, want a place for a file: move it, or choose another name pattern", path)
	case info.Mode()&fs.ModeSymlink != 0 && j.leadsOut(path) != nil:
		return 0, j.leadsOut(path)
	case !known && j.Adopt:
		return orphan, nil
	case !known && j.Overwrite:
		return owned, nil
	case j.redone(t):
		return owned, nil
	case !known:
		return 0, fmt.Errorf("export: %s exists and was not written by an export into this folder: choose another folder, or allow overwriting; where a manifest was lost, have the export adopt files whose bytes are right (--adopt on the command line)", path)
	case old.Source != "" && old.Source != j.Study.Clip.SHA256 && !j.Overwrite:
		return 0, fmt.Errorf("export: %s was made from other footage than %s: choose another folder or name pattern, or allow overwriting", path, j.Study.Clip.Path)
	}
	return j.compare(ctx, m, t)
}

// leadsOut is an error where a path below the folder is a link to elsewhere.
func (j Job) leadsOut(path string) error {
	real, err := filepath.EvalSymlinks(path)
	if err != nil || within(j.Folder, real) { // what is not there leads nowhere
		return nil
	}
	return fmt.Errorf("export: %s is a link that leads out of %s, to %s: remove the link, or export to that folder", path, j.Folder, real)
}

// redone reports whether a picture is to be made again whatever lies under its name.
func (j Job) redone(t task) bool {
	return slices.ContainsFunc(j.Redo, func(s clip.Span) bool { return s.From <= t.frame && t.frame <= s.To })
}

// adopts reports whether picture or extra i, as e says that it would be written, lies
// there already though no manifest lists it. It is an error where something else does
// that must not be replaced.
func (r *run) adopts(ctx context.Context, i int, e Entry) (bool, error) {
	if r.found[i] != orphan {
		return false, nil
	}
	path := r.folder.at(e.Name)
	info, print, err := measured(ctx, path)
	switch {
	case err != nil:
		return false, fmt.Errorf("export: %s cannot be read: %w", path, err)
	case print == e.print():
		r.manifest.saw(e.Name, info)
		return true, nil
	case r.Overwrite:
		return false, nil
	}
	return false, fmt.Errorf("export: %s is not adopted: its bytes are not those that this study makes: move it, choose another folder, or allow overwriting", path)
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
	return 0, fmt.Errorf("export: %s was changed since an export wrote it: found %s, want %d bytes with sha256 %.12s as in %s: choose another folder, allow overwriting, or have these frames made again (--redo on the command line)",
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

// tellTorn tells that the manifest's last line was cut.
func (r *run) tellTorn() {
	if r.manifest.torn && r.Notice != nil {
		r.Notice(fmt.Sprintf("the last line of %s was cut when its writer was killed: it is left out, and its file looked at anew", r.manifest.path))
	}
}

func (r *run) tellLeft() {
	if r.left > 0 && r.Notice != nil {
		r.Notice(fmt.Sprintf("%d of %d files are there as an earlier export wrote them, from the same settings: left as they are", r.left, len(r.tasks)))
	}
}
