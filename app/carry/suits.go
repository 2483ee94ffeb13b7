package carry

import (
	"math"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// ShiftLimit is how far apart two clips' mean colours after base may be, in CIEDE2000, before a pick
// counts as stale. Picks of one shot of the demo scene, carried to later frames, to other seeds and
// through up to a metre more of coastal water (TestWhatPicksLose, 40 pairs of clips of seeds 1 to 5),
// lose in balanced accuracy, in the mean: skin 0.07 up to this limit and 0.17 beyond it, sand 0.03 and
// 0.11. Later frames of one seed are 2.0 to 3.1 away from its first; a quarter of a metre more makes
// 3.2 to 4.0 of that.
const ShiftLimit = 3.0

// UnlikeLimit is the share of the dabs' colours that the other clip may lack. On the same clips 110
// of 120 picks miss less than 0.02; the seven that miss more than this limit lose 0.28 in the mean.
const UnlikeLimit = 0.05

// Near is how far a colour of the other clip may be from a dab's to count as that colour, in
// CIEDE2000: what is seen as one colour with a glance, not side by side (common practice, no source).
const Near = 5.0

// A channel is named where the colours moved in it by more than visible, in CIEDE2000, and by no less
// than channelShare of what they moved in the channel in which they moved most: 1 is just visible
// side by side (common practice, no source).
const (
	visible      = 1.0
	channelShare = 0.5
)

// lacked returns the share of the dabs' colours that a palette does not have, and how the nearest of
// what it has differs from each. The share is not ok where there are no dabs.
func lacked(dabs []study.CarriedDab, p palette) (share float64, nearest []colour.Difference, ok bool) {
	n := 0
	for _, d := range dabs {
		for _, c := range d.RGB() {
			n++
			if lab := c.Lab(); !p.has(lab, Near) {
				nearest = append(nearest, p.nearest(lab))
			}
		}
	}
	if n == 0 {
		return 0, nil, false
	}
	return float64(len(nearest)) / float64(n), nearest, true
}

// turned returns how the colours under dabs would move if the light changed from that of one palette
// to that of another: each channel's light by the ratio of the means (the coefficient law of J. von
// Kries 1902, on linear R, G and B). Without dabs it is how the mean colour moved.
func turned(dabs []study.CarriedDab, from, to palette) (all []colour.Difference) {
	for _, d := range dabs {
		for _, c := range d.RGB() {
			light := lightOf(c)
			for i := range light {
				light[i] *= to.light[i] / max(from.light[i], leastLight)
			}
			now := colour.RGB{R: colour.Encoded(light[0]), G: colour.Encoded(light[1]), B: colour.Encoded(light[2])}
			all = append(all, c.Lab().Difference(now.Lab()))
		}
	}
	if all == nil {
		all = append(all, from.mean.Difference(to.mean))
	}
	return all
}

// leastLight keeps a ratio finite where a clip has no light in a channel: a code of 16 bits.
const leastLight = 1.0 / 65535

// movedFor returns the channels in which a pick's colours moved by those differences, in the mean. A
// channel that the pick does not limit cannot make it stale.
func movedFor(p selection.Pick, moved []colour.Difference) study.Moves {
	var parts [selection.Channels]float64
	for _, d := range moved {
		for c, v := range [...]float64{selection.Hue: d.Hue, selection.Sat: d.Chroma, selection.Light: d.Lightness} {
			if !p.Limits[c].Off {
				parts[c] += math.Abs(v) / float64(len(moved))
			}
		}
	}
	least := max(visible, channelShare*max(parts[selection.Hue], parts[selection.Sat], parts[selection.Light]))
	is := func(c selection.Channel) bool { return parts[c] >= least }
	return study.Moves{Hue: is(selection.Hue), Chroma: is(selection.Sat), Lightness: is(selection.Light)}
}

// A fit of a pick to another clip.
type fit struct {
	unlike float64 // the share of the dabs' colours that the clip lacks
	known  bool    // there are dabs
	moved  study.Moves
}

// suits tells how a pick with those dabs suits a clip: it is stale where the light shifted too far, or
// where the clip lacks too many of the dabs' colours.
func suits(p selection.Pick, dabs []study.CarriedDab, from, to palette) fit {
	share, nearest, known := lacked(dabs, to)
	f := fit{unlike: share, known: known}
	switch {
	case from.mean.DeltaE(to.mean) > ShiftLimit:
		f.moved = movedFor(p, turned(dabs, from, to))
	case share > UnlikeLimit:
		f.moved = movedFor(p, nearest)
	}
	return f
}
