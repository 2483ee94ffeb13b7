package timebar

import (
	"maps"
	"slices"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/timeline"
	"halocline/mask"
)

// Lanes are a row for each mask of the chosen matte, and one for its values and
// the base's where some of them change over time.
func Lanes(d *desk.Desk) (all []timeline.Lane) {
	if m := d.Matte(); m != nil {
		all = maskLanes(d, m)
	}
	if keys := valueKeys(d); len(keys) > 0 {
		all = append(all, timeline.Lane{ID: desk.ValuesLane, Name: "values", Kind: timeline.Values, Keys: keys})
	}
	return all
}

// valueKeys are the keys of all values that change over time.
func valueKeys(d *desk.Desk) (all []timeline.Key) {
	for _, v := range d.KeyedValues() {
		for _, k := range v.Keys {
			all = append(all, timeline.Key{Frame: k.Frame, Way: laneWay(k.Way)})
		}
	}
	slices.SortStableFunc(all, func(a, b timeline.Key) int { return a.Frame - b.Frame })
	return slices.CompactFunc(all, func(a, b timeline.Key) bool { return a.Frame == b.Frame })
}

func maskLanes(d *desk.Desk, m *study.Matte) (all []timeline.Lane) {
	for i := range m.Masks {
		t := &m.Masks[i]
		l := timeline.Lane{
			ID: t.ID, Name: t.Name, Chosen: t.ID == d.MaskID, Off: t.Off,
			In: timeline.Bound(t.In), Out: timeline.Bound(t.Out),
			Before: t.Before == mask.Follows, After: t.After == mask.Follows, Sure: sureOn(d, t.ID),
		}
		if t.Kind == study.Drop {
			l.Kind = timeline.Drop
		}
		for _, k := range t.Keys {
			l.Keys = append(l.Keys, timeline.Key{Frame: k.Frame, Way: laneWay(k.Way), Reached: d.Reaches(t.ID, k.Frame)})
		}
		all = append(all, l)
	}
	return all
}

// sureOn is how sure a mask's followed outlines are where they were found.
func sureOn(d *desk.Desk, maskID int) (all []timeline.Sure) {
	known := d.SureAt(maskID)
	for _, frame := range slices.Sorted(maps.Keys(known)) {
		all = append(all, timeline.Sure{Frame: frame, Value: known[frame], Low: known[frame] < desk.Sure})
	}
	return all
}

func laneWay(w mask.Way) timeline.Way {
	switch w {
	case mask.Step:
		return timeline.Step
	case mask.Curved:
		return timeline.Curved
	case mask.Follow:
		return timeline.Follow
	}
	return timeline.Straight
}
