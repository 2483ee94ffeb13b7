package batch

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"halocline/app/check/shot"
	"halocline/app/clip"
	"halocline/app/contact"
	"halocline/app/export"
	"halocline/app/follow"
	"halocline/app/follow/kept"
	"halocline/app/study"
	"halocline/colour"
)

var checkVerb = verb{
	name: "check", usage: "STUDY [--matte NAME]... [--frames A-B,C] [--every N] [--truth DIR] [--workers N] [--cache DIR] [--progress json]",
	about: "Judge mattes over the clip, without a truth: the area on each frame, how wide the edge is, specks and holes, what leaks, " +
		"what flickers, how much the matte changes from the one before, carried along the motion (carriedChange: what moved counts too), how much the masks keep deep inside (core), where a mask cuts or sits off, where an outline that searches for an edge may cut the subject (crossings), how likely outlines that follow the picture are right (confidence, 0 to 1: below 0.6 set a key), which share of the edge masks end (maskedEdge; the pick makes the rest), how the grade of a trial sits in the picture (verdict; coverage has the regions that it should not reach, or leaves out); the summary has medians and the worst ten frames with what is wrong in words: they differ from the frames with dabs or keys, or from the rest of the clip. Flags that were dismissed in the window are left out. Figures are kept beside the study: what they depend on is not judged again. " +
		"All mattes unless --matte names some, all frames unless --frames does. A frame that cannot be read is told, and the rest is judged, without the dabs on it. " +
		"With --truth DIR, a folder of true mattes by frame number, also IoU and dtSSD (Erofeev et al. 2015).",
	examples: []string{
		"halocline-batch check transect.halocline",
		"halocline-batch check transect.halocline --matte skin --frames 1-72 --every 8",
		"halocline-batch check scene/sample.halocline --matte skin --truth scene/truth",
	},
	run: runCheck,
}

// worstTold is how many findings a summary has.
const worstTold = 10

type checkReport struct {
	Study   string       `json:"study"`
	Frames  string       `json:"frames"`            // of the clip that were judged
	Missing string       `json:"missing,omitempty"` // numbers that the clip lacks between them
	Mattes  []checkMatte `json:"mattes"`
}

// checkFlags are those of check.
type checkFlags struct {
	study, truth   string
	cache          *string
	names          list
	spans          []clip.Span
	every, workers int
	tell           func(export.Progress) // nil: nothing of the progress
}

func (c *call) checkFlags() (k checkFlags, err error) {
	f := c.newFlags()
	f.Var(&k.names, "matte", "name of a matte; may be given several times; all without it")
	frames := f.String("frames", "", "numbers and ranges such as 1-24,30; all without it")
	f.IntVar(&k.every, "every", 1, "judge every N-th of the frames, each with the one before it")
	f.StringVar(&k.truth, "truth", "", "folder of true mattes, or one of its files; names end in the frame's number")
	f.IntVar(&k.workers, "workers", 0, "frames judged at once; one for each processor without it")
	k.cache = cacheFlag(f)
	form := f.String("progress", "", "json: one object a line on stderr after each frame")
	args, err := c.parse(f, 1, 1)
	if err != nil {
		return k, err
	}
	k.study = args[0]
	if k.spans, err = parseFrames(f, *frames); err != nil {
		return k, err
	}
	k.tell, err = c.progress(*form)
	switch {
	case err != nil:
		return k, err
	case k.every < 1:
		return k, misuse("--every is %d, want 1 or more", k.every)
	case k.workers < 0:
		return k, misuse("--workers is %d, want 0 or more", k.workers)
	}
	return k, nil
}

func runCheck(ctx context.Context, c *call) error {
	k, err := c.checkFlags()
	if err != nil {
		return err
	}
	w, err := c.openStudy(ctx, k.study)
	if err != nil {
		return err
	}
	mattes, err := w.mattes(k.names)
	switch {
	case err != nil:
		return err
	case len(mattes) == 0:
		return fmt.Errorf("batch: %s has no mattes yet: make one with fit", w.Path)
	case k.truth != "" && len(mattes) > 1:
		return misuse("--truth is of one matte, the study has %s: name one with --matte", w.matteNames())
	}
	numbers, err := w.numbersOf(k.spans)
	if err != nil {
		return err
	}
	store := w.keepOutlines(*k.cache)
	j := checkJob{call: c, checkFlags: k, opened: w, numbers: numbers, order: contact.Every(numbers, k.every), lost: lostEdges{}, crossings: crossings{}}
	j.figures = kept.NewFigures(store.Path(), kept.FiguresMost, func(s string) { c.notice("%s", s) })
	j.total = len(j.order) * len(mattes)
	if k.truth != "" {
		if j.truths, err = w.truthsIn(k.truth, mattes[0], j.order, numbers); err != nil {
			return err
		}
	}
	report := checkReport{Study: k.study, Frames: clip.SpansText(clip.SpansOf(j.order)), Missing: j.missing(), Mattes: []checkMatte{}}
	for _, m := range mattes {
		line, err := j.judge(ctx, m)
		if err != nil {
			return err
		}
		report.Mattes = append(report.Mattes, reportCheck(w.Study, m, line))
		c.tellEmpty(m, line)
		c.tellDoubts(m, line)
		c.tellBites(m, line)
		c.tellGrades(m, line)
		c.tellBreaks(m, line)
	}
	j.lost.tell(c, w.Study)
	j.crossings.tell(c, w.Study)
	if err := c.printJSON(report); err != nil {
		return err
	}
	for _, m := range report.Mattes {
		if m.Summary.Judged == 0 && m.Summary.Unjudged > 0 {
			return fmt.Errorf("batch: none of the %d frames of matte %q could be judged", m.Summary.Unjudged, m.Name)
		}
	}
	return nil
}

// tellEmpty tells of a matte that keeps nothing on any frame: nothing stands out in it.
func (c *call) tellEmpty(m *study.Matte, line *shot.Timeline) {
	judged := 0
	for _, j := range line.Judged() {
		if j.Err != nil {
			continue
		}
		if j.Area > 0 {
			return
		}
		judged++
	}
	if judged > 0 {
		c.notice("matte %q keeps nothing on any of the %d frames judged", m.Name, judged)
	}
}

// tellDoubts tells on which frame a matte's outlines that follow the picture are the least
// likely right.
func (c *call) tellDoubts(m *study.Matte, line *shot.Timeline) {
	var d doubts
	for _, j := range line.Judged() {
		if j.Err == nil && j.Confidence != nil {
			d.add(j.Number, *j.Confidence)
		}
	}
	if words := d.words(); words != "" {
		c.notice("matte %q follows the picture on %s: %s", m.Name, frameCount(d.frames), words)
	}
}

// tellGrades tells on which frame the grade of a matte's trial is the furthest off by whole regions:
// it lies where it should not, or is left out.
func (c *call) tellGrades(m *study.Matte, line *shot.Timeline) {
	n, most, at := 0, 0., shot.Judged{}
	for _, j := range line.Judged() {
		if j.Err != nil || j.Coverage == nil || !j.Coverage.Wrong() {
			continue
		}
		n++
		if off := max(j.Coverage.Spilled, j.Coverage.Beyond, j.Coverage.Short); off > most {
			most, at = off, j
		}
	}
	if n > 0 {
		c.notice("matte %q, its trial: on %s the grade is off by whole regions, most on frame %d: %s", m.Name, frameCount(n), at.Number, at.Verdict())
	}
}

// tellBites tells on which frame a matte's pick leaves the most out of its masks, where it bites into
// them.
func (c *call) tellBites(m *study.Matte, line *shot.Timeline) {
	n, at := 0, shot.Judged{}
	for _, j := range line.Judged() {
		if j.Err != nil || !j.Bite.Bites() {
			continue
		}
		if n++; n == 1 || j.Bite.Kept < at.Bite.Kept {
			at = j
		}
	}
	if n > 0 {
		c.notice("matte %q on %s, most on frame %d: %s", m.Name, frameCount(n), at.Number, at.Bite.Words())
	}
}

// tellBreaks tells where the picture does not go on as usual on the way of a matte's outlines.
func (c *call) tellBreaks(m *study.Matte, line *shot.Timeline) {
	all := breaksOf(line)
	for _, k := range m.Masks {
		for _, sentence := range all[k.ID].Sentences() {
			c.notice("matte %q, mask %q: %s", m.Name, k.Name, sentence)
		}
	}
}

// breaksOf are those of each mask's outlines on the frames that were judged, by the masks' ids.
func breaksOf(line *shot.Timeline) map[int]follow.Breaks {
	all := map[int]follow.Breaks{}
	for _, j := range line.Judged() {
		for _, s := range j.Sure {
			b := all[s.Mask]
			b.Add(s.Breaks)
			all[s.Mask] = b
		}
	}
	return all
}

// A checkJob is the work of a call of check.
type checkJob struct {
	*call
	checkFlags
	opened
	numbers, order []int
	truths         func(context.Context, int) (colour.Plane, error)
	done, total    int // frames
	lost           lostEdges
	crossings      crossings
	figures        *kept.Folder
}

// missing returns which numbers the clip lacks where all of it is judged, and tells.
func (j *checkJob) missing() string {
	gaps := j.Clip.Missing()
	if j.spans != nil || len(gaps) == 0 {
		return ""
	}
	text := clip.SpansText(gaps)
	j.notice("The clip lacks %s: what changes across a gap is not judged.", text)
	return text
}

// judge judges one matte.
func (j *checkJob) judge(ctx context.Context, m *study.Matte) (*shot.Timeline, error) {
	over := &shot.Shot{
		Source: j.Clip, Study: j.Study, Settings: &m.Settings, Dabs: j.Study.DabsOf(m),
		Frames: j.numbers, Truth: j.truths, Workers: j.workers, Carry: true, Beside: j.Renderer, Figures: j.figures,
		Lost: func(frames []int, why error) {
			j.notice("The dabs of matte %q on %s cannot be read and do not count: %v", m.Name, clip.FramesWord(clip.SpansOf(frames)), why)
		},
	}
	line := new(shot.Timeline)
	line.Update(over)
	return line, over.Each(ctx, j.order, func(f shot.Frame) {
		line.Add(f)
		j.lost.add(f.Number, f.LostEdges)
		j.crossings.add(f.Number, f.Crossings)
		if f.Err != nil {
			j.notice("Frame %d cannot be judged: %v", f.Number, f.Err)
		}
		if j.done++; j.tell != nil {
			j.tell(export.Progress{Done: j.done, Total: j.total, Entry: export.Entry{Frame: f.Number, Name: m.Name}})
		}
	})
}

// numbersOf returns the frames of the clip within spans, all for none. That some of
// them cannot be read is found as they are judged.
func (w opened) numbersOf(spans []clip.Span) ([]int, error) {
	if spans == nil {
		return w.Clip.Frames(), nil
	}
	frames, missing := w.Clip.Select(spans)
	if len(missing) > 0 {
		return nil, w.lacks(missing)
	}
	return frames, nil
}

// truthsIn returns what reads the true mattes of a matte from a folder, where there
// is one for every frame that is judged and for the one before it.
func (w opened) truthsIn(path string, m *study.Matte, order, numbers []int) (func(context.Context, int) (colour.Plane, error), error) {
	truths, err := openTruths(path, m.Name)
	if err != nil {
		return nil, err
	}
	has := map[int]bool{}
	for _, n := range numbers {
		has[n] = true
	}
	var lacking []int
	for _, n := range order {
		if has[n-1] && !truths.Has(n-1) && (len(lacking) == 0 || lacking[len(lacking)-1] != n-1) {
			lacking = append(lacking, n-1)
		}
		if !truths.Has(n) {
			lacking = append(lacking, n)
		}
	}
	if len(lacking) > 0 {
		return nil, fmt.Errorf("batch: %s (%s) lacks a true matte of frame %s, want one for each frame that is judged and the one before it: --frames names fewer",
			path, truths.Name(), clip.SpansText(clip.SpansOf(lacking)))
	}
	width, height := w.Clip.Info().Width, w.Clip.Info().Height
	return func(ctx context.Context, n int) (colour.Plane, error) {
		p, _, err := clip.ReadGrey(ctx, truths.Path(n))
		if err == nil && (p.W != width || p.H != height) {
			err = fmt.Errorf("batch: true matte %s is %d x %d pixels, want %d x %d as the frames", truths.Path(n), p.W, p.H, width, height)
		}
		return p, err
	}, nil
}

// openTruths opens the one sequence of a folder; of several, that whose names begin
// with the matte's.
func openTruths(path, matte string) (*clip.Clip, error) {
	truths, err := clip.OpenSequence(path)
	if !errors.Is(err, clip.ErrSequence) {
		return truths, err
	}
	files, _ := os.ReadDir(path)
	for _, f := range files {
		rest, ok := strings.CutPrefix(strings.ToLower(f.Name()), strings.ToLower(study.SafeName(matte)))
		if ok && strings.Trim(rest[:len(rest)-len(filepath.Ext(rest))], "0123456789._-") == "" {
			if truths, err := clip.OpenSequence(filepath.Join(path, f.Name())); err == nil {
				return truths, nil
			}
		}
	}
	return nil, fmt.Errorf("%w; or names that begin with that of the matte, %s", err, study.SafeName(matte))
}
