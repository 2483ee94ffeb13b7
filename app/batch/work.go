package batch

import (
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"strconv"
	"strings"

	"halocline/app/clip"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
)

// opened is what a verb works on.
type opened struct {
	*work.Work
	call *call // that opened it, and has the locks
}

// footageFlags say how footage is read.
type footageFlags struct {
	sequence      *bool
	matrix, codes *string
}

// addFootage adds the flags of footage to a verb that opens pictures and movies.
func addFootage(f *flag.FlagSet) footageFlags {
	return footageFlags{
		f.Bool("sequence", false, "the picture stands for the numbered sequence that it belongs to"),
		f.String("matrix", "", "a movie's matrix where its tag is wrong: "+strings.Join(colour.LumaNames(), ", ")+"; tagged follows the tag again"),
		f.String("range", "", "a movie's range of codes where its tag is wrong: "+strings.Join(colour.RangeNames(), ", ")+"; tagged follows the tag again"),
	}
}

// options changes what was chosen before by what the flags say.
func (h footageFlags) options(o clip.Options) clip.Options {
	for _, c := range []struct{ given, to *string }{{h.matrix, &o.Matrix}, {h.codes, &o.Range}} {
		switch *c.given {
		case "":
		case "tagged":
			*c.to = ""
		default:
			*c.to = *c.given
		}
	}
	return o
}

func (h footageFlags) check() error {
	if _, err := colour.LumaNamed(*h.matrix); err != nil && *h.matrix != "" && *h.matrix != "tagged" {
		return misuse("--matrix is %q, want one of %s, tagged", *h.matrix, strings.Join(colour.LumaNames(), ", "))
	}
	if _, err := colour.IsFull(*h.codes); err != nil && *h.codes != "" && *h.codes != "tagged" {
		return misuse("--range is %q, want %s or tagged", *h.codes, strings.Join(colour.RangeNames(), ", "))
	}
	return nil
}

// open opens a study, or a picture, a movie or a folder, for which it makes a new
// study, until the verb ends. Of footage it tells what could not be taken as it
// stands.
func (c *call) open(ctx context.Context, path string, how footageFlags) (opened, error) {
	if err := how.check(); err != nil {
		return opened{}, err
	}
	var w *work.Work
	var err error
	switch isStudy, coded := work.IsStudy(path), *how.matrix != "" || *how.codes != ""; {
	case *how.sequence && isStudy:
		return opened{}, misuse("--sequence has no meaning for a study: it knows its footage")
	case *how.sequence:
		w, err = work.OpenSequence(ctx, path)
	case coded && isStudy:
		w, err = openCoded(ctx, path, how)
	case coded && clip.IsMovie(path):
		w, err = work.OpenMovie(ctx, path, how.options(clip.Options{}))
	case coded:
		return opened{}, misuse("--matrix and --range have no meaning for %s: they are for movies", path)
	default:
		w, err = work.Open(ctx, path)
	}
	if errors.Is(err, clip.ErrSequence) && !*how.sequence {
		err = fmt.Errorf("%w, with --sequence", err)
	}
	if err != nil {
		return opened{}, err
	}
	if w.Path == "" {
		for _, n := range w.Notices {
			c.notice("%s", n)
		}
	}
	c.took(w)
	return opened{w, c}, nil
}

// took tells what of a study's file is not known, and has its footage closed
// when the verb ends.
func (c *call) took(w *work.Work) {
	c.tellUnknown(w.Unknown)
	c.atEnd = append(c.atEnd, w.Close)
}

// tellUnknown tells which fields of a study's file are not known, "" for none.
func (c *call) tellUnknown(said string) {
	if said != "" {
		c.notice("%s", said)
	}
}

// openCoded opens a study of a movie with another matrix or range, which it then
// keeps.
func openCoded(ctx context.Context, path string, how footageFlags) (*work.Work, error) {
	return work.OpenStudyAs(ctx, path, func(c *study.Clip) error {
		if !clip.IsMovie(c.Path) {
			return misuse("--matrix and --range have no meaning for %s: they are for movies", c.Path)
		}
		o := how.options(clip.Options{Matrix: c.Matrix, Range: c.Range})
		c.Matrix, c.Range = o.Matrix, o.Range
		return nil
	})
}

// openStudy opens a study until the verb ends.
func (c *call) openStudy(ctx context.Context, path string) (opened, error) {
	w, err := work.OpenStudy(ctx, path)
	if err == nil {
		c.took(w)
	}
	return opened{w, c}, err
}

// openToChange is openStudy for a verb that saves the study: nobody else changes it
// until then.
func (c *call) openToChange(ctx context.Context, path string) (opened, error) {
	if err := c.lockStudy(ctx, path); err != nil {
		return opened{}, err
	}
	return c.openStudy(ctx, path)
}

// openMatte opens a study, and finds one of its mattes and the frame that is meant.
func (c *call) openMatte(ctx context.Context, path, matte string, f *flag.FlagSet, onFrame *int) (w opened, m *study.Matte, frame int, err error) {
	if w, err = c.openStudy(ctx, path); err != nil {
		return w, nil, 0, err
	}
	if m, err = w.matte(matte); err != nil {
		return w, nil, 0, err
	}
	frame, err = w.frameOf(f, onFrame)
	return w, m, frame, err
}

// lockStudy takes the lock of a study that is there, until it is saved or the verb
// ends. A path of anything else is left to who opens it.
func (c *call) lockStudy(ctx context.Context, path string) error {
	if _, err := os.Stat(path); err != nil || !work.IsStudy(path) {
		return nil
	}
	return c.lock(ctx, path)
}

// lock takes the lock of a study's file unless the call has it.
func (c *call) lock(ctx context.Context, path string) error {
	name := study.LockPath(path)
	if c.locks[name] != nil {
		return nil
	}
	l, err := study.Acquire(ctx, path)
	if err != nil {
		return err
	}
	if c.locks == nil {
		c.locks = map[string]*study.Lock{}
	}
	c.locks[name] = l
	c.atEnd = append(c.atEnd, l.Release)
	return nil
}

// unlock gives up the lock of a study's file.
func (c *call) unlock(path string) error {
	name := study.LockPath(path)
	l := c.locks[name]
	delete(c.locks, name)
	return l.Release()
}

// frameFlag names the frame that a verb is about.
func frameFlag(f *flag.FlagSet) *int {
	return f.Int("frame", 0, "the frame that is meant, by the source's number; the first without it")
}

// keyFlag makes what is set a key.
func keyFlag(f *flag.FlagSet) *bool {
	return f.Bool("key", false, "make what is given a key at --frame, between which values travel; a value that has keys gets one anyway")
}

// frameOf returns the frame that frameFlag means. One that the clip lacks is an
// error.
func (w opened) frameOf(f *flag.FlagSet, given *int) (int, error) {
	if !isSet(f, "frame") {
		return w.Study.Clip.First, nil
	}
	if !w.Clip.Has(*given) {
		return 0, fmt.Errorf("batch: %s has no frame %d of --frame, want one of %s", w.Clip.Name(), *given, clip.SpansText(w.Clip.Spans()))
	}
	return *given, nil
}

// save writes the study to out, or where it came from, or beside its picture; of
// a sequence beside its frames, under the name that they share. A file that it did
// not come from is never replaced. It is written under its lock, which is given up then.
func (w opened) save(ctx context.Context, out string) error {
	path := w.Path
	switch {
	case out != "":
		path = out
	case path == "":
		path = w.Beside()
	}
	if !work.IsStudy(path) {
		return misuse("study file is %q, want a name that ends with %s", path, study.Ending)
	}
	if err := w.call.lock(ctx, path); err != nil {
		return err
	}
	if sameFile(path, w.Path) {
		if err := w.File.CheckUnchanged(path); err != nil {
			return err
		}
	} else {
		if _, err := os.Lstat(path); !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("batch: %s exists: give that study instead of the picture, or another name with --study", path)
		}
	}
	w.Path = path
	if err := study.Save(path, w.Study); err != nil {
		return err
	}
	return w.call.unlock(path)
}

func sameFile(a, b string) bool {
	infoA, errA := os.Stat(a)
	infoB, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(infoA, infoB)
}

// matte returns the matte that a name means.
func (w opened) matte(name string) (*study.Matte, error) {
	if m := w.Study.MatteNamed(name); m != nil {
		return m, nil
	}
	return nil, fmt.Errorf("batch: %s has no matte %q, want one of %s", cmp.Or(w.Path, w.Clip.Name()), name, w.matteNames())
}

func (w opened) matteNames() string {
	if len(w.Study.Mattes) == 0 {
		return "none: it has no mattes yet"
	}
	return quotedNames(w.Study.Mattes, func(m study.Matte) string { return m.Name })
}

// quotedNames lists the names of things in quotes, "none" where there are none.
func quotedNames[T any](all []T, name func(T) string) string {
	var names []string
	for _, one := range all {
		names = append(names, strconv.Quote(name(one)))
	}
	return cmp.Or(strings.Join(names, ", "), "none")
}
