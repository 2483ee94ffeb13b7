package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"halocline/app/render"
	"halocline/app/study"
)

// A Job is a set of pictures to write.
type Job struct {
	Study    *study.Study
	Renderer *render.Renderer
	Mattes   []*study.Matte // of the study
	Frames   []int          // by the source's numbers
	Kind     Kind
	Depth    int // bits: 8 or 16
	Pattern  Pattern
	Folder   string
	// Overwrite lets files be replaced that this folder's manifest does not
	// know, knows from other footage, or knows with other bytes: somebody changed
	// them. Those that an export of this footage wrote may always be.
	Overwrite bool
	// Progress, if not nil, is called after each picture.
	Progress func(done, total int, e Entry)
}

// A task is one picture of a job.
type task struct {
	matte *study.Matte // nil for a kind that has none
	frame int
	name  string // relative to the folder, with slashes
}

// Run writes the pictures and the manifest, and returns what it wrote. Before
// the first is written all names are checked: if one would replace a file that
// is not this folder's own as it was written, nothing is done. After an error or when ctx ends,
// what is finished stays, and the manifest knows it.
func (j Job) Run(ctx context.Context) ([]Entry, error) {
	if j.Depth != 8 && j.Depth != 16 {
		return nil, fmt.Errorf("export: depth is %d bits, want 8 or 16", j.Depth)
	}
	tasks, err := j.tasks()
	if err != nil {
		return nil, err
	}
	m, err := openManifest(j.Folder)
	if err != nil {
		return nil, err
	}
	if err := j.checkNames(ctx, tasks, m); err != nil {
		return nil, err
	}
	d := &drawer{renderer: j.Renderer, study: j.Study, depth: j.Depth}
	var done []Entry
	for _, t := range tasks {
		e, err := j.write(ctx, d, t, m)
		if err != nil {
			return done, err
		}
		done = append(done, e)
		if j.Progress != nil {
			j.Progress(len(done), len(tasks), e)
		}
	}
	if m.worn() {
		return done, m.tidy()
	}
	return done, nil
}

// tasks lists the pictures, frame by frame.
func (j Job) tasks() ([]task, error) {
	mattes := j.Mattes
	if !j.Kind.perMatte() {
		mattes = []*study.Matte{nil}
	}
	if err := j.Pattern.Check(len(mattes), len(j.Frames)); err != nil {
		return nil, err
	}
	var tasks []task
	for _, frame := range j.Frames {
		for _, m := range mattes {
			f := Fields{Clip: clipName(j.Study.Clip), Frame: frame}
			if m != nil {
				f.Matte = j.Kind.name(m.Name)
			} else {
				f.Matte = j.Kind.name("")
			}
			name, err := j.Pattern.Format(f)
			if err != nil {
				return nil, err
			}
			tasks = append(tasks, task{m, frame, name})
		}
	}
	return tasks, nil
}

// clipName is a clip's name without folder, ending and frame number. Digits at
// its end that are not its first frame's number (a date, a movie's serial
// number) are part of the name.
func clipName(c study.Clip) string {
	name := filepath.Base(c.Path)
	name = strings.TrimSuffix(name, filepath.Ext(name))
	short := strings.TrimRight(name, "0123456789")
	if n, err := strconv.Atoi(name[len(short):]); err != nil || n != c.First {
		return name
	}
	short = strings.TrimRight(short, " ._-")
	if short == "" { // numbers only: the folder names the clip
		if folder := filepath.Base(filepath.Dir(c.Path)); folder != "." && folder != string(filepath.Separator) {
			return folder
		}
		return name
	}
	return short
}

// checkNames stops before anything is replaced that is not the folder's own, was
// made from other footage (two clips may have one name), or was changed since by
// someone else, say retouched.
func (j Job) checkNames(ctx context.Context, tasks []task, m *manifest) error {
	if j.Overwrite {
		return nil
	}
	for _, t := range tasks {
		path := filepath.Join(j.Folder, filepath.FromSlash(t.name))
		_, err := os.Lstat(path)
		old, known := m.entries[t.name]
		switch {
		case errors.Is(err, fs.ErrNotExist):
		case err != nil:
			return fmt.Errorf("export: %s cannot be looked at: %w", path, err)
		case known && old.Source != "" && old.Source != j.Study.Clip.SHA256:
			return fmt.Errorf("export: %s was made from other footage than %s: choose another folder or name pattern, or allow overwriting", path, j.Study.Clip.Path)
		case !known:
			return fmt.Errorf("export: %s exists and was not written by an export into this folder: choose another folder, or allow overwriting", path)
		default:
			if err := checkUnchanged(ctx, m, t.name, path); err != nil {
				return err
			}
		}
	}
	return nil
}

// checkUnchanged returns an error where a file that an export wrote has other
// bytes now.
func checkUnchanged(ctx context.Context, m *manifest, name, path string) error {
	ok, found, err := m.wrote(ctx, name, path)
	switch {
	case ctx.Err() != nil:
		return ctx.Err()
	case err != nil:
		return fmt.Errorf("export: %s cannot be looked at: %w", path, err)
	case !ok:
		want := m.entries[name]
		return fmt.Errorf("export: %s was changed since an export wrote it: found %s, want %d bytes with sha256 %.12s as in %s: choose another folder, or allow overwriting",
			path, found, want.Size, want.SHA256, m.path)
	}
	return nil
}

// write makes one picture. The manifest learns of it first: should the work be
// killed in between, the file is missed by verify rather than taken for a
// stranger's.
func (j Job) write(ctx context.Context, d *drawer, t task, m *manifest) (Entry, error) {
	var file bytes.Buffer
	if err := d.draw(ctx, &file, j.Kind, t.matte, t.frame); err != nil {
		return Entry{}, err
	}
	sum := sha256.Sum256(file.Bytes())
	e := Entry{
		Name: t.name, Kind: j.Kind, Source: j.Study.Clip.SHA256, Frame: t.frame, Digest: j.digest(t),
		Size: int64(file.Len()), SHA256: hex.EncodeToString(sum[:]),
	}
	if t.matte != nil {
		e.Matte = t.matte.Name
	}
	if err := m.add(e); err != nil {
		return Entry{}, err
	}
	return e, WriteFile(filepath.Join(j.Folder, filepath.FromSlash(t.name)), func(w io.Writer) error {
		_, err := file.WriteTo(w)
		return err
	})
}

// digest is what a picture depends on: the study's digest of the matte, its kind
// and depth.
func (j Job) digest(t task) string {
	s := j.Study.DigestShown(t.frame)
	if t.matte != nil {
		s = j.Study.Digest(t.frame, t.matte)
	}
	sum := sha256.Sum256(fmt.Appendf(nil, "%s %s %d", s, j.Kind, j.Depth))
	return hex.EncodeToString(sum[:])
}
