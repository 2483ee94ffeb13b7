package ui

import (
	"context"
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
