package ui

import (
	"context"
	"fmt"
	"sync"
	"sync/atomic"
	"time"

	"fyne.io/fyne/v2"

	"halocline/app/ui/flash"
)

// A playing is a clip that plays. All but lead is for the preview's worker, which
// goes on with it when the window asks for another view.
type playing struct {
	clock   *playClock
	ended   func()       // called from the background, once the last frame was shown
	lead    atomic.Int64 // nanoseconds from taking up a frame until its picture is ready
	tick    int          // of the frame taken up last
	limiter flash.Limiter
	scale   float64 // screen pixels per unit
}

func newPlaying(c *playClock, scale float64) *playing {
	p := &playing{clock: c, tick: -1, scale: scale, ended: func() {}}
	p.lead.Store(int64(60 * time.Millisecond))
	return p
}

// A taken is a frame that was taken up to be shown.
type taken struct {
	tick, frame int
	at          time.Time
}

// play shows frame after frame until ctx ends, or the clip. While one is rendered
// the next is decoded.
func (p *preview) play(ctx context.Context, s request, factor int) {
	ctx, cancel := context.WithCancel(ctx)
	var reader sync.WaitGroup
	defer reader.Wait()
	defer cancel()
	frames := make(chan taken)
	reader.Go(func() {
		defer close(frames)
		s.play.readAhead(ctx, s, frames)
	})
	for t := range frames {
		if !p.playOne(ctx, s, t, factor) {
			return
		}
	}
	if ctx.Err() == nil {
		s.play.ended()
	}
}

// readAhead takes up the frames that will be due once their pictures are ready,
// leaving out those for which there is no time, and decodes them.
func (g *playing) readAhead(ctx context.Context, s request, frames chan<- taken) {
	for {
		now := time.Now()
		tick := max(g.tick+1, g.clock.tick(now.Add(time.Duration(g.lead.Load()))))
		if last, ends := g.clock.last(); ends && tick > last {
			if g.tick >= last {
				return
			}
			tick = last
		}
		g.tick = tick
		t := taken{tick, g.clock.frame(tick), now}
		// One that cannot be read is told of when it is its turn.
		s.renderer.Source(ctx, s.study, t.frame)
		select {
		case frames <- t:
		case <-ctx.Done():
			return
		}
	}
}

// playOne shows a frame when it is due, or as soon as it can; false: it is over.
func (p *preview) playOne(ctx context.Context, s request, t taken, factor int) bool {
	g := s.play
	s.frame, s.asked, s.kind = t.frame, g.clock.due(t.tick), playRequest
	out, buffer, err := p.picture(ctx, s, factor, factor > 1)
	switch {
	case ctx.Err() != nil:
		return false
	case err != nil:
		p.failed(s.frame, err)
		return rest(ctx, time.Until(s.asked))
	case buffer == nil:
		return false
	}
	out.slowed = g.limiter.Limit(buffer, s.asked.Sub(g.clock.start), g.scale)
	ready := time.Since(t.at)
	g.lead.Store((3*g.lead.Load() + int64(ready)) / 4)
	if !rest(ctx, time.Until(s.asked)) {
		return false
	}
	p.hand(out, buffer)
	return true
}

// shownFrame is the frame of the picture that is shown last, or about to be:
// while the clip is scrubbed through, marks are drawn as they are there.
func (w *window) shownFrame() int {
	if s := w.preview.last.Load(); s != nil && w.scrubbing && s.request.kind == scrubRequest {
		return s.request.frame
	}
	return w.desk.Frame
}

// plays reports whether the clip plays.
func (w *window) plays() bool { return w.playing != nil }

// turnPlay begins to play the part in work, or stops.
func (w *window) turnPlay(back bool) {
	if w.plays() {
		w.stopPlay()
		return
	}
	d := w.desk
	if !w.several() {
		return
	}
	d.CancelDrag()
	clock := newPlayClock(w.frames(), d.Ends, d.Frame, d.Study().Clip.Rate, back, w.loop, time.Now())
	if len(clock.frames) == 0 {
		return // the ends lie in one gap
	}
	p := newPlaying(clock, float64(w.win.Canvas().Scale()))
	p.ended = func() {
		fyne.Do(func() {
			if w.playing == p {
				w.stopPlay()
			}
		})
	}
	w.playing, w.pace = p, pace{}
	w.time.area.SetPlaying(true)
	w.showMenus()
	w.check()
	w.ask(false)
	w.journal.tell("playing")
}

// stopPlay stops at the frame that was shown last.
func (w *window) stopPlay() {
	if s := w.preview.last.Load(); s != nil && s.request.play != nil && s.request.play == w.playing {
		w.desk.Frame = s.request.frame
	}
	if w.endPlay() {
		w.desk.Changed()
		w.journal.tell("stopped")
	}
}

// endPlay leaves what is shown to whoever asks next, and reports whether the clip
// played.
func (w *window) endPlay() bool {
	if !w.plays() {
		return false
	}
	w.playing = nil
	w.time.area.SetPlaying(false)
	w.status.playing("")
	w.showMenus()
	return true
}

func (w *window) turnLoop() {
	w.loop = !w.loop
	if w.plays() { // go on from here
		w.endPlay()
		w.turnPlay(false)
	}
	w.showMenus()
}

// kindOf is what a trace says of the picture that is asked for now.
func (w *window) kindOf(dragging bool) requestKind {
	switch {
	case w.scrubbing:
		return scrubRequest
	case dragging:
		return dragRequest
	case w.frameChanged:
		return frameRequest
	}
	return ""
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
func (w *window) playShown(s *showing) {
	if s == nil || s.request.play == nil || s.request.play != w.playing {
		return
	}
	w.desk.Frame = s.request.frame
	w.time.area.SetFrame(s.request.frame)
	w.views.frame.SetText(w.frameText())
	now := time.Now()
	n := w.pace.add(now, s.slowed)
	text := fmt.Sprintf("playing, %d pictures a second of %s", n, trim(s.request.play.clock.rate, 2))
	if !w.pace.slowed.IsZero() && now.Sub(w.pace.slowed) < slowedWords {
		text = "slowed: it would flash more than three times a second (" + text + ")"
	}
	w.status.playing(text)
}
