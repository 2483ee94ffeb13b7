package watch

import (
	"context"
	"sync"
	"sync/atomic"
	"time"

	"halocline/app/flash"
)

// A Playing is a clip that plays. All but lead is for the preview's worker, which
// goes on with it when another view is asked for.
type Playing struct {
	Clock   *playClock
	Ended   func()       // called from the background, once the last frame was shown
	lead    atomic.Int64 // nanoseconds from taking up a frame until its picture is ready
	tick    int          // of the frame taken up last
	limiter flash.Limiter
	scale   float64 // screen pixels per unit
}

// NewPlaying plays a clip by a clock. scale is the screen's, in pixels per unit.
func NewPlaying(c *playClock, scale float64) *Playing {
	p := &Playing{Clock: c, tick: -1, scale: scale, Ended: func() {}}
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
func (p *Preview) play(ctx context.Context, s Request, factor int) {
	ctx, cancel := context.WithCancel(ctx)
	var reader sync.WaitGroup
	defer reader.Wait()
	defer cancel()
	frames := make(chan taken)
	reader.Go(func() {
		defer close(frames)
		s.Play.readAhead(ctx, s, frames)
	})
	for t := range frames {
		if !p.playOne(ctx, s, t, factor) {
			return
		}
	}
	if ctx.Err() == nil {
		s.Play.Ended()
	}
}

// readAhead takes up the frames that will be due once their pictures are ready,
// leaving out those for which there is no time, and decodes them.
func (g *Playing) readAhead(ctx context.Context, s Request, frames chan<- taken) {
	for {
		now := time.Now()
		tick := max(g.tick+1, g.Clock.tick(now.Add(time.Duration(g.lead.Load()))))
		if last, ends := g.Clock.last(); ends && tick > last {
			if g.tick >= last {
				return
			}
			tick = last
		}
		g.tick = tick
		t := taken{tick, g.Clock.frame(tick), now}
		// One that cannot be read is told of when it is its turn.
		s.Renderer.Source(ctx, s.Study, t.frame)
		select {
		case frames <- t:
		case <-ctx.Done():
			return
		}
	}
}

// playOne shows a frame when it is due, or as soon as it can; false: it is over.
func (p *Preview) playOne(ctx context.Context, s Request, t taken, factor int) bool {
	g := s.Play
	s.Frame, s.Asked, s.Kind = t.frame, g.Clock.due(t.tick), playRequest
	out, buffer, err := p.picture(ctx, s, factor, factor > 1)
	switch {
	case ctx.Err() != nil:
		return false
	case err != nil:
		p.Failed(s.Frame, err)
		return Rest(ctx, time.Until(s.Asked))
	case buffer == nil:
		return false
	}
	out.Slowed = g.limiter.Limit(buffer, s.Asked.Sub(g.Clock.start), g.scale)
	ready := time.Since(t.at)
	g.lead.Store((3*g.lead.Load() + int64(ready)) / 4)
	if !Rest(ctx, time.Until(s.Asked)) {
		return false
	}
	p.hand(out, buffer)
	return true
}
