package study

import (
	"fmt"
	"slices"

	"halocline/mask"
	"halocline/selection"
)

// Kind is what a dab or a mask asks for: the matte must hold it or leave it out.
type Kind int

const (
	Keep Kind = iota
	Drop
)

// String returns the kind's name in files.
func (k Kind) String() string {
	switch k {
	case Keep:
		return "keep"
	case Drop:
		return "drop"
	}
	return fmt.Sprintf("Kind(%d)", int(k))
}

// ParseKind is the inverse of String.
func ParseKind(s string) (Kind, error) {
	switch s {
	case "keep":
		return Keep, nil
	case "drop":
		return Drop, nil
	}
	return 0, fmt.Errorf("study: kind is %q, want keep or drop", s)
}

// A Matte is one isolated thing.
type Matte struct {
	ID   int
	Name string // unique in the study, also as SafeName and without regard to case
	Note string
	// NotExported marks a matte that is made for others to take in: exports of all mattes
	// leave it out.
	NotExported bool
	Settings
	Dabs   []Dab
	Proofs []Proof
	// Dismissed are flags that were put away, by ascending frame, one a frame. No picture depends
	// on them.
	Dismissed []Dismissed
	Carried   Carried // where the matte comes from, if from another clip
}

// Settings are what a matte's picture depends on, besides the clip and base.
type Settings struct {
	Pick  Pick
	Masks []Mask
	// MaskDabs say what lies inside the edges that masks search for: what keep masks keep,
	// and drop masks leave. They say nothing of colours to the pick.
	MaskDabs []Dab
	Joins    []Join // other mattes that are taken in, in this order
	Edge     Edge
	Trial    Trial
}

// A Proof is a kept alternative of one matte's settings.
type Proof struct {
	ID   int
	Name string // unique in its matte without regard to case
	Note string
	Settings
}

// A Dab is a disc of sampled pixels on one frame, centre and radius in source
// pixels.
type Dab struct {
	ID           int
	Frame        int
	X, Y, Radius float64
	Kind         Kind
}

// Pick is the colour part of a matte, over time.
type Pick struct {
	Model  selection.Model
	Smooth bool // read the picture after its noise is smoothed
	Fitted bool // the limits are what the matte's dabs ask for; else they were set by hand
	Limits [selection.Channels]Limit
	// Normal is the direction of a plane in CIELAB, L*, a*, b*, of length 1: the same on
	// every frame. It is zero in other models. See selection.Across.
	Normal [3]float64
}

// A Limit is a pick's demand on one channel, over time. Units: degrees of hue;
// saturation and lightness in [0,1] for HSL, Lab units for LCh and across a plane.
type Limit struct {
	Soft
	Off      bool // weighs 1 everywhere
	Inverted bool // 1 - weight
}

// NewSettings returns settings that select everything: no limit is on, there
// are no masks, the edge is as it comes but for the usual despeckling.
func NewSettings(m selection.Model) Settings {
	s := Settings{Pick: Pick{Model: m, Smooth: true}}
	if m == selection.PlaneModel {
		s.Pick.Normal = lightNormal
	}
	for c := range selection.Channels {
		s.Pick.Limits[c] = idleLimit(m, c)
	}
	setNeutral(s.Edge.Settings())
	setNeutral(s.Trial.Settings())
	s.Trial.Pivot = PivotSpec.Neutral
	return s
}

// lightNormal is the direction of a plane nobody has set: along L*.
var lightNormal = [3]float64{1, 0, 0}

// idleLimit is the limit of a channel nobody has set: off, over its full scale; of a plane
// at the level 0.
func idleLimit(m selection.Model, c selection.Channel) Limit {
	if m == selection.PlaneModel {
		return Limit{Off: true}
	}
	return Limit{Soft: ConstantRange(selection.Range{To: c.FullScale(m)}), Off: true}
}

// At returns the pick at a frame.
func (p *Pick) At(frame int) selection.Pick {
	out := selection.Pick{Model: p.Model, Normal: p.Normal}
	for c := range selection.Channels {
		l := &p.Limits[c]
		out.Limits[c] = selection.Limit{Range: l.At(frame), Off: l.Off, Inverted: l.Inverted}
		if c == selection.Hue {
			out.Limits[c].Range = l.HueAt(frame)
		}
	}
	return out
}

// PicksOfDabs returns the pick as it stands on each dab's frame, in the order of
// the dabs.
func (m *Matte) PicksOfDabs() []selection.Pick {
	picks := make([]selection.Pick, len(m.Dabs))
	for i, d := range m.Dabs {
		picks[i] = m.Pick.At(d.Frame)
	}
	return picks
}

// SettingsAt are a matte's settings at one frame.
type SettingsAt struct {
	Pick   selection.Pick
	Smooth bool
	Masks  []mask.Layer
	Joined []JoinedAt // see Study.SettingsAt
	Edge   selection.Edge
	Settle *SettleAt // nil where the matte does not settle; see Study.SettingsAt
	Trial  TrialAt
}

// At returns the settings at a frame, without mattes that they take in and frames that they
// settle with. The points of masks may be shared with s:
// do not change them.
func (s *Settings) At(frame int) SettingsAt {
	return SettingsAt{
		Pick: s.Pick.At(frame), Smooth: s.Pick.Smooth, Masks: s.masksAt(frame),
		Edge: s.Edge.At(frame), Trial: s.Trial.At(frame),
	}
}

// Clone returns a copy that shares nothing with s.
func (s *Settings) Clone() Settings { return s.clone() }

func (s Settings) clone() Settings {
	for c := range s.Pick.Limits {
		s.Pick.Limits[c].Track = s.Pick.Limits[c].clone()
	}
	cloneSettings(s.Edge.Settings())
	cloneSettings(s.Trial.Settings())
	s.Joins = slices.Clone(s.Joins)
	s.MaskDabs = slices.Clone(s.MaskDabs)
	s.Masks = slices.Clone(s.Masks)
	for i := range s.Masks {
		s.Masks[i] = s.Masks[i].clone()
	}
	return s
}

func (m Matte) clone() Matte {
	m.Settings = m.Settings.clone()
	m.Dabs = slices.Clone(m.Dabs)
	m.Dismissed = slices.Clone(m.Dismissed)
	m.Carried = m.Carried.clone()
	m.Proofs = slices.Clone(m.Proofs)
	for i := range m.Proofs {
		m.Proofs[i].Settings = m.Proofs[i].Settings.clone()
	}
	return m
}

// Other returns drop for keep and keep for drop.
func (k Kind) Other() Kind {
	if k == Keep {
		return Drop
	}
	return Keep
}
