package study

import (
	"slices"

	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A Key is a track's value at one frame, and the way to the next key.
type Key[V any] struct {
	Frame int
	Value V
	Way   mask.Way
}

// A Track is a setting over time: one constant, or keys in ascending order of
// frame. The first key's value holds before it, the last key's after it. Where
// there are keys, Value is not used.
type Track[V any] struct {
	Value V
	Keys  []Key[V]
}

// Keyed reports whether the track changes by keys.
func (t *Track[V]) Keyed() bool { return len(t.Keys) > 0 }

// Set gives the track the value v at a frame: without keys it is the new
// constant, otherwise the key at that frame is changed or made, a new one
// leading on in the way of the key before it.
func (t *Track[V]) Set(frame int, v V) {
	i, found := t.find(frame)
	switch {
	case !t.Keyed():
		t.Value = v
	case found:
		t.Keys[i].Value = v
	default:
		t.SetKey(frame, v, t.Keys[max(i-1, 0)].Way)
	}
}

// SetKey makes or replaces the key at a frame.
func (t *Track[V]) SetKey(frame int, v V, way mask.Way) {
	k := Key[V]{frame, v, way}
	if i, found := t.find(frame); found {
		t.Keys[i] = k
	} else {
		t.Keys = slices.Insert(t.Keys, i, k)
	}
	t.tidy()
}

// AddKey gives the track the value v at a frame by a key: the first is straight,
// any other one as Set makes it.
func (t *Track[V]) AddKey(frame int, v V) {
	if !t.Keyed() {
		t.SetKey(frame, v, mask.Straight)
		return
	}
	t.Set(frame, v)
}

// MoveKey puts the key at one frame on another, in place of any that is there,
// and reports whether there was one.
func (t *Track[V]) MoveKey(from, to int) bool {
	i, found := t.find(from)
	if found {
		k := t.Keys[i]
		t.Keys = slices.Delete(t.Keys, i, i+1)
		t.SetKey(to, k.Value, k.Way)
	}
	return found
}

// CopyKey makes the key at a frame like that at another, and reports whether
// there was one.
func (t *Track[V]) CopyKey(from, to int) bool {
	i, found := t.find(from)
	if found {
		t.SetKey(to, t.Keys[i].Value, t.Keys[i].Way)
	}
	return found
}

// SetWay changes the way on from the key at a frame, and reports whether there
// was one.
func (t *Track[V]) SetWay(frame int, way mask.Way) bool {
	i, found := t.find(frame)
	if found {
		t.Keys[i].Way = way
	}
	return found
}

// RemoveKey takes away the key at a frame, if there is one. The value of the
// last key to go becomes the constant.
func (t *Track[V]) RemoveKey(frame int) {
	i, found := t.find(frame)
	if !found {
		return
	}
	last := t.Keys[i].Value
	t.Keys = slices.Delete(t.Keys, i, i+1)
	if len(t.Keys) == 0 {
		t.Keys, t.Value = nil, last
	}
}

// StartKeys makes a constant a straight key at a frame, so that Set makes or
// changes keys from there on. A track that has keys stays as it is.
func (t *Track[V]) StartKeys(frame int) {
	if !t.Keyed() {
		t.SetKey(frame, t.Value, mask.Straight)
	}
}

// Fix makes v the constant and takes all keys away.
func (t *Track[V]) Fix(v V) { *t = Track[V]{Value: v} }

func (t *Track[V]) find(frame int) (int, bool) {
	return slices.BinarySearchFunc(t.Keys, frame, func(k Key[V], f int) int { return k.Frame - f })
}

// tidy leaves one way to say a thing: a keyed track has no constant, a constant
// one has nil for keys.
func (t *Track[V]) tidy() {
	var none V
	if t.Keyed() {
		t.Value = none
	} else {
		t.Keys = nil
	}
}

func (t Track[V]) clone() Track[V] {
	t.Keys = slices.Clone(t.Keys)
	return t
}

// constant returns the value where no interpolation is needed.
func (t *Track[V]) constant(frame int) (v V, ok bool) {
	if !t.Keyed() {
		return t.Value, true
	}
	i, found := t.find(frame)
	switch {
	case found || i == 0:
		return t.Keys[i].Value, true
	case i == len(t.Keys):
		return t.Keys[i-1].Value, true
	}
	return v, false
}

// curve returns one number of each key's value as a curve.
func (t *Track[V]) curve(part func(V) float64) mask.Curve {
	n := len(t.Keys)
	c := mask.Curve{X: make([]float64, n), Y: make([]float64, n), Ways: make([]mask.Way, n)}
	for i, k := range t.Keys {
		c.X[i], c.Y[i], c.Ways[i] = float64(k.Frame), part(k.Value), k.Way
	}
	return c
}

// A Number is a track of one number.
type Number struct{ Track[float64] }

// Constant returns a number that does not change.
func Constant(v float64) Number { return Number{Track[float64]{Value: v}} }

// At returns the number at a frame.
func (n Number) At(frame int) float64 {
	if v, ok := n.constant(frame); ok {
		return v
	}
	return n.curve(func(v float64) float64 { return v }).At(float64(frame))
}

// A Soft is a track of soft ranges.
type Soft struct{ Track[selection.Range] }

// ConstantRange returns a range that does not change.
func ConstantRange(r selection.Range) Soft { return Soft{Track[selection.Range]{Value: r}} }

// At returns the range at a frame, on a line: both ends and both fades travel
// by themselves, and To never falls below From.
func (s Soft) At(frame int) selection.Range {
	if r, ok := s.constant(frame); ok {
		return r
	}
	r := s.fades(frame)
	r.From = s.curve(func(r selection.Range) float64 { return r.From }).At(float64(frame))
	r.To = max(r.From, s.curve(func(r selection.Range) float64 { return r.To }).At(float64(frame)))
	return r
}

// HueAt returns the range at a frame, on the hue circle: the middle travels by
// the shortest arc from key to key, and the width and both fades by themselves.
func (s Soft) HueAt(frame int) selection.Range {
	if r, ok := s.constant(frame); ok {
		return r
	}
	middle := s.curve(func(r selection.Range) float64 { return r.From + r.Span()/2 })
	for i := range middle.Y[1:] {
		arc := colour.Degrees(middle.Y[i]).ArcTo(colour.Degrees(middle.Y[i+1]))
		middle.Y[i+1] = middle.Y[i] + float64(arc)
	}
	span := s.curve(selection.Range.Span).At(float64(frame))
	r := s.fades(frame)
	r.From = float64(colour.Degrees(middle.At(float64(frame)) - span/2).Norm())
	r.To = r.From + span
	return r
}

func (s Soft) fades(frame int) selection.Range {
	return selection.Range{
		Before: s.curve(func(r selection.Range) float64 { return r.Before }).At(float64(frame)),
		After:  s.curve(func(r selection.Range) float64 { return r.After }).At(float64(frame)),
	}
}
