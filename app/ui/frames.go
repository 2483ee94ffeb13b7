package ui

import (
	"fmt"
	"time"

	"fyne.io/fyne/v2"
)

// slowFrame is how long a frame may take until the status row says that it is
// being read.
const slowFrame = 200 * time.Millisecond

// sought shows what of a frame is shown while the playhead is dragged.
func (w *window) sought() {
	w.showPlaying()
	w.desk.Check()
	w.endPlay() // what is changed is looked at on one frame
	w.frame.Ask(true)
	w.frame.ShowNumber()
	w.awaitFrame()
}

// awaitFrame says which frame is being read, if it takes long.
func (w *window) awaitFrame() {
	n := w.desk.Frame
	time.AfterFunc(slowFrame, func() {
		fyne.Do(func() {
			if s := w.preview.Last.Load(); n == w.desk.Frame && s != nil && s.Request.Frame != n {
				w.status.Reading(fmt.Sprintf("frame %d", n))
			}
		})
	})
}
