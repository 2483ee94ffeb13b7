package desk

import (
	"slices"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// A ValueID names a setting that may change over time: of the base, of the
// chosen matte's pick, of its edge, of its trial.
type ValueID struct {
	Step Step
	Name string
}

// Values that are sampled together are keyed together.
const (
	GreyValue  = "grey"
	WaterValue = "open water"
	BlackValue = "black"
)

// PlaneValue is the range across a pick's plane, which stands in place of its ranges.
const PlaneValue = "plane"

// RangeValues are the names of a pick's ranges, by channel.
var RangeValues = [selection.Channels]string{selection.Hue: "hue", selection.Sat: "saturation", selection.Light: "lightness"}

// Words is what the value is called in a sentence.
func (id ValueID) Words() string {
	if id.Step == StepEdge {
		return study.SettingNamed(new(study.Edge).Settings(), id.Name).Label
	}
	return id.Name
}

// Label is the value's name in words, with a capital.
func (id ValueID) Label() string { return Capital(id.Words()) }

// ValueIDs are all values, in the order of the panels.
func ValueIDs() []ValueID {
	all := []ValueID{{StepBase, GreyValue}, {StepBase, WaterValue}, {StepBase, BlackValue}, {StepBase, "path"}}
	for _, s := range LightSettings(new(study.Base)) {
		all = append(all, ValueID{StepBase, s.Name})
	}
	for _, name := range RangeValues {
		all = append(all, ValueID{StepPick, name})
	}
	all = append(all, ValueID{StepPick, PlaneValue})
	for _, s := range new(study.Edge).Settings() {
		all = append(all, ValueID{StepEdge, s.Name})
	}
	for _, name := range TrialValues {
		all = append(all, ValueID{StepTrial, name})
	}
	return all
}

// A TimedKey is a key of a value, without what the value is there.
type TimedKey struct {
	Frame int
	Way   mask.Way
}

// FramesIn are the frames of keys, in their order.
func FramesIn(keys []TimedKey) []int {
	frames := make([]int, len(keys))
	for i, k := range keys {
		frames[i] = k.Frame
	}
	return frames
}

// OverTime is a value as it changes over time, whatever kind it is of.
type OverTime interface {
	Keys() []TimedKey // by ascending frame; none for a constant
	Add(frame int)    // makes a key of the value that there is
	Remove(frame int) // the last key to go becomes the constant
	Move(from, to int)
	Copy(from, to int)
	SetWay(frame int, way mask.Way)
	Fix(frame int) // makes the value there the constant
}

// ValueOf returns a value of a study and one of its mattes, which may be nil;
// nil where there is no such value. What is done to it is done to the study.
func ValueOf(s *study.Study, m *study.Matte, id ValueID) OverTime {
	switch {
	case s == nil || m == nil && id.Step != StepBase:
		return nil
	case id.Step == StepPick && (id.Name == PlaneValue) != (m.Pick.Model == selection.PlaneModel):
		return nil
	case id.Name == PlaneValue:
		return limitOver(&m.Pick.Limits[selection.Across], selection.Across)
	case id.Step == StepPick:
		c := selection.Channel(slices.Index(RangeValues[:], id.Name))
		return limitOver(&m.Pick.Limits[c], c)
	case id.Step == StepEdge:
		return numberOver(study.SettingNamed(m.Edge.Settings(), id.Name).Track)
	case id.Step == StepTrial:
		return trialOver(&m.Trial, id.Name)
	case id.Name == GreyValue:
		return togetherOver(&s.Base.Gain)
	case id.Name == WaterValue:
		return togetherOver(&s.Base.Veil)
	case id.Name == BlackValue:
		return togetherOver(&s.Base.Black)
	}
	return numberOver(study.SettingNamed(s.Base.Settings(), id.Name).Track)
}

func numberOver(n *study.Number) OverTime { return timed[float64]{&n.Track, n.At} }

func limitOver(l *study.Limit, c selection.Channel) OverTime {
	if c == selection.Hue {
		return timed[selection.Range]{&l.Track, l.HueAt}
	}
	return timed[selection.Range]{&l.Track, l.Soft.At}
}

func togetherOver(all *[3]study.Number) OverTime {
	return together{numberOver(&all[0]), numberOver(&all[1]), numberOver(&all[2])}
}

// A timed is a track of some kind, and what its value is at a frame before it
// is changed.
type timed[V any] struct {
	track *study.Track[V]
	at    func(frame int) V
}

func (t timed[V]) Keys() []TimedKey {
	var all []TimedKey
	for _, k := range t.track.Keys {
		all = append(all, TimedKey{k.Frame, k.Way})
	}
	return all
}

func (t timed[V]) Add(frame int)                  { t.track.AddKey(frame, t.at(frame)) }
func (t timed[V]) Remove(frame int)               { t.track.RemoveKey(frame) }
func (t timed[V]) Move(from, to int)              { t.track.MoveKey(from, to) }
func (t timed[V]) Copy(from, to int)              { t.track.CopyKey(from, to) }
func (t timed[V]) SetWay(frame int, way mask.Way) { t.track.SetWay(frame, way) }
func (t timed[V]) Fix(frame int)                  { t.track.Fix(t.at(frame)) }

// A together is tracks that are keyed as one.
type together []OverTime

func (g together) Keys() []TimedKey {
	var all []TimedKey
	for _, t := range g {
		for _, k := range t.Keys() {
			if !slices.Contains(FramesIn(all), k.Frame) {
				all = append(all, k)
			}
		}
	}
	slices.SortFunc(all, func(a, b TimedKey) int { return a.Frame - b.Frame })
	return all
}

func (g together) each(do func(OverTime)) {
	for _, t := range g {
		do(t)
	}
}

func (g together) Add(frame int)     { g.each(func(t OverTime) { t.Add(frame) }) }
func (g together) Remove(frame int)  { g.each(func(t OverTime) { t.Remove(frame) }) }
func (g together) Move(from, to int) { g.each(func(t OverTime) { t.Move(from, to) }) }
func (g together) Copy(from, to int) { g.each(func(t OverTime) { t.Copy(from, to) }) }
func (g together) Fix(frame int)     { g.each(func(t OverTime) { t.Fix(frame) }) }
func (g together) SetWay(frame int, way mask.Way) {
	g.each(func(t OverTime) { t.SetWay(frame, way) })
}

// A ValueKeys is a value that changes over time, and when.
type ValueKeys struct {
	ID    ValueID
	Label string
	Keys  []TimedKey
}

// KeyedValues are the values of the base and of the chosen matte that change over time,
// in the order of the panels; nil for none.
func (d *Desk) KeyedValues() []ValueKeys {
	var all []ValueKeys
	for _, id := range ValueIDs() {
		if v := ValueOf(d.Study(), d.Matte(), id); v != nil {
			if keys := v.Keys(); len(keys) > 0 {
				all = append(all, ValueKeys{id, id.Label(), keys})
			}
		}
	}
	return all
}

// newValueKeys names the values that have a key at a frame and had none.
func newValueKeys(before, now *study.Study, matteID, frame int) (names []string) {
	frames := func(s *study.Study, id ValueID) []int {
		if v := ValueOf(s, s.Matte(matteID), id); v != nil {
			return FramesIn(v.Keys())
		}
		return nil
	}
	for _, id := range ValueIDs() {
		had, has := frames(before, id), frames(now, id)
		if len(has) > len(had) && slices.Contains(has, frame) && !slices.Contains(had, frame) {
			names = append(names, id.Words())
		}
	}
	return names
}
