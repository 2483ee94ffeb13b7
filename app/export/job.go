package export

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
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
	Frames   []int          // by the source's numbers, ascending
	Shard    Shard          // which part of the frames; the zero value is all
	Kind     Kind
	Depth    int // bits: 8 or 16
	Pattern  Pattern
	Folder   string
	// Overwrite lets files be replaced that this folder's manifest does not
	// know, knows from other footage, or knows with other bytes: somebody changed
	// them. Those that an export of this footage wrote may always be.
	Overwrite bool
	// Sheets has a text written beside the mattes, for each of them, that says what
	// they are, and an overlay to check them against: kind Matte alone. Of shards
	// the first writes them.
	Sheets bool
	// Movie has a movie made of each matte's files once they are there: kinds
	// Matte, Pick and Mask, and not of shards. It takes the program ffmpeg.
	Movie bool
	// Workers is how many frames are made at once; 0 is one for each processor.
	// There are fewer where Memory, in bytes, would not suffice; 0 is
	// DefaultMemory for each processor. The bytes written depend on neither.
	Workers int
	Memory  int64
	// Progress, if not nil, is called after each picture, written or left, in the
	// order in which they are finished: never twice at once, but from several
	// goroutines.
	Progress func(Progress)
	// Notice, if not nil, is told in plain sentences which files of an earlier
	// export are left as they are, and which were missing or damaged.
	Notice func(sentence string)
}

// A Progress is what Progress is told.
type Progress struct {
	Done, Total int // pictures, and what lies beside them
	Entry       Entry
	Left        bool // it was there
}

// A task is one picture of a job.
type task struct {
	matte *study.Matte // nil for a kind that has none
	frame int
	name  string // relative to the folder, with slashes
}

// Run writes the pictures and the manifest, then what lies beside them, and returns
// what is there then, frame by frame. Before the first is written all names are checked: if one would
// replace a file that is not this folder's own as it was written, nothing is done.
// A picture that is there already, made of the same and with the bytes that the
// manifest says, is left; one that is missing, or was damaged since, is made again.
// After an error or when ctx ends, what is finished stays, and the manifest knows
// it: the next run goes on from there.
func (j Job) Run(ctx context.Context) ([]Entry, error) {
	if j.Depth != 8 && j.Depth != 16 {
		return nil, fmt.Errorf("export: depth is %d bits, want 8 or 16", j.Depth)
	}
	tasks, err := j.tasks()
	if err != nil || len(j.Frames) == 0 {
		return nil, err
	}
	extras, err := j.extras(tasks)
	if err != nil {
		return nil, err
	}
	m, err := openManifest(j.Folder, j.Shard.ManifestName())
	if err != nil {
		return nil, err
	}
	found, err := j.examineAll(ctx, append(slices.Clone(tasks), tasksOf(extras)...), m)
	if err != nil {
		return nil, err
	}
	j.tellRedone(tasks, found)
	j.tellOfMovie()
	if err := m.plan(ctx, j.plans()); err != nil {
		return nil, err
	}
	r := newRun(j, m, tasks, extras, found)
	if err := r.all(ctx); err != nil {
		return r.finished(), err
	}
	if err := r.beside(ctx); err != nil {
		return r.finished(), err
	}
	r.tellLeft()
	if m.worn() {
		return r.finished(), m.tidy(ctx)
	}
	return r.finished(), nil
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
	for _, frame := range j.Shard.of(j.Frames) {
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
