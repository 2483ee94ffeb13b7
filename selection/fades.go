package selection

// WithFadesOf returns the pick with the fades of another one of its model, on the channels that
// both limit.
func (p Pick) WithFadesOf(of Pick) Pick {
	for c := range p.Limits {
		l, other := &p.Limits[c], of.Limits[c]
		if !l.Off && !other.Off {
			l.Before, l.After = other.Before, other.After
		}
	}
	return p
}
