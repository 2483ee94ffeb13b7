package ui

import (
	"fmt"
	"slices"
)

// frames are the numbers of the frames that are there, ascending; none while
// nothing is open.
func (w *window) frames() []int {
	if w.bench.work == nil || w.bench.work.Clip == nil {
		return nil
	}
	return w.bench.work.Clip.Frames()
}

// several reports whether there is more than one frame.
func (w *window) several() bool { return len(w.frames()) > 1 }

// stepFrame goes so many frames on or back; over gaps, and no farther than the
// ends.
func (w *window) stepFrame(by int) {
	all := w.frames()
	if len(all) == 0 {
		return
	}
	i, _ := slices.BinarySearch(all, w.bench.frame)
	w.goToFrame(all[max(0, min(len(all)-1, i+by))])
}

// goToFrame shows a frame by the source's number.
func (w *window) goToFrame(n int) {
	if n != w.bench.frame {
		w.bench.cancelDrag()
		w.bench.set(func() { w.bench.frame = n })
	}
}

// frameText says which frame is shown, of how many; "" for a still.
func (w *window) frameText() string {
	if !w.several() {
		return ""
	}
	all := w.frames()
	return fmt.Sprintf("frame %d of %d–%d", w.bench.frame, all[0], all[len(all)-1])
}
