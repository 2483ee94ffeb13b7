package study

import "halocline/selection"

// TakeFit makes a fit to the matte's dabs the pick, on every frame. How it reads the
// picture stays.
func (p *Pick) TakeFit(fit selection.Pick) {
	*p = ConstantPick(fit, p.Smooth)
	p.Fitted = true
}

// ConstantPick returns a pick that is the same on every frame and counts as set by
// hand.
func ConstantPick(p selection.Pick, smooth bool) Pick {
	out := Pick{Model: p.Model, Smooth: smooth, Normal: p.Normal}
	for c, l := range p.Limits {
		out.Limits[c] = Limit{Soft: ConstantRange(l.Range), Off: l.Off, Inverted: l.Inverted}
	}
	return out
}
