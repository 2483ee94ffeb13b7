package study

import (
	"slices"

	"halocline/mask"
)

// What a mask is made of is package mask's: a study keeps it and gives it a
// name.
type (
	// A Point is a place in source pixels.
	Point = mask.Point
	// A Bound is a frame that may be absent.
	Bound = mask.Bound
	// A MaskKey is a mask's shape at one frame, and the way to the next key.
	MaskKey = mask.Key
)

// A Mask is a feathered polygon over time, to keep or to drop.
type Mask struct {
	ID   int
	Name string
	Kind Kind
	mask.Track
}

// MasksOn returns the masks that matter on a frame, in the order of SettingsAt.Masks: all
// that work there, and of the others the keep masks, which then keep nothing.
func (s *Settings) MasksOn(frame int) (all []*Mask) {
	for i := range s.Masks {
		if m := &s.Masks[i]; m.Kind == Keep || m.Works(frame) {
			all = append(all, m)
		}
	}
	return all
}

// masksAt returns the masks that matter on a frame as they are there.
func (s *Settings) masksAt(frame int) (all []mask.Layer) {
	for _, m := range s.MasksOn(frame) {
		l := m.Layer(frame, m.Kind == Drop)
		s.dabSearch(&l.Search, m.Kind, frame)
		if l.Stretch != nil {
			for _, a := range []*mask.Anchor{l.Stretch.From, l.Stretch.To} {
				if a != nil {
					s.dabSearch(&a.Search, m.Kind, a.Frame)
				}
			}
			if l.Search.On() {
				l.Stretch.Dabs = s.dabsAlong(l.Stretch, m.Kind)
			}
		}
		all = append(all, l)
	}
	return all
}

// dabsAlong returns the dabs on other frames of a stretch that are carried to the one on
// which the outline is wanted.
func (s *Settings) dabsAlong(along *mask.Stretch, kind Kind) (all []mask.TimedDab) {
	from, to := along.Span()
	from, to = max(from, along.Frame-mask.DabReach), min(to, along.Frame+mask.DabReach)
	for _, d := range s.MaskDabs {
		if d.Frame >= from && d.Frame <= to && d.Frame != along.Frame {
			dab := mask.Dab{X: d.X, Y: d.Y, Radius: d.Radius, Inside: d.Kind == kind}
			all = append(all, mask.TimedDab{Frame: d.Frame, Dab: dab})
		}
	}
	return all
}

// dabSearch gives a search on a frame the dabs that lie there.
func (s *Settings) dabSearch(search *mask.Search, kind Kind, frame int) {
	if search.On() {
		search.Dabs = searchDabs(s.MaskDabs, kind, frame)
	}
}

// SearchesEdges reports whether the picture leads any mask, also of what is taken in and of the
// frames that it settles with.
func (at *SettingsAt) SearchesEdges() bool {
	return slices.ContainsFunc(at.Masks, func(l mask.Layer) bool { return l.Searches() }) ||
		slices.ContainsFunc(at.Joined, func(j JoinedAt) bool { return j.Settings.SearchesEdges() }) ||
		at.Settle != nil && (at.Settle.Before.SearchesEdges() || at.Settle.After.SearchesEdges())
}

// Searches reports whether the picture leads the mask's outline on a frame: to its edge, or
// along with its motion.
func (m *Mask) Searches(frame int) bool {
	return m.Works(frame) && (m.Search > 0 || m.StretchAt(frame) != nil)
}

// SearchesEdges reports whether the picture leads any of the masks on a frame.
func (s *Settings) SearchesEdges(frame int) bool {
	for i := range s.Masks {
		if s.Masks[i].Searches(frame) {
			return true
		}
	}
	return false
}

// searchDabs returns what dabs on a frame say of a mask's edge: what the matte is to keep
// lies inside a keep mask and outside a drop mask.
func searchDabs(dabs []Dab, kind Kind, frame int) (all []mask.Dab) {
	for _, d := range dabs {
		if d.Frame == frame {
			all = append(all, mask.Dab{X: d.X, Y: d.Y, Radius: d.Radius, Inside: d.Kind == kind})
		}
	}
	return all
}

func (m Mask) clone() Mask {
	m.Track = m.Track.Clone()
	return m
}

// The numbers of a mask's key, besides its points. Spec: name, label, hint, unit,
// neutral, min, max, low, high, increment, decimals.
var (
	InwardSpec  = Spec{"inner", "feather inward", "How far inside of the outline the mask begins to fade", "px", 0, 0, 10_000, 0, 60, 0.5, 1}
	OutwardSpec = Spec{"outer", "feather outward", "How far outside of the outline the mask has faded to nothing", "px", 0, 0, 10_000, 0, 60, 0.5, 1}
	SearchSpec  = Spec{"search", "edge search", "How deep below the line the subject's edge is expected, no limit; 0: the mask is as drawn", "px", 0, 0, mask.MaxDepth, 0, 80, 1, 0}
	OpacitySpec = Spec{"opacity", "opacity", "How strongly the mask keeps or drops what lies inside", "", 1, 0, 1, 0, 1, 0.01, 2}
)
