package export

import (
	"context"
	"fmt"
	"slices"

	"halocline/app/clip"
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
	// Spare names files that are never written over, besides the footage: the study's.
	Spare []string
	// Redo names frames whose files are made again whatever lies there: one that was
	// swapped or retouched.
	Redo []clip.Span
	// Adopt takes files that no manifest lists, but have the bytes that the export
	// would write, as its own: the manifest was lost.
	Adopt bool
	// SkipBad goes on where the footage of a frame cannot be read. It gets no pictures,
	// the manifest says so, and Run's error is a *SkippedError.
	SkipBad bool
	// Version is what {version} in the pattern stands for, from 1. With 0 it is the newest
	// in the folder where none of the job's files there were made with other settings, else
	// the one after it.
	Version int
	// Sheets has a text written beside the mattes, for each of them, that says what
	// they are, and an overlay to check them against: kind Matte alone. Of shards
	// the one that finds all frames there writes them.
	Sheets bool
	// Movie has a movie made of each matte's files once they are there, or one of the
	// files of a kind that has none: kinds Matte, Pick, Mask, Base and Trial, and not of
	// shards. It takes the program ffmpeg.
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
	// LostEdges, if not nil, is told of each picture that is made, not of those that are
	// left, which masks' edges were looked for on its frame and not found, by the masks'
	// ids: never twice at once.
	LostEdges func(frame int, masks []int)
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
	if len(j.Frames) == 0 {
		return nil, nil
	}
	m, err := openManifest(j.Folder, j.Shard.ManifestName())
	if err != nil {
		return nil, err
	}
	if j.Version, err = j.versionIn(m); err != nil {
		return nil, err
	}
	tasks, err := j.tasks()
	if err == nil {
		err = j.checkRedo()
	}
	if err != nil {
		return nil, err
	}
	extras, err := j.extras(tasks)
	if err != nil {
		return nil, err
	}
	found, err := j.examineAll(ctx, append(slices.Clone(tasks), tasksOf(extras)...), m)
	if err != nil {
		return nil, err
	}
	r := newRun(j, m, tasks, extras, found)
	if r.folder, err = openFolder(j.Folder); err != nil {
		return nil, err
	}
	defer r.folder.close()
	m.root = r.folder.root
	return r.finish(ctx)
}

// finish does all that is to be done once nothing speaks against it.
func (r *run) finish(ctx context.Context) ([]Entry, error) {
	plan, err := r.Job.plan(r.extras)
	if err != nil {
		return nil, err
	}
	r.removeDeadParts()
	r.tellRedone(r.tasks, r.found)
	r.tellTorn()
	r.tellOfMovie()
	if err := r.tellFollowed(ctx); err != nil {
		return nil, err
	}
	if r.plan, err = r.manifest.plan(ctx, plan); err != nil {
		return nil, r.folder.why(err)
	}
	for _, do := range []func(context.Context) error{r.all, r.beside, r.markOutdated, r.lookOnce} {
		if err := do(ctx); err != nil {
			return r.finished(), err
		}
	}
	r.tellLeft()
	if r.manifest.worn() {
		if err := r.manifest.tidy(ctx); err != nil {
			return r.finished(), err
		}
	}
	files := r.finished()
	if err := r.markEmpty(ctx, files); err != nil {
		return files, err
	}
	return files, r.skippedError()
}

// checkRedo is an error where frames are to be made again that are not exported.
func (j Job) checkRedo() error {
	frames := j.Shard.Part(j.Frames)
	for _, s := range j.Redo {
		for n := s.From; n <= s.To; n++ {
			if !slices.Contains(frames, n) {
				return fmt.Errorf("export: frame %d is to be made again, and is not among the %d frames that this run exports", n, len(frames))
			}
		}
	}
	return nil
}

// mattes are those that have pictures of their own; one that is nil where the kind has
// none.
func (j Job) mattes() []*study.Matte {
	if !j.Kind.PerMatte() {
		return []*study.Matte{nil}
	}
	return j.Mattes
}

// nameOf is a matte's name, "" for none.
func nameOf(m *study.Matte) string {
	if m == nil {
		return ""
	}
	return m.Name
}

// tasks lists the pictures, frame by frame.
func (j Job) tasks() ([]task, error) {
	all, err := j.allTasks()
	part := j.Shard.Part(j.Frames)
	return slices.DeleteFunc(all, func(t task) bool { return len(part) == 0 || t.frame < part[0] || t.frame > part[len(part)-1] }), err
}

// allTasks lists the pictures of all shards. Two of one name are an error.
func (j Job) allTasks() ([]task, error) {
	mattes := j.mattes()
	if err := j.Pattern.Check(len(mattes), len(j.Frames)); err != nil {
		return nil, err
	}
	var tasks []task
	taken := map[string]task{}
	for _, frame := range j.Frames {
		for _, m := range mattes {
			name, err := j.nameOf(m, frame)
			if err != nil {
				return nil, err
			}
			t := task{m, frame, name}
			folded := study.Fold(name)
			if other, double := taken[folded]; double {
				return nil, fmt.Errorf("export: name pattern %q makes one name of %s and of %s, %s and %s where systems do not tell small letters from capitals: put something between its fields, or rename a matte", j.Pattern, other, t, other.name, t.name)
			}
			taken[folded] = t
			tasks = append(tasks, t)
		}
	}
	return tasks, nil
}

// nameOf is the name of a picture's file, relative to the folder.
func (j Job) nameOf(m *study.Matte, frame int) (string, error) {
	f := Fields{Clip: j.Study.Clip.Name(), Frame: frame, Version: max(j.Version, 1), Matte: j.Kind.name(nameOf(m))}
	return j.Pattern.Format(f)
}

// String names the picture for the user.
func (t task) String() string {
	if t.matte == nil {
		return fmt.Sprintf("frame %d", t.frame)
	}
	return fmt.Sprintf("%q at frame %d", t.matte.Name, t.frame)
}
