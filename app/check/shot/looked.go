package shot

import "math"

// A user looks at the frames on which he dabs or sets a key, and is content with them. What a
// matte is like there is how it should be, and between two such frames on a line from one to the
// other. A slide that lasts for most of a clip is found by that alone: the clip's median slides
// with it.

// A lookedTrait is figures of a frame, one or more that are compared together by their distance.
type lookedTrait struct {
	trait int
	of    func(*Judged) []float64 // nil: none
	worse int                     // 1: more is worse, -1: less is, 0: either
	keyed bool                    // frames with a mask's key say it too, not those with dabs alone
	floor float64                 // a change from frame to frame that nobody would call one
}

var lookedTraits = []lookedTrait{
	{trait: byColours, of: coloursOf, floor: 0.5},
	{trait: byArea, of: logArea, floor: 0.05, keyed: true},
	{trait: byFilled, of: one(func(j *Judged) *float64 { return j.Filled }), floor: 0.01},
	{trait: byWidth, of: one(func(j *Judged) *float64 { return j.edgeWidth() }), floor: 0.15},
	{trait: byCore, of: one(func(j *Judged) *float64 { return j.Core }), worse: -1, floor: 0.012},
	{trait: byBand, of: one(func(j *Judged) *float64 { return j.Band }), worse: 1, floor: 0.005},
	{trait: byDropped, of: one(func(j *Judged) *float64 { return j.Dropped }), worse: 1, floor: 0.007},
}

// An against is what a frame's figures are held against: those of a frame that was looked at,
// the last one before it, or of the first after it where there is none.
type against struct {
	frame  int
	values []float64
}

func coloursOf(j *Judged) []float64 {
	if j.Colours == nil {
		return nil
	}
	c := j.Colours
	return []float64{c.Mean[0], c.Mean[1], c.Mean[2], c.Spread}
}

// logArea has a share of the area count as much on a small matte as on a large one.
func logArea(j *Judged) []float64 {
	if j.Area <= leastArea {
		return nil
	}
	return []float64{math.Log(j.Area)}
}

// edgeWidth is that of a matte which has an edge.
func (j *Judged) edgeWidth() *float64 {
	if j.Contour == 0 {
		return nil
	}
	return &j.EdgeWidth
}

func one(of func(*Judged) *float64) func(*Judged) []float64 {
	return func(j *Judged) []float64 {
		if v := of(j); v != nil {
			return []float64{*v}
		}
		return nil
	}
}

// compareWithLooked has frames stand out that differ from those that were looked at, by how much
// the figure changes from frame to frame. Where nothing was looked at none does.
func compareWithLooked(all []Judged) {
	for _, t := range lookedTraits {
		known := t.known(all)
		looked := t.lookedAt(known)
		if len(looked) == 0 {
			continue
		}
		deviation := normal * max(t.usualChange(known), t.floor)
		next := 0 // the first that was looked at after the frame
		for _, j := range known {
			for next < len(looked) && looked[next].Number <= j.Number {
				next++
			}
			before, after := looked[max(next-1, 0)], looked[min(next, len(looked)-1)]
			by := t.beyond(j, t.between(before, after, j.Number)) / deviation
			if by > j.deviations[t.trait] {
				j.stands(t.trait, by)
				j.against[t.trait] = against{before.Number, t.of(before)}
			}
		}
	}
}

// known are the frames that have the figures.
func (t lookedTrait) known(all []Judged) (known []*Judged) {
	for i := range all {
		if j := &all[i]; j.Err == nil && t.of(j) != nil {
			known = append(known, j)
		}
	}
	return known
}

// lookedAt are those that were looked at.
func (t lookedTrait) lookedAt(known []*Judged) (looked []*Judged) {
	for _, j := range known {
		if j.dabbed || t.keyed && len(j.keys) > 0 {
			looked = append(looked, j)
		}
	}
	return looked
}

// usualChange is the median of how far figures lie from those of the frame before.
func (t lookedTrait) usualChange(known []*Judged) float64 {
	var changes []float64
	for i := 1; i < len(known); i++ {
		if known[i].Number == known[i-1].Number+1 {
			changes = append(changes, distance(t.of(known[i]), t.of(known[i-1])))
		}
	}
	if len(changes) == 0 {
		return 0
	}
	return median(changes)
}

// between is what lies on the line from one frame's figures to another's; at its ends, and beyond
// them, it is the end's.
func (t lookedTrait) between(before, after *Judged, frame int) []float64 {
	a, b := t.of(before), t.of(after)
	out := make([]float64, len(a))
	u := 0.
	if after.Number > before.Number {
		u = min(max(float64(frame-before.Number)/float64(after.Number-before.Number), 0), 1)
	}
	for i := range out {
		out[i] = a[i] + float64(u*(b[i]-a[i]))
	}
	return out
}

// beyond is how far a frame's figures lie from others, to the side that is worse.
func (t lookedTrait) beyond(j *Judged, from []float64) float64 {
	values := t.of(j)
	if t.worse != 0 {
		return max(0, float64(t.worse)*(values[0]-from[0]))
	}
	return distance(values, from)
}

func distance(a, b []float64) float64 {
	sum := 0.
	for i, v := range a {
		sum += sq(v - b[i])
	}
	return math.Sqrt(sum)
}
