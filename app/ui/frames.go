package ui

import (
	"fmt"
	"slices"
	"time"

	"fyne.io/fyne/v2"

	"halocline/app/clip"
	"halocline/app/study"
)

// frames are the numbers of the frames that are there, ascending; none while
// nothing is open.
func (w *window) frames() []int {
	if w.desk.Work == nil || w.desk.Work.Clip == nil {
		return nil
	}
	return w.desk.Work.Clip.Frames()
}

// several reports whether there is more than one frame.
func (w *window) several() bool { return w.clip() != nil && w.clip().Count() > 1 }

// moveFrame goes so many frames on or back; over gaps, and no farther than the
// ends.
func (w *window) moveFrame(by int) {
	all := w.frames()
	if len(all) == 0 {
		return
	}
	i, _ := slices.BinarySearch(all, w.desk.Frame)
	w.goToFrame(all[max(0, min(len(all)-1, i+by))])
}

// goToFrame shows a frame by the source's number.
func (w *window) goToFrame(n int) {
	if n != w.desk.Frame {
		w.endPlay()
		w.desk.CancelDrag()
		w.desk.Moved, w.frameChanged = time.Now(), true
		w.desk.Set(func() { w.desk.Frame = n })
		w.awaitFrame(n)
	}
}

// seek follows the playhead. While it is dragged, the picture alone does: what
// the other parts show of a frame comes when the hand rests.
func (w *window) seek(n int, p study.Phase) {
	w.endPlay()
	if p != study.Moved {
		w.frameChanged = !w.scrubbing
		w.scrubbing = false
		w.desk.CancelDrag()
		w.desk.Set(func() { w.desk.Frame = n })
		return
	}
	if !w.scrubbing {
		w.scrubbing = true
		w.check()
	}
	w.desk.CancelDrag()
	w.desk.Frame, w.desk.Moved = n, time.Now()
	w.ask(true)
	w.views.frame.SetText(w.frameText())
	w.awaitFrame(n)
}

// slowFrame is how long a frame may take until the status row says that it is
// being read.
const slowFrame = 200 * time.Millisecond

// awaitFrame says which frame is being read, if it takes long.
func (w *window) awaitFrame(n int) {
	time.AfterFunc(slowFrame, func() {
		fyne.Do(func() {
			if s := w.preview.last.Load(); n == w.desk.Frame && s != nil && s.request.frame != n {
				w.status.reading(fmt.Sprintf("frame %d", n))
			}
		})
	})
}

// setEnds says which part of the clip plays and is exported first.
func (w *window) setEnds(in, out int) {
	w.desk.Set(func() { w.desk.Ends = [2]int{min(in, out), max(in, out)} })
}

// beginHere and endHere make the frame shown an end of the part in work; the
// other end moves out of the way.
func (w *window) beginHere() { w.setEnds(w.desk.Frame, max(w.desk.Frame, w.desk.Ends[1])) }
func (w *window) endHere()   { w.setEnds(min(w.desk.Frame, w.desk.Ends[0]), w.desk.Frame) }

// partOnly reports whether the part in work is less than the clip.
func (w *window) partOnly() bool {
	all := w.frames()
	return len(all) > 1 && w.desk.Ends != [2]int{all[0], all[len(all)-1]}
}

// partSpans are the frames that are there of the part in work.
func (w *window) partSpans() (spans []clip.Span) {
	in, out := w.desk.Ends[0], w.desk.Ends[1]
	for _, s := range w.clip().Spans() {
		if s.To >= in && s.From <= out {
			spans = append(spans, clip.Span{From: max(s.From, in), To: min(s.To, out)})
		}
	}
	return spans
}

// allFrames makes the whole clip the part in work.
func (w *window) allFrames() {
	all := w.frames()
	w.setEnds(all[0], all[len(all)-1])
}

// frameText says which frame is shown, of how many; "" for a still.
func (w *window) frameText() string {
	if !w.several() {
		return ""
	}
	all := w.frames()
	return fmt.Sprintf("frame %d of %d–%d", w.desk.Frame, all[0], all[len(all)-1])
}
