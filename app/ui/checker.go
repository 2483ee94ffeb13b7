package ui

import (
	"context"
	"fmt"
	"slices"
	"time"

	"halocline/app/check"
	"halocline/app/study"
	"halocline/app/ui/timeline"
)

// A verdict is what is known of a matte over the clip.
type verdict struct {
	matteID  int
	line     *check.Timeline // that it is from
	notes    timeline.Notes
	findings []check.Finding // the worst frames, the worst first
	judged   []check.Judged  // by ascending frame
	left     int             // frames that are still to be judged
	of       int
}

// at is what is known of a frame; nil for nothing.
func (v *verdict) at(frame int) *check.Judged {
	i, ok := slices.BinarySearchFunc(v.judged, frame, func(j check.Judged, f int) int { return j.Number - f })
	if !ok {
		return nil
	}
	return &v.judged[i]
}

// A checkJob asks for a matte to be judged over the clip.
type checkJob struct {
	shot    check.Shot
	matteID int
	line    *check.Timeline // keeps what was found
}

// A checker judges the chosen matte over the whole clip while the user rests,
// one frame at a time on one goroutine. Whatever he does puts it off.
type checker struct {
	jobs  *latest[checkJob]
	found func(verdict) // called from the background

	lines map[int]*check.Timeline // by matte; of Fyne's goroutine

	known   *study.Study // all else is of the worker: what it has worked out
	matteID int
	missing []int
}

const (
	// checkDelay is how long the hand must rest before frames are judged.
	checkDelay = 700 * time.Millisecond
	// tellEvery is how often the strip is brought up to date.
	tellEvery = 250 * time.Millisecond
	// Of a clip first each coarse-th frame is judged, of a long one before that
	// so many all over it.
	coarse      = 8
	firstSample = 60
	// worstTold is how many of the worst frames are told.
	worstTold = 10
	// flagged is how many of them have flags in the strip.
	flagged = 3
	// manyFrames is from how many on to see what an edit reaches takes a processor
	// so long that it could be felt.
	manyFrames = 1000
	// checkWide is the width of a frame from which a proxy is judged.
	checkWide = 2600
)

func newChecker(found func(verdict)) *checker {
	c := &checker{found: found, lines: map[int]*check.Timeline{}}
	c.jobs = newLatest(c.work)
	return c
}

// forget gives up all that is known: other footage is open.
func (c *checker) forget() { c.lines = map[int]*check.Timeline{} }

// line is what keeps the figures of a matte.
func (c *checker) line(matteID int) *check.Timeline {
	t := c.lines[matteID]
	if t == nil {
		t = new(check.Timeline)
		c.lines[matteID] = t
	}
	return t
}

func (c *checker) work(ctx context.Context, j checkJob) {
	if j.line == nil { // the hand is at work
		return
	}
	if c.known != j.shot.Study || c.matteID != j.matteID {
		wait := checkDelay / 4
		if len(j.shot.Frames) > manyFrames {
			wait = checkDelay
		}
		if !rest(ctx, wait) {
			return
		}
		c.missing = j.line.Update(&j.shot)
		c.known, c.matteID = j.shot.Study, j.matteID
		c.tell(j)
	}
	if len(c.missing) == 0 || !rest(ctx, checkDelay) {
		return
	}
	told := time.Now()
	// An error is that ctx has ended, or that the dabs cannot be read, which the
	// viewer tells of.
	j.shot.Each(ctx, inOrder(c.missing), func(f check.Frame) {
		j.line.Add(f)
		c.missing = slices.DeleteFunc(c.missing, func(n int) bool { return n == f.Number })
		if time.Since(told) >= tellEvery {
			c.tell(j)
			told = time.Now()
		}
	})
	c.tell(j)
}

// inOrder puts frames in the order in which the clip is soon seen as a whole.
func inOrder(frames []int) []int {
	if every := len(frames) / firstSample; every > 2*coarse {
		all := check.Order(frames, every)
		n := (len(frames) + every - 1) / every
		return append(all[:n:n], check.Order(all[n:], coarse)...)
	}
	return check.Order(frames, coarse)
}

func (c *checker) tell(j checkJob) {
	v := verdict{matteID: j.matteID, line: j.line, judged: j.line.Judged(), findings: j.line.Worst(worstTold), left: len(c.missing), of: len(j.shot.Frames)}
	v.notes = notesOf(v.judged, v.findings)
	c.found(v)
}

// notesOf are what the strip shows.
func notesOf(judged []check.Judged, found []check.Finding) (n timeline.Notes) {
	orNot := func(v *float64) float64 {
		if v == nil {
			return -1
		}
		return *v
	}
	for i := range judged {
		if j := &judged[i]; j.Err == nil {
			note := timeline.Note{Frame: j.Number, Area: j.Area, Flicker: orNot(j.Flicker), Leak: orNot(j.Leak()), Stale: j.Stale}
			if j.Seam != nil {
				note.Misfit = j.Seam.Misfit
			}
			n.Notes = append(n.Notes, note)
		}
	}
	for i, f := range found[:min(flagged, len(found))] {
		if f.StandsOut() {
			n.Flags = append(n.Flags, timeline.Flag{Frame: f.Frame, Rank: i + 1, Words: f.Sentence})
		}
	}
	return n
}

// check asks for the chosen matte to be judged over the clip, once the hand
// rests.
func (w *window) check() { w.checker.jobs.ask(w.checkJob()) }

// checkJob is what there is to be judged now: nothing while the hand is at work.
func (w *window) checkJob() checkJob {
	d := w.desk
	m := d.Matte()
	if m == nil || !w.several() || d.Dragging() || w.scrubbing || w.plays() {
		return checkJob{}
	}
	shot := check.Shot{Source: d.Work.Clip, Study: d.Study(), Settings: &m.Settings, Dabs: m.Dabs, Frames: w.frames(), Workers: 1}
	if d.Work.Clip.Info().Width >= checkWide {
		shot.Factor = 2
	}
	return checkJob{shot, m.ID, w.checker.line(m.ID)}
}

// takeVerdict shows what was found of the chosen matte over the clip.
func (w *window) takeVerdict(v verdict) {
	if v.matteID != w.desk.MatteID || v.line != w.checker.lines[v.matteID] || !w.several() {
		return
	}
	w.verdict = v
	w.time.area.SetNotes(v.notes)
	progress := ""
	if v.left > 0 {
		progress = fmt.Sprintf("%d %%", 100*(v.of-v.left)/v.of)
	}
	w.time.area.SetChecking(progress)
	w.judge.display()
	w.showMenus()
	if v.left == 0 {
		worst := check.Finding{Frame: -1}
		if len(v.findings) > 0 {
			worst = v.findings[0]
		}
		w.journal.tell("judged %d %d %.2f", v.of, worst.Frame, worst.Badness)
		w.tellPlaces()
	}
}

// nextWorst goes to the worst frame, or from one of the worst to the next.
func (w *window) nextWorst() {
	found := w.verdict.findings
	if len(found) == 0 {
		return
	}
	at := slices.IndexFunc(found, func(f check.Finding) bool { return f.Frame == w.desk.Frame })
	w.goToFrame(found[(at+1)%len(found)].Frame)
}

func (w *window) knowsWorst() bool {
	return w.several() && w.verdict.matteID == w.desk.MatteID && len(w.verdict.findings) > 0
}
