package watch

import (
	"math"
	"slices"
	"time"
)

// A playClock says which frame of a clip that plays is due at a time. It keeps to
// the clip's rate: who cannot show all frames in time leaves some out. It does
// not change; a clip that is played anew gets another.
//
// Frames that the footage lacks take no time: what is there follows on itself.
type playClock struct {
	Frames []int     // of the part that plays, ascending
	Rate   float64   // frames a second
	back   bool      // it runs backward
	loop   bool      // it begins again at its end
	from   int       // the number in frames of where it began
	start  time.Time // when that was
}

// NewPlayClock plays the frames from in to out, from a frame on; outside of them,
// or at their end, from their beginning. Without a rate that is known it plays 25
// frames a second.
func NewPlayClock(all []int, ends [2]int, frame int, rate [2]int, back, loop bool, now time.Time) *playClock {
	lo, _ := slices.BinarySearch(all, ends[0])
	hi, found := slices.BinarySearch(all, ends[1])
	if found {
		hi++
	}
	c := &playClock{Frames: all[lo:hi], Rate: 25, back: back, loop: loop, start: now}
	if rate[0] > 0 && rate[1] > 0 {
		c.Rate = float64(rate[0]) / float64(rate[1])
	}
	at, there := slices.BinarySearch(c.Frames, frame)
	first, last := 0, len(c.Frames)-1
	if back {
		first, last = last, first
	}
	if !there || at == last {
		at = first
	}
	c.from = at
	return c
}

// tick is how many frames after the first the one is that is due at a time.
func (c *playClock) tick(now time.Time) int {
	return max(0, int(math.Floor(now.Sub(c.start).Seconds()*c.Rate+1e-6)))
}

// due is when a tick's frame is to be shown.
func (c *playClock) due(tick int) time.Time {
	return c.start.Add(time.Duration(float64(tick) / c.Rate * float64(time.Second)))
}

// last is the last tick, if there is one.
func (c *playClock) last() (tick int, ends bool) {
	switch {
	case c.loop && len(c.Frames) > 1:
		return 0, false
	case c.back:
		return c.from, true
	}
	return len(c.Frames) - 1 - c.from, true
}

// frame is the number of a tick's frame.
func (c *playClock) frame(tick int) int {
	n := len(c.Frames)
	if last, ends := c.last(); ends {
		tick = min(tick, last)
	}
	if c.back {
		tick = -tick
	}
	return c.Frames[((c.from+tick)%n+n)%n]
}
