package watch

import (
	"context"
	"slices"
	"time"

	"halocline/app/check/shot"
	"halocline/app/study"
)

// A Verdict is what is known of a matte over the clip.
type Verdict struct {
	MatteID  int
	Study    *study.Study   // that was judged
	Line     *shot.Timeline // that it is from
	Findings []shot.Finding // the worst frames, the worst first; see Checker
	Judged   []shot.Judged  // by ascending frame
	Left     int            // frames that are still to be judged
	Of       int            // all frames
}

// At is what is known of a frame; nil for nothing.
func (v Verdict) At(frame int) *shot.Judged {
	i, ok := slices.BinarySearchFunc(v.Judged, frame, func(j shot.Judged, f int) int { return j.Number - f })
	if !ok {
		return nil
	}
	return &v.Judged[i]
}

// A CheckJob asks for a matte to be judged over the clip.
type CheckJob struct {
	Shot    shot.Shot
	MatteID int
	Line    *shot.Timeline // keeps what was found
}

// A Checker judges the chosen matte over the whole clip while the user rests,
// one frame at a time on one goroutine. Whatever he does puts it off.
//
// While frames are judged the findings are those of the last time that all were, without those
// on frames that have changed since: they do not jump with each frame that comes. New ones are
// told once all are judged.
type Checker struct {
	Jobs  *Latest[CheckJob]
	found func(Verdict) // called from the background

	known   *study.Study // all else is of the worker: what it has worked out
	matteID int
	missing []int
	settled map[*shot.Timeline][]shot.Finding // what was found when all frames were judged last
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
	// WorstTold is how many of the worst frames are told.
	WorstTold = 10
	// manyFrames is from how many on to see what an edit reaches takes a processor
	// so long that it could be felt.
	manyFrames = 1000
	// WideFrame is the width of a frame from which a proxy is judged.
	WideFrame = 2600
)

// NewChecker starts a checker. found is called on its goroutine. Jobs.Stop ends it.
func NewChecker(found func(Verdict)) *Checker {
	c := &Checker{found: found, settled: map[*shot.Timeline][]shot.Finding{}}
	c.Jobs = NewLatest(c.work)
	return c
}

func (c *Checker) work(ctx context.Context, j CheckJob) {
	if j.Line == nil { // the hand is at work
		return
	}
	if c.known != j.Shot.Study || c.matteID != j.MatteID {
		wait := checkDelay / 4
		if len(j.Shot.Frames) > manyFrames {
			wait = checkDelay
		}
		if !Rest(ctx, wait) {
			return
		}
		c.missing = j.Line.Update(&j.Shot)
		c.known, c.matteID = j.Shot.Study, j.MatteID
		c.tell(j)
	}
	if len(c.missing) == 0 || !Rest(ctx, checkDelay) {
		return
	}
	told := time.Now()
	// An error is that ctx has ended. Dabs that cannot be read the viewer tells of.
	j.Shot.Each(ctx, inOrder(c.missing), func(f shot.Frame) {
		j.Line.Add(f)
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
		all := shot.Order(frames, every)
		n := (len(frames) + every - 1) / every
		return append(all[:n:n], shot.Order(all[n:], coarse)...)
	}
	return shot.Order(frames, coarse)
}

func (c *Checker) tell(j CheckJob) {
	c.found(Verdict{MatteID: j.MatteID, Study: j.Shot.Study, Line: j.Line, Judged: j.Line.Judged(), Findings: c.findings(j), Left: len(c.missing), Of: len(j.Shot.Frames)})
}

// findings are those of the last time that all frames were judged, which is now where none is
// missing, on frames that are as they were then. There are more than are told by as many as were
// put away.
func (c *Checker) findings(j CheckJob) []shot.Finding {
	if len(c.missing) == 0 {
		most := WorstTold
		if m := j.Shot.Study.Matte(j.MatteID); m != nil {
			most += len(m.Dismissed)
		}
		c.settled[j.Line] = j.Line.Worst(most)
	}
	c.settled[j.Line] = slices.DeleteFunc(slices.Clone(c.settled[j.Line]), func(f shot.Finding) bool { return slices.Contains(c.missing, f.Frame) })
	return c.settled[j.Line]
}
