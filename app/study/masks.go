package study

import (
	"slices"

	"halocline/mask"
)

// A Point is a place in source pixels.
type Point struct{ X, Y float64 }

// A Mask is a feathered polygon over time. All its keys have the same number of
// points.
type Mask struct {
	ID      int
	Name    string
	Kind    Kind
	Rounded bool // a smooth curve through the points
	Off     bool
	In, Out Bound // the first and the last frame on which it works
	Keys    []MaskKey
}

// A Bound is a frame that may be absent.
type Bound struct {
	Set   bool
	Frame int
}

// A MaskKey is a mask's shape at one frame, and the way to the next key.
type MaskKey struct {
	Frame        int
	Way          mask.Way
	Points       []Point
	Inner, Outer float64 // feather in pixels, inward and outward of the outline
	Opacity      float64 // in [0,1]
}

// Works reports whether the mask has a say on a frame.
func (m *Mask) Works(frame int) bool {
	return !m.Off && (!m.In.Set || frame >= m.In.Frame) && (!m.Out.Set || frame <= m.Out.Frame)
}

// MaskAt is a mask at one frame. A keep mask that does not work there has no
// points and opacity 0: it counts as empty, never as absent.
type MaskAt struct {
	Kind         Kind
	Rounded      bool
	Points       []Point
	Inner, Outer float64
	Opacity      float64
}

// At returns the mask at a frame. Points may be shared with a key of m.
func (m *Mask) At(frame int) MaskAt {
	if len(m.Keys) == 0 || !m.Works(frame) {
		return MaskAt{Kind: m.Kind}
	}
	next, found := m.find(frame)
	if found || next == 0 {
		return m.on(m.Keys[next])
	}
	if next == len(m.Keys) {
		return m.on(m.Keys[next-1])
	}
	return m.on(m.between(frame))
}

func (m *Mask) on(k MaskKey) MaskAt {
	return MaskAt{m.Kind, m.Rounded, k.Points, k.Inner, k.Outer, k.Opacity}
}

// between interpolates every number of the keys about a frame.
func (m *Mask) between(frame int) MaskKey {
	c := mask.Curve{}
	for _, k := range m.Keys {
		c.X, c.Ways = append(c.X, float64(k.Frame)), append(c.Ways, k.Way)
	}
	c.Y = make([]float64, len(m.Keys))
	number := func(of func(k *MaskKey) float64) float64 {
		for i := range m.Keys {
			c.Y[i] = of(&m.Keys[i])
		}
		return c.At(float64(frame))
	}
	out := MaskKey{
		Frame: frame, Points: make([]Point, len(m.Keys[0].Points)),
		Inner:   number(func(k *MaskKey) float64 { return k.Inner }),
		Outer:   number(func(k *MaskKey) float64 { return k.Outer }),
		Opacity: number(func(k *MaskKey) float64 { return k.Opacity }),
	}
	for v := range out.Points {
		out.Points[v].X = number(func(k *MaskKey) float64 { return k.Points[v].X })
		out.Points[v].Y = number(func(k *MaskKey) float64 { return k.Points[v].Y })
	}
	return out
}

func (m *Mask) find(frame int) (int, bool) {
	return slices.BinarySearchFunc(m.Keys, frame, func(k MaskKey, f int) int { return k.Frame - f })
}

// SetKey makes or replaces the key at k's frame. The points are k's from then on.
func (m *Mask) SetKey(k MaskKey) {
	if i, found := m.find(k.Frame); found {
		m.Keys[i] = k
	} else {
		m.Keys = slices.Insert(m.Keys, i, k)
	}
}

// RemoveKey takes away the key at a frame, if there is one. The last key stays:
// a mask has a shape.
func (m *Mask) RemoveKey(frame int) {
	if i, found := m.find(frame); found && len(m.Keys) > 1 {
		m.Keys = slices.Delete(m.Keys, i, i+1)
	}
}

// masksAt returns the masks that matter on a frame: all that work there, and of
// the others the keep masks.
func masksAt(masks []Mask, frame int) []MaskAt {
	var all []MaskAt
	for i := range masks {
		if masks[i].Kind == Keep || masks[i].Works(frame) {
			all = append(all, masks[i].At(frame))
		}
	}
	return all
}

func (m Mask) clone() Mask {
	m.Keys = slices.Clone(m.Keys)
	for i := range m.Keys {
		m.Keys[i].Points = slices.Clone(m.Keys[i].Points)
	}
	return m
}
