package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
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
	// Progress, if not nil, is called after each picture, written or left.
	Progress func(done, total int, e Entry)
	// Notice, if not nil, is told in plain sentences which files of an earlier
	// export are left as they are, and which were missing or damaged.
	Notice func(sentence string)
}

// A task is one picture of a job.
type task struct {
	matte *study.Matte // nil for a kind that has none
	frame int
	name  string // relative to the folder, with slashes
}

// Run writes the pictures and the manifest, and returns what is there then. Before
// the first is written all names are checked: if one would replace a file that
// is not this folder's own as it was written, nothing is done. A picture that is
// there already, made of the same and with the bytes that the manifest says, is
// left; one that is missing, or was damaged since, is made again. After an error
// or when ctx ends, what is finished stays, and the manifest knows it: the next
// run goes on from there.
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
	found, err := j.examineAll(ctx, tasks, m)
	if err != nil {
		return nil, err
	}
	j.tellRedone(tasks, found)
	r := &run{Job: j, manifest: m, drawer: &drawer{renderer: j.Renderer, study: j.Study, depth: j.Depth}}
	var done []Entry
	for i, t := range tasks {
		e, err := r.do(ctx, t, found[i])
		if err != nil {
			return done, err
		}
		done = append(done, e)
		if j.Progress != nil {
			j.Progress(len(done), len(tasks), e)
		}
	}
	r.tellLeft(len(tasks))
	if m.worn() {
		return done, m.tidy(ctx)
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
			f := Fields{Clip: ClipName(j.Study.Clip), Frame: frame}
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

// ClipName is a clip's name without folder, ending and frame number. Digits at
// its end that are not its first frame's number (a date, a movie's serial
// number) are part of the name.
func ClipName(c study.Clip) string {
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

// A run is a job under way.
type run struct {
	Job
	manifest *manifest
	drawer   *drawer
	left     int // pictures that were there
	source   frameSource
}

// do makes one picture, unless it is there as it would be made. The manifest
// learns of it first: should the work be killed in between, the file is missed by
// verify rather than taken for a stranger's.
func (r *run) do(ctx context.Context, t task, found state) (Entry, error) {
	e, err := r.entry(ctx, t)
	if err != nil {
		return Entry{}, err
	}
	if found == whole {
		old := r.manifest.entries[t.name]
		e.Size, e.SHA256 = old.Size, old.SHA256
		if e == old {
			r.left++
			return e, nil
		}
	}
	var file bytes.Buffer
	if err := r.drawer.draw(ctx, &file, r.Kind, t.matte, t.frame); err != nil {
		return Entry{}, err
	}
	sum := sha256.Sum256(file.Bytes())
	e.Size, e.SHA256 = int64(file.Len()), hex.EncodeToString(sum[:])
	if err := r.manifest.add(ctx, e); err != nil {
		return Entry{}, err
	}
	return e, WriteFile(r.path(t), func(w io.Writer) error {
		_, err := file.WriteTo(w)
		return err
	})
}

func (j Job) path(t task) string { return filepath.Join(j.Folder, filepath.FromSlash(t.name)) }

// entry returns what the manifest says of a picture, but for its bytes.
func (r *run) entry(ctx context.Context, t task) (Entry, error) {
	digest, err := r.digest(ctx, t)
	e := Entry{Name: t.name, Kind: r.Kind, Source: r.Study.Clip.SHA256, Frame: t.frame, Digest: digest}
	if t.matte != nil {
		e.Matte = t.matte.Name
	}
	return e, err
}

// digest is what a picture depends on: the study's digest of the matte, its kind
// and depth, and the frame's own file.
func (r *run) digest(ctx context.Context, t task) (string, error) {
	s := r.Study.DigestShown(t.frame)
	if t.matte != nil {
		s = r.Study.Digest(t.frame, t.matte)
	}
	text := fmt.Appendf(nil, "%s %s %d", s, r.Kind, r.Depth)
	own, err := r.source.of(ctx, r.Job, t.frame)
	if own != "" {
		text = fmt.Appendf(text, " %s", own)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), err
}

// A frameSource is the SHA-256 of the file of the frame that was last asked for.
type frameSource struct {
	known bool
	frame int
	sum   string
}

// of returns the SHA-256 of the file that holds a frame; "" where that is the
// clip's one file, which the study's digest covers. A sequence's study knows its
// first file only: without this, a frame that was made anew would keep its matte.
func (s *frameSource) of(ctx context.Context, j Job, frame int) (string, error) {
	path := j.Renderer.Path(frame)
	if path == "" || path == j.Renderer.Path(j.Study.Clip.First) {
		return "", nil
	}
	if !s.known || s.frame != frame {
		print, err := study.Measure(ctx, path)
		if err != nil {
			return "", fmt.Errorf("export: frame %d cannot be read: %w", frame, err)
		}
		*s = frameSource{true, frame, print.SHA256}
	}
	return s.sum, nil
}
