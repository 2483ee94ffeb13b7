package desk

import (
	"fmt"
	"sync/atomic"
	"time"

	"halocline/app/work"
)

// How far the work on followed outlines is, and how the user has it wait.

// progressStays is how long the words on an outline stand after it was found: of the frames of a
// clip one comes right after the other.
const progressStays = 400 * time.Millisecond

// tellFollowing returns what is told how far the work on a followed outline is.
func (d *Desk) tellFollowing(w *work.Work) func(done, of int) {
	var newest atomic.Pointer[[2]int]
	var told atomic.Int64
	show := func() {
		if now := newest.Swap(nil); now != nil && d.Work == w && *now != d.progress {
			d.progress = *now
			d.Learned(NewProgress)
		}
	}
	return func(done, of int) {
		turn := told.Add(1)
		if of == 0 {
			time.AfterFunc(progressStays, func() {
				if told.Load() == turn {
					newest.Store(&[2]int{})
					d.Post(show)
				}
			})
			return
		}
		if newest.Swap(&[2]int{done, of}) == nil { // else the one under way will find it
			d.Post(show)
		}
	}
}

// FollowingWords says how far the work on a followed outline is; "" while there is none, and
// while it is paused.
func (d *Desk) FollowingWords() string {
	if d.paused || d.progress[1] == 0 {
		return ""
	}
	return fmt.Sprintf("following: frame %d of %d", d.progress[0], d.progress[1])
}

// FollowingPaused reports whether nothing is followed until the user says so.
func (d *Desk) FollowingPaused() bool { return d.paused }

// CanPauseFollowing reports whether something follows the picture that could be paused.
func (d *Desk) CanPauseFollowing() bool {
	s := d.Study()
	if s == nil || !d.Several() {
		return false
	}
	for i := range s.Mattes {
		for k := range s.Mattes[i].Masks {
			if s.Mattes[i].Masks[k].Follows() {
				return true
			}
		}
	}
	return d.paused
}

// PauseFollowing has the work on followed outlines wait, or go on from where it was. Frames to
// which a mask was not followed yet are shown with the nearest key's outline meanwhile.
func (d *Desk) PauseFollowing(pause bool) {
	if d.Work == nil || d.paused == pause {
		return
	}
	d.paused = pause
	d.Work.Renderer.PauseFollowing(pause)
	d.Refresh()
}
