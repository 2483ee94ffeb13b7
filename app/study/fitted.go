package study

import "halocline/selection"

// ConstantPick returns a pick that is the same on every frame, such as a fit
// gives.
func ConstantPick(p selection.Pick, smooth bool) Pick {
	out := Pick{Model: p.Model, Smooth: smooth}
	for c, l := range p.Limits {
		out.Limits[c] = Limit{Soft: ConstantRange(l.Range), Off: l.Off, Inverted: l.Inverted}
	}
	return out
}
