package mask

import "fmt"

// A Beyond is what an outline does before its first key or after its last.
type Beyond bool

const (
	Holds   Beyond = false // stays as at the key
	Follows Beyond = true  // goes with the picture's motion
)

// String returns its name in files.
func (b Beyond) String() string {
	if b == Follows {
		return "follow"
	}
	return "hold"
}

// ParseBeyond is the inverse of String.
func ParseBeyond(s string) (Beyond, error) {
	switch s {
	case "hold":
		return Holds, nil
	case "follow":
		return Follows, nil
	}
	return Holds, fmt.Errorf("mask: it is %q, want hold or follow", s)
}

// A Stretch is frames along which an outline follows what it encloses in the picture
// (package motion), and the one on which it is wanted, which has no key.
type Stretch struct {
	Frame    int
	From, To *Anchor // at its ends; nil where there is no key on that side
	Dabs     []TimedDab
}

// A TimedDab is a dab on another frame of a stretch. It is carried along with the picture's
// motion.
type TimedDab struct {
	Frame int
	Dab
}

// DabReach is how many frames a dab is carried at most, on both sides.
const DabReach = 12

// String tells all that a followed outline depends on, beside the picture.
func (s *Stretch) String() string {
	if s == nil {
		return "none"
	}
	return fmt.Sprintf("frame %d from %v to %v, %v", s.Frame, s.From, s.To, s.Dabs)
}

// String tells all of it.
func (a *Anchor) String() string {
	if a == nil {
		return "none"
	}
	return fmt.Sprintf("%d %v %v %v", a.Frame, a.Points, a.Rounded, a.Search)
}

// Span returns the frames along which it is followed: those of its keys, or up to the frame
// where it is wanted.
func (s *Stretch) Span() (from, to int) {
	from, to = s.Frame, s.Frame
	if s.From != nil {
		from = s.From.Frame
	}
	if s.To != nil {
		to = s.To.Frame
	}
	return from, to
}

// An Anchor is a frame on which a followed outline is known: a key.
type Anchor struct {
	Frame int
	Shape
	Search Search
}

// MaxStretch is how many frames an outline follows the picture at most: over an hour at 25 a
// second. Farther from a single key it holds.
const MaxStretch = 100_000

// StretchAt returns the stretch in which a frame lies where the outline follows the picture
// there, else nil. Feathers and opacity are not followed.
func (t *Track) StretchAt(frame int) *Stretch {
	next, found := t.find(frame)
	switch {
	case found || len(t.Keys) == 0:
		return nil
	case next == 0:
		if t.Before == Follows && t.Keys[0].Frame-frame <= MaxStretch {
			return &Stretch{Frame: frame, To: t.anchor(0)}
		}
	case next == len(t.Keys):
		if t.After == Follows && frame-t.Keys[next-1].Frame <= MaxStretch {
			return &Stretch{Frame: frame, From: t.anchor(next - 1)}
		}
	case t.Keys[next-1].Way == Follow:
		return &Stretch{Frame: frame, From: t.anchor(next - 1), To: t.anchor(next)}
	}
	return nil
}

func (t *Track) anchor(i int) *Anchor {
	k := t.Keys[i]
	return &Anchor{k.Frame, t.shape(k), t.search(k)}
}

// Follows reports whether the outline follows the picture anywhere.
func (t *Track) Follows() bool {
	for i := range t.Keys {
		if i+1 < len(t.Keys) && t.Keys[i].Way == Follow {
			return true
		}
	}
	return t.Before == Follows || t.After == Follows
}

// followedKey is the key before number next with the nearest key's points, and numbers that
// go straight.
func (t *Track) followedKey(next, frame int) Key {
	a, b := &t.Keys[next-1], &t.Keys[next]
	u := float64(frame-a.Frame) / float64(b.Frame-a.Frame)
	out := Key{Frame: frame, Way: Follow, Points: a.Points}
	if u > 0.5 {
		out.Points = b.Points
	}
	out.Inner, out.Outer = straight(u, a.Inner, b.Inner), straight(u, a.Outer, b.Outer)
	out.Opacity = straight(u, a.Opacity, b.Opacity)
	return out
}

func straight(u, a, b float64) float64 { return float64((1-u)*a) + float64(u*b) }

// run returns the keys [from,to) about key i that have the same points: no way from one to
// the next follows the picture.
func (t *Track) run(i int) (from, to int) {
	for from = i; from > 0 && t.Keys[from-1].Way != Follow; from-- {
	}
	for to = i + 1; to < len(t.Keys) && t.Keys[to-1].Way != Follow; to++ {
	}
	return from, to
}

// runAt is run for the key whose points count on a frame.
func (t *Track) runAt(frame int) (from, to int) {
	next, found := t.find(frame)
	switch {
	case found || next == 0:
		return t.run(next)
	case next < len(t.Keys) && t.Keys[next-1].Way == Follow && 2*(frame-t.Keys[next-1].Frame) > t.Keys[next].Frame-t.Keys[next-1].Frame:
		return t.run(next)
	}
	return t.run(next - 1)
}

// Alone reports whether a key at a frame, there or made, shares its points with no other: it
// may have any number of them.
func (t *Track) Alone(frame int) bool {
	i, found := t.find(frame)
	if !found {
		return t.StretchAt(frame) != nil
	}
	from, to := t.run(i)
	return to-from == 1
}

// MakeKey makes a key at a frame, if there is none, that changes nothing there. A stretch
// that follows the picture is split into two that do.
func (t *Track) MakeKey(frame int) {
	i, found := t.find(frame)
	if found {
		return
	}
	k := t.keyAt(frame)
	if t.StretchAt(frame) != nil {
		k.Way = Follow
		if i > 0 {
			t.Keys[i-1].Way = Follow
		}
	}
	t.SetKey(k)
}
