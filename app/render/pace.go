package render

import (
	"sync"
	"time"
)

// A PaceStore is an OutlineStore that keeps how long following takes, too.
type PaceStore interface {
	OutlineStore
	LoadPace() (aFrame time.Duration, ok bool)
	SavePace(aFrame time.Duration)
}

// A pace measures how long it takes to follow a mask to a frame. The zero value is ready.
type pace struct {
	mu            sync.Mutex
	steps, finds  int           // outlines that were carried to the next frame, and found there
	stepping, all time.Duration // that these took
}

// fewSteps is how many steps there must be until they tell how long others take.
const fewSteps = 3

// stepped notes how long a step took.
func (p *pace) stepped(took time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.steps++
	p.stepping += took
}

// found notes how long it took to find the outline where those carried lie.
func (p *pace) found(took time.Duration) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.finds++
	p.all += took
}

// aFrame is how long a frame between two keys takes: a step from each, and to find the outline.
func (p *pace) aFrame() (time.Duration, bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.steps < fewSteps || p.finds == 0 {
		return 0, false
	}
	return 2*p.stepping/time.Duration(p.steps) + p.all/time.Duration(p.finds), true
}

// FollowPace returns about how long it takes to follow a mask to a frame: as measured so far,
// or else as the store has it; not ok where neither tells.
func (r *Renderer) FollowPace() (aFrame time.Duration, ok bool) {
	if aFrame, ok = r.follows.pace.aFrame(); ok {
		return aFrame, true
	}
	if s, keeps := r.follows.store.(PaceStore); keeps {
		return s.LoadPace()
	}
	return 0, false
}

// savePace has the store keep how long following takes.
func (f *follows) savePace() {
	s, keeps := f.store.(PaceStore)
	if aFrame, ok := f.pace.aFrame(); ok && keeps {
		s.SavePace(aFrame)
	}
}
