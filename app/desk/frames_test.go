package desk

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/study"
)

func TestGoingFromFrameToFrame(t *testing.T) {
	r := newRig(t, 9, 4, 5)
	assert.Equal(t, []int{1, 2, 3, 6, 7, 8, 9}, r.Frames())
	assert.True(t, r.Several())
	for _, tt := range []struct{ from, by, want int }{
		{1, 1, 2}, {3, 1, 6}, {6, -1, 3}, {1, -1, 1}, {9, 1, 9}, {2, 4, 8}, {2, 40, 9}, {8, -40, 1},
	} {
		r.GoToFrame(tt.from)
		r.MoveFrame(tt.by)
		assert.Equal(t, tt.want, r.Frame, tt)
	}
	assert.Equal(t, "frame 1 of 1–9", r.FrameText())
	for n, there := range map[int]bool{0: false, 1: true, 4: false, 6: true, 10: false} {
		assert.Equal(t, there, r.HasFrame(n), n)
	}
}

func TestAStillHasOneFrame(t *testing.T) {
	r := newRig(t, 1)
	assert.False(t, r.Several())
	assert.Empty(t, r.FrameText())
	assert.Len(t, r.Frames(), 1)
	assert.False(t, r.PartOnly())
	assert.False(t, r.IsMovie())
	assert.False(t, r.HasRate())
	assert.False(t, r.Play(false, 1, func() {}))
	r.MoveFrame(1)
	assert.Equal(t, r.Frames()[0], r.Frame)
}

func TestAnotherFrameGivesADragUp(t *testing.T) {
	r := newRig(t, 4)
	r.Slide("Soften", study.Moved, softened(3))
	r.GoToFrame(1)
	assert.True(t, r.Dragging(), "the frame that is shown is no other")
	before := time.Now()
	r.GoToFrame(2)
	assert.False(t, r.Dragging())
	assert.Zero(t, r.soften())
	assert.True(t, r.Going)
	assert.False(t, r.Moved.Before(before))
	assert.Empty(t, r.labels())
}

// The playhead is followed; what depends on the frame besides its picture comes when
// the hand rests.
func TestThePlayheadIsDragged(t *testing.T) {
	r := newRig(t, 8)
	r.Slide("Soften", study.Moved, softened(3))
	r.changes = 0
	for n := 2; n <= 5; n++ {
		r.Seek(n, study.Moved)
		assert.Equal(t, n, r.Frame)
		assert.True(t, r.Scrubbing)
	}
	assert.Equal(t, 4, r.sought)
	assert.Equal(t, 1, r.changes, "the drag that was given up alone")
	assert.Nil(t, r.CheckJob().Line, "nothing is judged meanwhile")
	r.Seek(6, study.Done)
	assert.Equal(t, 6, r.Frame)
	assert.False(t, r.Scrubbing)
	assert.False(t, r.Going, "its picture is known from the drag")
	assert.Equal(t, 4, r.sought)
	assert.Equal(t, 2, r.changes)
	r.rest()
	assert.Equal(t, 6, r.Found.Frame)
	r.Seek(2, study.Done)
	assert.True(t, r.Going, "a press goes to a frame")
	r.Seek(7, study.Moved)
	r.Seek(2, study.Cancelled)
	assert.Equal(t, 2, r.Frame)
	assert.False(t, r.Scrubbing)
}

func TestThePartInWork(t *testing.T) {
	r := newRig(t, 12, 5, 6)
	assert.Equal(t, [2]int{1, 12}, r.Ends)
	for _, tt := range []struct {
		what string
		act  func()
		want [2]int
		part bool
	}{
		{"begins at 4", func() { r.GoToFrame(4); r.BeginHere() }, [2]int{4, 12}, true},
		{"ends at 9", func() { r.GoToFrame(9); r.EndHere() }, [2]int{4, 9}, true},
		{"begins after its end", func() { r.GoToFrame(11); r.BeginHere() }, [2]int{11, 11}, true},
		{"ends before its beginning", func() { r.GoToFrame(3); r.EndHere() }, [2]int{3, 3}, true},
		{"whole", r.WholeClip, [2]int{1, 12}, false},
		{"ends in the wrong order", func() { r.SetEnds(9, 2) }, [2]int{2, 9}, true},
	} {
		tt.act()
		assert.Equal(t, tt.want, r.Ends, tt.what)
		assert.Equal(t, tt.part, r.PartOnly(), tt.what)
		n := 0
		for _, s := range r.PartSpans() {
			for f := s.From; f <= s.To; f++ {
				assert.True(t, r.HasFrame(f), "%s: %d", tt.what, f)
				n++
			}
		}
		want := 0
		for _, f := range r.Frames() {
			if f >= tt.want[0] && f <= tt.want[1] {
				want++
			}
		}
		assert.Equal(t, want, n, tt.what)
	}
	r.SetEnds(3, 8)
	assert.Equal(t, []clip.Span{{From: 3, To: 4}, {From: 7, To: 8}}, r.PartSpans())
	r.SetEnds(5, 6)
	assert.Empty(t, r.PartSpans(), "a gap")
	assert.False(t, r.Play(false, 1, func() {}), "there is nothing to play")
	assert.False(t, r.Plays())
	r.Undo()
	assert.Equal(t, [2]int{3, 8}, r.Ends)
	r.SlideEnds(4, 8, study.Moved)
	r.SlideEnds(7, 8, study.Moved)
	r.SlideEnds(2, 8, study.Done)
	r.Undo()
	assert.Equal(t, [2]int{3, 8}, r.Ends, "a drag is one act")
	r.Redo()
	assert.Equal(t, [2]int{2, 8}, r.Ends)
	r.SlideEnds(4, 8, study.Moved)
	r.SlideEnds(2, 8, study.Cancelled)
	assert.Equal(t, "Part in work", r.labels()[0])
	assert.False(t, r.Unsaved(), "none of that changes the study")
}

func TestPlaying(t *testing.T) {
	r := newRig(t, 6)
	ended := 0
	play := func() { require.True(t, r.Play(false, 1, func() { ended++ })) }
	r.Slide("Soften", study.Moved, softened(3))
	play()
	assert.False(t, r.Dragging(), "a drag is given up")
	assert.True(t, r.Plays())
	assert.Nil(t, r.CheckJob().Line, "nothing is judged meanwhile")
	assert.Equal(t, []int{1, 2, 3, 4, 5, 6}, r.Playing.Clock.Frames)
	first := r.Playing
	assert.True(t, r.EndPlay())
	assert.False(t, r.EndPlay())
	first.Ended()
	r.play()
	assert.Zero(t, ended, "it was ended before its end")

	play()
	first.Ended()
	r.play()
	assert.Zero(t, ended, "that was another")
	r.Playing.Ended()
	assert.Zero(t, ended, "it is told on the desk's own goroutine")
	r.play()
	assert.Equal(t, 1, ended)

	for what, act := range map[string]func(){
		"another frame": func() { r.GoToFrame(r.Frame%6 + 1) }, "the playhead": func() { r.Seek(3, study.Moved) },
	} {
		play()
		act()
		assert.False(t, r.Plays(), "%s ends it", what)
	}
	r.SetEnds(2, 4)
	play()
	assert.Equal(t, []int{2, 3, 4}, r.Playing.Clock.Frames, "the part in work")
	r.Leave()
	assert.False(t, r.Plays())
}
