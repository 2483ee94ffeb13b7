package desk

import (
	"time"

	"halocline/app/desk/watch"
)

// Plays reports whether the clip plays.
func (d *Desk) Plays() bool { return d.Playing != nil }

// Play begins to play the part in work, backward or forward, and reports whether
// there is anything to play. scale is of the screen; ended is called once the last
// frame was shown.
func (d *Desk) Play(back bool, scale float64, ended func()) bool {
	if !d.Several() {
		return false
	}
	d.CancelDrag()
	clock := watch.NewPlayClock(d.Frames(), d.Ends, d.Frame, d.Study().Clip.Rate, back, d.Loop, time.Now())
	if len(clock.Frames) == 0 {
		return false // the ends lie in one gap
	}
	p := watch.NewPlaying(clock, scale)
	p.Ended = func() {
		d.Post(func() {
			if d.Playing == p {
				ended()
			}
		})
	}
	d.Playing = p
	d.askOutlines() // for none
	return true
}

// EndPlay ends playing, and reports whether the clip played. Frame is as it was before
// Play: who shows the frames says on which one it ended.
func (d *Desk) EndPlay() bool {
	played := d.Plays()
	d.Playing = nil
	return played
}
