package export

import "time"

// A Pace tells how long an export goes on. The zero value begins with the first
// picture that it is told of; set Start to count from before it.
type Pace struct {
	Start time.Time
	left  int // pictures that were there: they took next to no time
}

// Left returns how long the pictures that are not done will take, if each takes
// what those that were written took; not ok before one was.
func (p *Pace) Left(now time.Time, s Progress) (left time.Duration, ok bool) {
	if p.Start.IsZero() {
		p.Start = now
	}
	if s.Left {
		p.left++
	}
	written := s.Done - p.left
	if written < 1 {
		return 0, s.Done == s.Total
	}
	return now.Sub(p.Start) / time.Duration(written) * time.Duration(s.Total-s.Done), true
}
