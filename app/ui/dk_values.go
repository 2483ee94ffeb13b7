package ui

import (
	"slices"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// A valueID names a setting that may change over time: of the base, of the
// chosen matte's pick, of its edge, of its trial.
type valueID struct {
	step Step
	name string
}

// Values that are sampled together are keyed together.
const (
	greyValue  = "grey"
	waterValue = "open water"
)

// rangeValues are the names of a pick's ranges, by channel.
var rangeValues = [3]string{selection.Hue: "hue", selection.Sat: "saturation", selection.Light: "lightness"}

// label is the value's name in words.
func (id valueID) label() string { return title(id.name) }

// valueIDs are all values, in the order of the panels.
func valueIDs() []valueID {
	all := []valueID{{StepBase, greyValue}, {StepBase, waterValue}, {StepBase, "path"}}
	for _, s := range lightSettings(new(study.Base)) {
		all = append(all, valueID{StepBase, s.Name})
	}
	for _, name := range rangeValues {
		all = append(all, valueID{StepPick, name})
	}
	for _, s := range new(study.Edge).Settings() {
		all = append(all, valueID{StepEdge, s.Name})
	}
	for _, name := range trialValues {
		all = append(all, valueID{StepTrial, name})
	}
	return all
}

// A timedKey is a key of a value, without what the value is there.
type timedKey struct {
	frame int
	way   mask.Way
}

func framesIn(keys []timedKey) []int {
	frames := make([]int, len(keys))
	for i, k := range keys {
		frames[i] = k.frame
	}
	return frames
}

// OverTime is a value as it changes over time, whatever kind it is of.
type OverTime interface {
	keys() []timedKey // by ascending frame; none for a constant
	add(frame int)    // makes a key of the value that there is
	remove(frame int) // the last key to go becomes the constant
	move(from, to int)
	copy(from, to int)
	setWay(frame int, way mask.Way)
	fix(frame int) // makes the value there the constant
}

// valueOf returns a value of a study and one of its mattes, which may be nil;
// nil where there is no such value. What is done to it is done to the study.
func valueOf(s *study.Study, m *study.Matte, id valueID) OverTime {
	switch {
	case s == nil || m == nil && id.step != StepBase:
		return nil
	case id.step == StepPick:
		c := selection.Channel(slices.Index(rangeValues[:], id.name))
		return limitOver(&m.Pick.Limits[c], c)
	case id.step == StepEdge:
		return numberOver(study.SettingNamed(m.Edge.Settings(), id.name).Track)
	case id.step == StepTrial:
		return trialOver(&m.Trial, id.name)
	case id.name == greyValue:
		return togetherOver(&s.Base.Gain)
	case id.name == waterValue:
		return togetherOver(&s.Base.Veil)
	}
	return numberOver(study.SettingNamed(s.Base.Settings(), id.name).Track)
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

func (t timed[V]) keys() []timedKey {
	var all []timedKey
	for _, k := range t.track.Keys {
		all = append(all, timedKey{k.Frame, k.Way})
	}
	return all
}

func (t timed[V]) add(frame int)                  { t.track.AddKey(frame, t.at(frame)) }
func (t timed[V]) remove(frame int)               { t.track.RemoveKey(frame) }
func (t timed[V]) move(from, to int)              { t.track.MoveKey(from, to) }
func (t timed[V]) copy(from, to int)              { t.track.CopyKey(from, to) }
func (t timed[V]) setWay(frame int, way mask.Way) { t.track.SetWay(frame, way) }
func (t timed[V]) fix(frame int)                  { t.track.Fix(t.at(frame)) }

// Together are tracks that are keyed as one.
type together []OverTime

func (g together) keys() []timedKey {
	var all []timedKey
	for _, t := range g {
		for _, k := range t.keys() {
			if !slices.Contains(framesIn(all), k.frame) {
				all = append(all, k)
			}
		}
	}
	slices.SortFunc(all, func(a, b timedKey) int { return a.frame - b.frame })
	return all
}

func (g together) each(do func(OverTime)) {
	for _, t := range g {
		do(t)
	}
}

func (g together) add(frame int)     { g.each(func(t OverTime) { t.add(frame) }) }
func (g together) remove(frame int)  { g.each(func(t OverTime) { t.remove(frame) }) }
func (g together) move(from, to int) { g.each(func(t OverTime) { t.move(from, to) }) }
func (g together) copy(from, to int) { g.each(func(t OverTime) { t.copy(from, to) }) }
func (g together) fix(frame int)     { g.each(func(t OverTime) { t.fix(frame) }) }
func (g together) setWay(frame int, way mask.Way) {
	g.each(func(t OverTime) { t.setWay(frame, way) })
}

// A valueKeys is a value that changes over time, and when.
type valueKeys struct {
	id    valueID
	label string
	keys  []timedKey
}

// KeyedValues are the values of the base and of the chosen matte that change
// over time, in the order of the panels.
func (d *Desk) KeyedValues() []valueKeys {
	var all []valueKeys
	for _, id := range valueIDs() {
		if v := valueOf(d.Study(), d.Matte(), id); v != nil {
			if keys := v.keys(); len(keys) > 0 {
				all = append(all, valueKeys{id, id.label(), keys})
			}
		}
	}
	return all
}

// newValueKeys names the values that have a key at a frame and had none.
func newValueKeys(before, now *study.Study, matteID, frame int) (names []string) {
	frames := func(s *study.Study, id valueID) []int {
		if v := valueOf(s, s.Matte(matteID), id); v != nil {
			return framesIn(v.keys())
		}
		return nil
	}
	for _, id := range valueIDs() {
		had, has := frames(before, id), frames(now, id)
		if len(has) > len(had) && slices.Contains(has, frame) && !slices.Contains(had, frame) {
			names = append(names, id.name)
		}
	}
	return names
}
