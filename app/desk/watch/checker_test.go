package watch

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/shot"
	"halocline/app/render"
	"halocline/app/study"
)

func jobOf(s *study.Study, src render.Source, frames []int, line *shot.Timeline) CheckJob {
	m := &s.Mattes[0]
	return CheckJob{Shot: shot.Shot{Source: src, Study: s, Settings: &m.Settings, Dabs: m.Dabs, Frames: frames, Workers: 1}, MatteID: m.ID, Line: line}
}

// whole is the first verdict in which nothing is left.
func whole(t *testing.T, told chan Verdict) Verdict {
	t.Helper()
	for end := time.After(20 * time.Second); ; {
		select {
		case v := <-told:
			if v.Left == 0 && v.Of > 0 {
				return v
			}
		case <-end:
			require.FailNow(t, "the clip is not judged")
		}
	}
}

func TestAClipIsJudgedOnceTheHandRests(t *testing.T) {
	t.Parallel()
	s, _, src := newScene(t, 6)
	src.gone.Store(3)
	frames := []int{0, 1, 2, 3, 4, 5}
	told := make(chan Verdict, 99)
	c := NewChecker(func(v Verdict) { told <- v })
	defer c.Jobs.Stop()
	line := new(shot.Timeline)
	c.Jobs.Ask(jobOf(s, src, frames, line))
	c.Jobs.Ask(CheckJob{}) // the hand is at work again
	time.Sleep(checkDelay / 2)
	assert.Zero(t, src.reads.Load(), "nothing is read while it is")
	c.Jobs.Ask(jobOf(s, src, frames, line))
	first := <-told
	assert.Equal(t, 6, first.Left, "what is to be judged is told first")
	assert.Empty(t, first.Judged)
	v := whole(t, told)
	assert.Equal(t, 6, v.Of)
	assert.Same(t, line, v.Line)
	assert.Equal(t, s.Mattes[0].ID, v.MatteID)
	for _, n := range frames {
		require.NotNil(t, v.At(n), n)
		assert.Equal(t, n, v.At(n).Number)
		assert.Equal(t, n == 3, v.At(n).Err != nil, "a frame that cannot be read is judged as such")
	}
	assert.Nil(t, v.At(6))
	assert.True(t, slices.ContainsFunc(v.Findings, func(f shot.Finding) bool { return f.Frame == 3 && f.Unjudged }))

	// What an edit does not reach is not judged again.
	again := s.Clone()
	again.Mattes[0].Note = "x"
	reads := src.reads.Load()
	c.Jobs.Ask(jobOf(again, src, frames, line))
	v = whole(t, told)
	assert.LessOrEqual(t, src.reads.Load(), reads+2, "at most the one that could not be read, and the one before it")
}

func TestNothingIsKnownOfAFrameThatWasNotJudged(t *testing.T) {
	v := Verdict{Judged: []shot.Judged{{Frame: shot.Frame{Number: 3}}, {Frame: shot.Frame{Number: 7}}}}
	for n := range 10 {
		assert.Equal(t, n == 3 || n == 7, v.At(n) != nil, n)
	}
	assert.Nil(t, Verdict{}.At(0))
}

// Every frame has its turn once, however long the clip, and of a clip that is not long
// each eighth comes first.
func TestTheOrderOfJudging(t *testing.T) {
	for _, n := range []int{0, 1, 2, 7, 8, 9, 64, 100, 959, 960, 1200, 5000} {
		all := make([]int, n)
		for i := range all {
			all[i] = 10 + i
		}
		order := inOrder(all)
		assert.Len(t, order, n)
		assert.True(t, slices.Equal(all, slices.Sorted(slices.Values(order))), "%d: each once", n)
		if n >= 64 && n < 960 {
			assert.Equal(t, []int{10, 18, 26}, order[:3])
		}
	}
}

// While frames are judged anew, what was found of the others stays, and what is new is told once
// all are judged.
func TestFindingsDoNotJumpWhileFramesAreJudged(t *testing.T) {
	s, _, src := newScene(t, 6)
	src.gone.Store(3)
	var told []Verdict
	c := &Checker{found: func(v Verdict) { told = append(told, v) }, settled: map[*shot.Timeline][]shot.Finding{}}
	job := jobOf(s, src, []int{0, 1, 2, 3, 4, 5}, new(shot.Timeline))
	c.missing = job.Line.Update(&job.Shot)
	judge := func(frames ...int) {
		require.NoError(t, job.Shot.Each(t.Context(), frames, func(f shot.Frame) {
			job.Line.Add(f)
			c.missing = slices.DeleteFunc(c.missing, func(n int) bool { return n == f.Number })
			c.tell(job)
		}))
	}
	judge(3, 4, 5)
	for _, v := range told {
		assert.Empty(t, v.Findings, "the first time nothing is told until all are judged")
	}
	judge(0, 1, 2)
	last := told[len(told)-1]
	require.NotEmpty(t, last.Findings)
	assert.Equal(t, 3, last.Findings[0].Frame)

	c.missing, told = []int{0, 1, 2}, nil // as after an edit that reaches these alone
	c.tell(job)
	require.NotEmpty(t, told[0].Findings)
	assert.Equal(t, 3, told[0].Findings[0].Frame, "frame 3 is as it was")
	c.missing = []int{3}
	c.tell(job)
	assert.False(t, slices.ContainsFunc(told[1].Findings, func(f shot.Finding) bool { return f.Frame == 3 }), "it has changed")
}
