package check

import (
	"math"

	"halocline/colour"
	"halocline/selection"
)

// A Likeness tells colours that look like dabs to keep from those that look like dabs to drop.
// What looks like neither, or like both, is neither.
type Likeness struct{ keep, drop []colour.Lab } // the dabs' mean colours

// likeReach is how far in a* and b* a colour that looks like a dab may be from its mean: about
// what light and shade make of one thing.
const likeReach = 8

// LikenessOf is the likeness to dabs; those without colours have no say.
func LikenessOf(dabs []selection.Dab) *Likeness {
	l := new(Likeness)
	for _, d := range dabs {
		if len(d.Colours) == 0 {
			continue
		}
		var mean colour.Lab
		n := float64(len(d.Colours))
		for _, c := range d.Colours {
			lab := c.Lab()
			mean.L, mean.A, mean.B = mean.L+lab.L/n, mean.A+lab.A/n, mean.B+lab.B/n
		}
		if d.Keep {
			l.keep = append(l.keep, mean)
		} else {
			l.drop = append(l.drop, mean)
		}
	}
	return l
}

// Dabs returns how many dabs of each kind have a say.
func (l *Likeness) Dabs() (keep, drop int) { return len(l.keep), len(l.drop) }

// Kept reports whether a colour looks like the dabs to keep: it is near the mean of one in a* and
// b*, and none to drop is nearer, in these or in CIELAB.
func (l *Likeness) Kept(c colour.Lab) bool { return looksLike(c, l.keep, l.drop) }

// SurelyKept reports whether a colour looks like the dabs to keep, and not like those to drop as
// well.
func (l *Likeness) SurelyKept(c colour.Lab) bool {
	return looksLike(c, l.keep, l.drop) && !looksLike(c, l.drop, l.keep)
}

// SurelyDropped reports whether a colour looks like the dabs to drop, and not like those to keep
// as well.
func (l *Likeness) SurelyDropped(c colour.Lab) bool {
	return looksLike(c, l.drop, l.keep) && !looksLike(c, l.keep, l.drop)
}

// looksLike reports whether a colour is near one of some means, and nearer than to the others.
func looksLike(c colour.Lab, means, others []colour.Lab) bool {
	hue, all := nearest(c, means)
	if hue >= likeReach {
		return false
	}
	otherHue, otherAll := nearest(c, others)
	return hue <= otherHue || all <= otherAll
}

// nearest returns how far the nearest of some colours is in a* and b*, and in CIELAB; infinity
// where there is none.
func nearest(c colour.Lab, of []colour.Lab) (hue, all float64) {
	hue, all = math.Inf(1), math.Inf(1)
	for _, q := range of {
		h := math.Hypot(c.A-q.A, c.B-q.B)
		hue, all = min(hue, h), min(all, math.Hypot(h, c.L-q.L))
	}
	return hue, all
}
