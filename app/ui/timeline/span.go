package timeline

import (
	"fmt"
	"math"

	"halocline/app/timecode"
)

// A span is the part of time in view: frame lo stands at pixel x0, frame hi at
// x1. lo < hi.
type span struct {
	lo, hi float64
	x0, x1 float64
}

// leastSpan is how far the ruler can be zoomed in, in frames.
const leastSpan = 6

func (s span) perFrame() float64         { return (s.x1 - s.x0) / (s.hi - s.lo) }
func (s span) x(frame float64) float64   { return s.x0 + (frame-s.lo)*s.perFrame() }
func (s span) frameAt(x float64) float64 { return s.lo + (x-s.x0)/s.perFrame() }

// within keeps a span inside the clip; what is wider than that shows all of it.
func (s span) within(first, last int) span {
	a, b := float64(first), float64(last)
	if b <= a {
		b = a + 1
	}
	width := min(max(s.hi-s.lo, min(leastSpan, b-a)), b-a)
	mid := (s.lo + s.hi) / 2
	s.lo = min(max(mid-width/2, a), b-width)
	s.hi = s.lo + width
	return s
}

// zoomed is the span that shows so many times as much, with the frame at x
// staying there.
func (s span) zoomed(x, times float64) span {
	at := s.frameAt(x)
	s.lo, s.hi = at-(at-s.lo)*times, at+(s.hi-at)*times
	return s
}

// moved is the span so many frames later.
func (s span) moved(frames float64) span {
	s.lo, s.hi = s.lo+frames, s.hi+frames
	return s
}

// showing is the nearest span that shows a frame.
func (s span) showing(frame int) span {
	f := float64(frame)
	switch {
	case f < s.lo:
		return s.moved(f - s.lo)
	case f > s.hi:
		return s.moved(f - s.hi)
	}
	return s
}

// A tick is a line of the ruler; one with a text is a long one.
type tick struct {
	frame int
	text  string
}

// Labels of frames stand at least frameGap apart, timecodes timeGap; unnamed
// ticks tickGap. In Fyne's units.
const (
	frameGap = 46
	timeGap  = 92
	tickGap  = 5
)

// ticks are the ruler's, with their labels. dp is pixels per unit.
func ticks(s span, u Units, r Rate, dp float64) (all []tick) {
	if u == Frames || !r.Known() {
		label := roundInterval(frameGap * dp / s.perFrame())
		small := roundInterval(tickGap * dp / s.perFrame())
		for label%small != 0 {
			small++
		}
		for n := ceilTo(s.lo, small); float64(n) <= s.hi; n += small {
			t := tick{frame: n}
			if timecode.Mod(n, label) == 0 {
				t.text = fmt.Sprint(n)
			}
			all = append(all, t)
		}
		return all
	}
	fps := r.Counted()
	drop := u == DropFrame && r.CanDrop()
	interval := timeInterval(timeGap*dp/s.perFrame(), fps)
	first := int(math.Floor(s.lo))
	at := timecode.Mod(first, timecode.Day*3600*fps)
	if drop {
		at = timecode.NumberOf(first, fps)
	}
	// A number that is left out is that of the frame after: its tick stands there.
	for number := at - at%interval; ; number += interval {
		n := number
		if drop {
			n = timecode.FrameOf(number, fps)
		}
		n += first - originOf(first, fps, drop)
		if float64(n) > s.hi {
			return all
		}
		if float64(n) >= s.lo && (len(all) == 0 || all[len(all)-1].frame < n) {
			all = append(all, tick{n, timecode.Text(n, r, drop)})
		}
	}
}

// originOf is a frame within the day of timecode that a frame falls into.
func originOf(frame, fps int, drop bool) int {
	if drop {
		return timecode.Mod(frame, timecode.Day*6*(10*(60*fps-fps/15)+fps/15))
	}
	return timecode.Mod(frame, timecode.Day*3600*fps)
}

func ceilTo(v float64, interval int) int { return int(math.Ceil(v/float64(interval))) * interval }

// roundInterval is the least of 1, 2, 5, 10, 20 ... that is at least v.
func roundInterval(v float64) int {
	for ten := 1; ; ten *= 10 {
		for _, m := range []int{1, 2, 5} {
			if float64(m*ten) >= v || ten > 1e8 {
				return m * ten
			}
		}
	}
}

// timeInterval is the least interval of timecode numbers that is at least v: frames that
// part a second evenly, then round seconds, minutes and hours.
func timeInterval(v float64, fps int) int {
	for _, n := range []int{1, 2, 5, 10, 12, 15, 30} {
		if float64(n) >= v && n < fps && fps%n == 0 {
			return n
		}
	}
	for _, s := range []int{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600} {
		if float64(s*fps) >= v {
			return s * fps
		}
	}
	return 3600 * fps * int(math.Ceil(v/float64(3600*fps)))
}
