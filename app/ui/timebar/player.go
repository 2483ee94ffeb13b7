package timebar

import (
	"fmt"
	"time"

	"halocline/app/desk"
	"halocline/app/desk/watch"
)

// A Player plays the clip, and shows how it goes.
type Player struct {
	bar  *Bar
	desk *desk.Desk
	pace pace
}

func newPlayer(b *Bar) *Player { return &Player{bar: b, desk: b.desk} }

// Turn begins to play the part in work, or stops.
func (p *Player) Turn(back bool) {
	if p.desk.Plays() {
		p.Stop()
		return
	}
	with := p.bar.with
	if !p.desk.Play(back, float64(with.Canvas.Scale()), p.Stop) {
		return
	}
	p.pace = pace{}
	p.show()
	p.desk.Check()
	with.Ask(false)
	with.Journal.Tell("playing")
}

// show shows whether the clip plays.
func (p *Player) show() {
	p.bar.area.SetPlaying(p.desk.Plays())
	if !p.desk.Plays() {
		p.bar.with.Status.Playing("")
	}
	p.bar.with.Menu.Display()
}

// Stop stops at the frame that was shown last.
func (p *Player) Stop() {
	if s := p.bar.with.Preview.Last.Load(); p.isOf(s) {
		p.desk.Frame = s.Request.Frame
	}
	if p.End() {
		p.desk.Refresh()
		p.bar.with.Journal.Tell("stopped")
	}
}

// isOf reports whether a picture is one of what plays now.
func (p *Player) isOf(s *watch.Showing) bool {
	return s != nil && s.Request.Play != nil && s.Request.Play == p.desk.Playing
}

// End ends what plays, and reports whether the clip played.
func (p *Player) End() bool {
	played := p.desk.EndPlay()
	if played {
		p.show()
	}
	return played
}

// TurnLoop plays round and round from now on, or no longer.
func (p *Player) TurnLoop() {
	p.desk.Loop = !p.desk.Loop
	if p.desk.Plays() { // go on from here
		p.End()
		p.Turn(false)
	}
	p.bar.with.Menu.Display()
}

// Follow follows a picture of a clip that plays, as it is about to be drawn.
func (p *Player) Follow(s *watch.Showing) {
	if !p.isOf(s) {
		return
	}
	p.desk.Frame = s.Request.Frame
	p.bar.area.SetFrame(s.Request.Frame)
	p.bar.with.Passed()
	p.bar.with.Status.Playing(p.pace.words(time.Now(), s.Slowed, s.Request.Play.Clock.Rate))
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

// words notes a picture of a clip of so many frames a second, and says how it plays.
func (p *pace) words(now time.Time, slowed bool, rate float64) string {
	text := fmt.Sprintf("playing, %d pictures a second of %s", p.add(now, slowed), desk.Trim(rate, 2))
	if !p.slowed.IsZero() && now.Sub(p.slowed) < slowedWords {
		text = "slowed: it would flash more than three times a second (" + text + ")"
	}
	return text
}
