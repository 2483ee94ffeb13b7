package timebar

import (
	"fmt"
	"time"

	"fyne.io/fyne/v2"
)

// slowFrame is how long a frame may take until the status row says that it is
// being read.
const slowFrame = 200 * time.Millisecond

// Sought shows what of a frame is shown while the playhead is dragged.
func (b *Bar) Sought() {
	b.Player.show()
	b.desk.Check()
	b.with.Ask(true)
	b.with.Passed()
	b.awaitFrame()
}

// awaitFrame says which frame is being read, if it takes long.
func (b *Bar) awaitFrame() {
	n := b.desk.Frame
	time.AfterFunc(slowFrame, func() {
		fyne.Do(func() {
			if s := b.with.Preview.Last.Load(); n == b.desk.Frame && s != nil && s.Request.Frame != n {
				b.with.Status.Reading(fmt.Sprintf("frame %d", n))
			}
		})
	})
}

// Typed goes through the frames by a key that nothing else has use for.
func (b *Bar) Typed(name fyne.KeyName, mods fyne.KeyModifier) {
	by := map[fyne.KeyName]int{fyne.KeyLeft: -1, fyne.KeyRight: 1, fyne.KeyHome: -1 << 30, fyne.KeyEnd: 1 << 30}[name]
	switch {
	case by == 0 || !b.desk.Several() || mods&^fyne.KeyModifierShift != 0:
	case mods != 0 && by*by == 1:
		b.desk.MoveFrame(10 * by)
	default:
		b.desk.MoveFrame(by)
	}
}
