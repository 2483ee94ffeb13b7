package desk

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// A Step is one part of the work, in the order in which it is done.
type Step int

const (
	StepBase  Step = iota // light and water of the whole frame
	StepPick              // which colours
	StepMasks             // where
	StepEdge              // how the matte ends
	StepTrial             // a grade tried through the matte
)

// Steps are all steps, in the order of the work.
var Steps = []Step{StepBase, StepPick, StepMasks, StepEdge, StepTrial}

// String is the step's name on screens.
func (s Step) String() string { return [...]string{"Base", "Pick", "Masks", "Edge", "Trial"}[s] }

// GoTo is what the act that opens the step is called.
func (s Step) GoTo() string { return "Go to " + s.String() }

// A BasePress is what a press on the frame samples while Base is open.
type BasePress int

const (
	PressGrey  BasePress = iota // what is to be grey
	PressWater                  // open water
	PressBlack                  // something black
)

// A State says how a step stands.
type State int

const (
	Neutral State = iota // off, or changes nothing
	Active               // it changes something
)

// Summary says in a few words how a step stands for a matte on a frame. m may
// be nil.
func (st Step) Summary(s *study.Study, m *study.Matte, frame int) (string, State) {
	switch {
	case st == StepBase:
		return baseSummary(s, frame)
	case m == nil:
		return "no matte", Neutral
	case st == StepPick:
		return pickSummary(m.Pick.At(frame))
	case st == StepMasks:
		return maskSummary(m.Masks, len(m.Joins))
	case st == StepTrial:
		return trialSummary(m.Trial.At(frame), m.Trial.Pivot)
	}
	return edgeSummary(&m.Edge, frame)
}

func baseSummary(s *study.Study, frame int) (string, State) {
	b := s.Base.At(frame)
	var parts []string
	if s.Base.Water != "" && b.Path != 0 {
		parts = append(parts, fmt.Sprintf("water %s out, %s m", s.Base.Water, Trim(b.Path, 1)))
	}
	if b.Black != [3]float64{} {
		parts = append(parts, "black set")
	}
	if b.Gains != [3]float64{1, 1, 1} {
		parts = append(parts, "grey set")
	}
	if b.Exposure != 0 {
		parts = append(parts, fmt.Sprintf("exposure %+.2g", b.Exposure))
	}
	if b.Contrast != 1 {
		parts = append(parts, "contrast "+Trim(b.Contrast, 2))
	}
	return joined(parts, "unchanged")
}

func pickSummary(p selection.Pick) (string, State) {
	var parts []string
	for c, l := range p.Limits {
		if !l.Off {
			parts = append(parts, limitSummary(p.Model, selection.Channel(c), l))
		}
	}
	return joined(parts, "everything")
}

func limitSummary(m selection.Model, c selection.Channel, l selection.Limit) string {
	from, to, digits := l.From, l.To, 2
	if m == selection.PlaneModel {
		return planeSummary(l)
	}
	if c == selection.Hue || m == selection.LCh {
		digits = 0
	}
	if c == selection.Hue {
		from, to = Turned(from), Turned(to)
	}
	text := fmt.Sprintf("%s %s–%s", ShortName(m, c), Fixed(from, digits), Fixed(to, digits))
	if l.Inverted {
		return "not " + text
	}
	return text
}

func planeSummary(l selection.Limit) string {
	text := "plane from " + Fixed(l.From, 1)
	if l.Inverted {
		return "not " + text
	}
	return text
}

// ShortName is a channel's name where there is little room.
func ShortName(m selection.Model, c selection.Channel) string {
	switch {
	case c == selection.Hue:
		return "hue"
	case m == selection.PlaneModel && c == selection.Across:
		return "plane"
	case c == selection.Light:
		return "light"
	case m == selection.HSL:
		return "sat"
	}
	return "chroma"
}

// RangeTop is the largest number that the ends and fades of a channel's range may be given.
func RangeTop(m selection.Model, c selection.Channel) float64 {
	switch {
	case c == selection.Hue:
		return 360
	case m == selection.HSL:
		return 1
	case m == selection.PlaneModel:
		return study.LevelSpec.Max
	case c == selection.Sat:
		return 200
	}
	return 100
}

func maskSummary(masks []study.Mask, joins int) (string, State) {
	keep, drop, keys := 0, 0, 0
	for _, m := range masks {
		if m.Kind == study.Keep {
			keep++
		} else {
			drop++
		}
		keys += len(m.Keys)
	}
	var parts []string
	if keep > 0 {
		parts = append(parts, fmt.Sprintf("%d keep", keep))
	}
	if drop > 0 {
		parts = append(parts, fmt.Sprintf("%d drop", drop))
	}
	text, st := joined(parts, "none yet")
	if keys > len(masks) {
		text += fmt.Sprintf("; %d keys", keys)
	}
	if len(masks) > 0 && !slices.ContainsFunc(masks, func(m study.Mask) bool { return !m.Off }) {
		text, st = text+", all off", Neutral
	}
	switch {
	case joins == 0:
		return text, st
	case len(masks) == 0:
		return fmt.Sprintf("%d joined", joins), Active
	}
	return fmt.Sprintf("%s; %d joined", text, joins), Active
}

func edgeSummary(e *study.Edge, frame int) (string, State) {
	var parts []string
	for _, s := range e.Settings() {
		v := s.Track.At(frame)
		if s.Track == &e.About || v == 0 {
			continue
		}
		text := s.Label + " " + Trim(v, 2)
		if s.Track == &e.Soften {
			text += " " + s.Unit
		}
		parts = append(parts, text)
	}
	return joined(parts, "untreated")
}

func joined(parts []string, none string) (string, State) {
	if len(parts) == 0 {
		return none, Neutral
	}
	return strings.Join(parts, ", "), Active
}

// Turned returns an angle in [0,360).
func Turned(degrees float64) float64 {
	if t := math.Mod(degrees, 360); t < 0 {
		return t + 360
	} else {
		return t
	}
}

// Fixed writes a number with so many digits after the point.
func Fixed(v float64, digits int) string { return strconv.FormatFloat(v, 'f', digits, 64) }

// Trim writes a number with at most so many digits after the point.
func Trim(v float64, digits int) string {
	scale := math.Pow(10, float64(digits))
	return strconv.FormatFloat(math.Round(v*scale)/scale+0, 'f', -1, 64)
}

// KeysOf counts the keys of a mask, in words.
func KeysOf(t *mask.Track) string { return Counted(len(t.Keys), "key") }

// Counted is a number of things, in words: "1 key", "2 keys".
func Counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
