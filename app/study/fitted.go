package study

import "halocline/selection"

// TakeFit makes a fit to the matte's dabs the pick, on every frame. How it reads the
// picture stays.
func (p *Pick) TakeFit(fit selection.Pick) {
	*p = ConstantPick(fit, p.Smooth)
	p.Fitted = true
}

// TakeFit makes a fit to the matte's dabs its pick, on every frame, as Pick.TakeFit does. Fades that
// were set by hand on another clip stay as they are at the frame.
func (m *Matte) TakeFit(fit selection.Pick, frame int) {
	m.Pick.TakeFit(m.KeepFades(fit, frame))
	m.Carried.fitted()
}

// SetFitted says whether the pick is what the matte's dabs ask for.
func (m *Matte) SetFitted(fitted bool) {
	m.Pick.Fitted = fitted
	if fitted {
		m.Carried.fitted()
	}
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
