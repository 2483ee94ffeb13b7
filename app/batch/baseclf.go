package batch

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"reflect"
	"strings"

	"halocline/app/clf"
	"halocline/app/export"
	"halocline/app/regular"
	"halocline/app/study"
	"halocline/colour"
)

// clfFlags are those of base that write it to files of the Common LUT Format.
type clfFlags struct {
	out, frames string
	overwrite   bool
}

func (q *clfFlags) add(f *flag.FlagSet) {
	f.StringVar(&q.out, "clf", "", "file of the Common LUT Format to write base to, a .clf, as it stands at the frames")
	f.StringVar(&q.frames, "frames", "", "with --clf, numbers and ranges such as 1-24,30; all without it")
	f.BoolVar(&q.overwrite, "overwrite", false, "with --clf, replace files that are there with other bytes")
}

// checkCLF says what does not go with --clf, and what goes with it alone.
func (b *baseFlags) checkCLF() error {
	for _, name := range []string{"frames", "overwrite"} {
		if isSet(b.set, name) && !isSet(b.set, "clf") {
			return misuse("--%s has no meaning without --clf", name)
		}
	}
	if !isSet(b.set, "clf") {
		return nil
	}
	for _, name := range []string{"key", "sequence", "matrix", "range", "study"} {
		if isSet(b.set, name) {
			return misuse("--%s has no meaning with --clf, which writes base as it stands", name)
		}
	}
	switch {
	case b.asked():
		return misuse("--clf writes base as it stands: set it first, in a call of its own")
	case !strings.HasSuffix(strings.ToLower(b.clf.out), clf.Ending):
		return misuse("--clf is %q, want a name that ends in %s", b.clf.out, clf.Ending)
	case isSet(b.set, "frame") && isSet(b.set, "frames"):
		return misuse("--frame and --frames are both given, want one")
	}
	return nil
}

type clfResult struct {
	Study string    `json:"study"`
	Files []clfFile `json:"files"`
	Notes []string  `json:"notes"`
}

// A clfFile is a file of base, and the frames that it is for.
type clfFile struct {
	File    string `json:"file"`
	Frames  string `json:"frames"`
	Neutral bool   `json:"neutral"` // it changes nothing
	Left    bool   `json:"left"`    // it was there with these bytes
	// Off is the largest difference from what mattes were made on, in code values.
	Off codesReport `json:"largestDifference"`
	// AtJump is the same where a BT.709 source's curve itself jumps, at 0.081.
	AtJump *codesReport `json:"largestDifferenceAtJump,omitempty"`

	list *clf.List
}

type codesReport struct {
	Bits8  float64 `json:"codesOf8Bits"`
	Bits10 float64 `json:"codesOf10Bits"`
}

func reportCodes(off float64) codesReport {
	return codesReport{clf.Codes(off, 8), clf.Codes(off, 10)}
}

// writeCLF writes base at frames: a file for each run of frames with one base.
func (c *call) writeCLF(ctx context.Context, path string, b *baseFlags) error {
	w, err := c.openStudy(ctx, path)
	if err != nil {
		return err
	}
	frames, err := b.clfFrames(w)
	if err != nil {
		return err
	}
	result := clfResult{Study: w.Path, Notes: []string{}}
	if result.Files, err = clfFiles(ctx, w.Study, frames, b.clf.out); err != nil {
		return err
	}
	if err := leaveEqual(result.Files, b.clf.overwrite); err != nil {
		return err
	}
	for _, f := range result.Files {
		if err := f.write(ctx); err != nil {
			return err
		}
		if f.Neutral {
			result.Notes = append(result.Notes, fmt.Sprintf("base of %s is neutral: %s changes nothing", f.about(), f.File))
		}
	}
	return c.printJSON(result)
}

// clfFrames returns the frames whose base is to be written. Their footage is not read:
// one that has gone missing has a base too.
func (b *baseFlags) clfFrames(w opened) ([]int, error) {
	if isSet(b.set, "frame") {
		frame, err := w.frameOf(b.set, b.frame)
		return []int{frame}, err
	}
	spans, err := parseFrames(b.set, b.clf.frames)
	if err != nil {
		return nil, err
	}
	return w.allFramesOf(spans)
}

// A baseRun is frames one after the other with one base.
type baseRun struct {
	base   colour.Base
	frames []int
}

func baseRuns(b *study.Base, frames []int) (runs []baseRun) {
	for _, n := range frames {
		at := b.At(n)
		if last := len(runs) - 1; last >= 0 && runs[last].base == at {
			runs[last].frames = append(runs[last].frames, n)
			continue
		}
		runs = append(runs, baseRun{at, []int{n}})
	}
	return runs
}

// clfFiles makes the lists of base at frames, and their names: out for one, else with
// the number of the first frame of each.
func clfFiles(ctx context.Context, s *study.Study, frames []int, out string) (files []clfFile, err error) {
	runs := baseRuns(&s.Base, frames)
	for _, run := range runs {
		f := clfFile{File: out, Frames: export.FramesText(run.frames), Neutral: run.base.IsNeutral()}
		if len(runs) > 1 {
			stem, ending := out[:len(out)-len(clf.Ending)], out[len(out)-len(clf.Ending):]
			f.File = fmt.Sprintf("%s.%06d%s", stem, run.frames[0], ending)
		}
		list, off, err := clf.Base(ctx, run.base)
		if err != nil {
			return nil, err
		}
		f.Off = reportCodes(off.Elsewhere)
		if off.Largest > off.Elsewhere {
			jump := reportCodes(off.Largest)
			f.AtJump = &jump
		}
		f.list = list
		if err := f.tell(s, run, off); err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return files, nil
}

// about is the frames in words.
func (f *clfFile) about() string {
	if strings.ContainsAny(f.Frames, "-,") {
		return "frames " + f.Frames
	}
	return "frame " + f.Frames
}

// tell has the list say what it is.
func (f *clfFile) tell(s *study.Study, run baseRun, off clf.Difference) error {
	name := s.Clip.Name()
	f.list.Name = fmt.Sprintf("base of %s, %s", name, f.about())
	f.list.Notes = []string{
		fmt.Sprintf("Halocline: base of %s, %s: the correction of light and water that its mattes were made after. Apply it to the clip's pictures as they are; then the matte; then the grade.", name, f.about()),
		"Largest difference from Halocline's own base: " + off.String() + ".",
	}
	if f.Neutral {
		f.list.Notes[0] += " It is neutral and changes nothing."
	}
	f.list.Input = fmt.Sprintf("pictures of %s: R, G, B of full range, curve %s, the clip's own primaries", name, run.base.Input)
	f.list.Output = "the same primaries, encoded as sRGB, IEC 61966-2-1"
	if f.Neutral {
		f.list.Output = "the same"
	}
	return f.list.Identify()
}

// leaveEqual marks the files that are there with the bytes they are to have. Others that
// are there are an error without overwrite, before anything is written.
func leaveEqual(files []clfFile, overwrite bool) error {
	for i := range files {
		f := &files[i]
		switch _, err := os.Lstat(f.File); {
		case errors.Is(err, fs.ErrNotExist):
			continue
		case err != nil:
			return err
		}
		text, err := f.list.Text()
		if err != nil {
			return err
		}
		if f.Left, err = hasBytes(f.File, text); err != nil {
			return err
		}
		if !f.Left && !overwrite {
			return fmt.Errorf("batch: %s exists with other bytes: give another name, or --overwrite", f.File)
		}
	}
	return nil
}

// write writes the file, unless it is there, and reads it back.
func (f clfFile) write(ctx context.Context) error {
	if f.Left || ctx.Err() != nil {
		return ctx.Err()
	}
	if err := clf.Write(f.File, f.list); err != nil {
		return err
	}
	back, err := clf.Read(f.File)
	if err != nil {
		return err
	}
	if !reflect.DeepEqual(back, f.list) {
		return fmt.Errorf("batch: %s does not read back as it was written", f.File)
	}
	return nil
}

// hasBytes reports whether a file has these bytes.
func hasBytes(path string, want []byte) (bool, error) {
	f, info, err := regular.Open(path)
	if err != nil {
		return false, fmt.Errorf("batch: %w", err)
	}
	defer f.Close()
	if info.Size() != int64(len(want)) {
		return false, nil
	}
	got, err := io.ReadAll(io.LimitReader(f, int64(len(want))+1))
	return bytes.Equal(got, want), err
}
