package ui

import (
	"fmt"
	"time"

	"halocline/app/desk"
	"halocline/app/desk/watch"
)

// turnPlay begins to play the part in work, or stops.
func (w *window) turnPlay(back bool) {
	if w.desk.Plays() {
		w.stopPlay()
		return
	}
	if !w.desk.Play(back, float64(w.win.Canvas().Scale()), w.stopPlay) {
		return
	}
	w.pace = pace{}
	w.showPlaying()
	w.desk.Check()
	w.frame.Ask(false)
	w.journal.tell("playing")
}

// showPlaying shows whether the clip plays.
func (w *window) showPlaying() {
	w.time.area.SetPlaying(w.desk.Plays())
	if !w.desk.Plays() {
		w.status.Playing("")
	}
	w.showMenus()
}

// stopPlay stops at the frame that was shown last.
func (w *window) stopPlay() {
	if s := w.preview.Last.Load(); s != nil && s.Request.Play != nil && s.Request.Play == w.desk.Playing {
		w.desk.Frame = s.Request.Frame
	}
	if w.endPlay() {
		w.desk.Refresh()
		w.journal.tell("stopped")
	}
}

// endPlay ends what plays, and reports whether the clip played.
func (w *window) endPlay() bool {
	played := w.desk.EndPlay()
	if played {
		w.showPlaying()
	}
	return played
}

func (w *window) turnLoop() {
	w.desk.Loop = !w.desk.Loop
	if w.desk.Plays() { // go on from here
		w.endPlay()
		w.turnPlay(false)
	}
	w.showMenus()
}

// A pace counts the pictures that were shown in the last second, and remembers
// when they were last slowed.
type pace struct {
	shown  []time.Time
	slowed time.Time
}

// add notes a picture, and returns how many there were within a second.
func (p *pace) add(now time.Time, slowed bool) int {
	if slowed {
		p.slowed = now
	}
	p.shown = append(p.shown, now)
	for now.Sub(p.shown[0]) >= time.Second {
		p.shown = p.shown[1:]
	}
	return len(p.shown)
}

// slowedWords is how long the row goes on saying that pictures were slowed.
const slowedWords = 3 * time.Second

// playShown follows a picture of a clip that plays, as it is about to be drawn.
func (w *window) playShown(s *watch.Showing) {
	if s == nil || s.Request.Play == nil || s.Request.Play != w.desk.Playing {
		return
	}
	w.desk.Frame = s.Request.Frame
	w.time.area.SetFrame(s.Request.Frame)
	w.frame.ShowNumber()
	now := time.Now()
	n := w.pace.add(now, s.Slowed)
	text := fmt.Sprintf("playing, %d pictures a second of %s", n, desk.Trim(s.Request.Play.Clock.Rate, 2))
	if !w.pace.slowed.IsZero() && now.Sub(w.pace.slowed) < slowedWords {
		text = "slowed: it would flash more than three times a second (" + text + ")"
	}
	w.status.Playing(text)
}
