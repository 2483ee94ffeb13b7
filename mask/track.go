package mask

import (
	"fmt"
	"slices"
)

// A Key is a mask's shape at one frame, and the way to the next key.
type Key struct {
	Frame        int
	Way          Way
	Points       []Point
	Inner, Outer float64 // feather in pixels
	Opacity      float64 // in [0,1]
	Tight        bool    // the outline lies on the edge, where the track searches it
}

// A Bound is a frame that may be absent.
type Bound struct {
	Set   bool
	Frame int
}

// A Track is a polygon over time: keys by ascending frame, one or more, with the
// same number of points but for those on both sides of a stretch that follows the
// picture. Before the first key its shape counts, after the last the last, or the
// outline follows the picture there.
//
// Methods that change a track never write the points that a key had before:
// these may be shared with older copies, once Keys itself has been cloned.
type Track struct {
	Rounded       bool // a smooth curve through the points
	Off           bool
	Search        float64 // how deep below the outline the edge is expected, in pixels; 0 for none (see Search)
	In, Out       Bound   // the first and the last frame on which it works
	Before, After Beyond  // the first key and the last
	Keys          []Key
}

// Check returns an error where the track is out of order.
func (t *Track) Check() error {
	if len(t.Keys) == 0 {
		return fmt.Errorf("mask: it has no key, want one or more")
	}
	if t.In.Set && t.Out.Set && t.In.Frame > t.Out.Frame {
		return fmt.Errorf("mask: in is frame %d, want at most out, frame %d", t.In.Frame, t.Out.Frame)
	}
	if s := (Search{Depth: t.Search}); s.fault() != nil {
		return fmt.Errorf("mask: %w", s.fault())
	}
	for i := range t.Keys {
		if err := t.checkKey(i); err != nil {
			return err
		}
	}
	return nil
}

func (t *Track) checkKey(i int) error {
	k := &t.Keys[i]
	if i > 0 && t.Keys[i-1].Frame >= k.Frame {
		return fmt.Errorf("mask: key at frame %d comes after that at frame %d, want rising frames", k.Frame, t.Keys[i-1].Frame)
	}
	if i > 0 && t.Keys[i-1].Way != Follow && len(k.Points) != len(t.Keys[i-1].Points) {
		before := &t.Keys[i-1]
		return fmt.Errorf("mask: key at frame %d has %d points, want %d as at frame %d, or the way there to follow the picture",
			k.Frame, len(k.Points), len(before.Points), before.Frame)
	}
	if i > 0 && t.Keys[i-1].Way == Follow && k.Frame-t.Keys[i-1].Frame > MaxStretch {
		return fmt.Errorf("mask: it follows the picture from frame %d to %d, want %d frames at most", t.Keys[i-1].Frame, k.Frame, MaxStretch)
	}
	if !k.Way.Valid() {
		return fmt.Errorf("mask: key at frame %d: way is %v, want straight, step, curved or follow", k.Frame, k.Way)
	}
	if err := t.shape(*k).fault(); err != nil {
		return fmt.Errorf("mask: key at frame %d: %w", k.Frame, err)
	}
	return nil
}

// Works reports whether the mask has a say on a frame.
func (t *Track) Works(frame int) bool {
	return !t.Off && (!t.In.Set || frame >= t.In.Frame) && (!t.Out.Set || frame <= t.Out.Frame)
}

// Layer returns what the mask, to keep or to drop, brings to a frame. Its
// points may be shared with a key.
func (t *Track) Layer(frame int, drop bool) Layer {
	if len(t.Keys) == 0 || !t.Works(frame) {
		return Layer{Drop: drop, Off: true}
	}
	k := t.keyAt(frame)
	return Layer{Shape: t.shape(k), Drop: drop, Search: t.search(k), Stretch: t.StretchAt(frame)}
}

func (t *Track) search(k Key) (s Search) {
	if t.Search > 0 {
		s = Search{Depth: t.Search, Tight: k.Tight}
	}
	return s
}

// At returns the shape at a frame, whether the mask works there or not. Its
// points may be shared with a key. The track must pass Check.
func (t *Track) At(frame int) Shape { return t.shape(t.keyAt(frame)) }

// TightAt reports whether the outline lies on the edge at a frame, where the track searches
// it. The track must pass Check.
func (t *Track) TightAt(frame int) bool { return t.keyAt(frame).Tight }

func (t *Track) shape(k Key) Shape {
	return Shape{Points: k.Points, Rounded: t.Rounded, Inner: k.Inner, Outer: k.Outer, Opacity: k.Opacity}
}

// keyAt returns the key at a frame, or the one that would change nothing there. Where the
// outline follows the picture, its points are those of the nearest key.
func (t *Track) keyAt(frame int) Key {
	next, found := t.find(frame)
	switch {
	case found:
		return t.Keys[next]
	case next == 0:
		k := t.Keys[0]
		k.Frame = frame
		return k
	case next == len(t.Keys):
		k := t.Keys[next-1]
		k.Frame = frame
		return k
	case t.Keys[next-1].Way == Follow:
		return t.followedKey(next, frame)
	}
	from, to := t.run(next)
	return between(t.Keys[max(next-2, from):min(next+2, to)], frame)
}

// between interpolates every number of keys. The two about the frame and one
// more on each side are all that a value depends on.
func between(keys []Key, frame int) Key {
	c := Curve{Y: make([]float64, len(keys))}
	out := Key{Frame: frame, Points: make([]Point, len(keys[0].Points))}
	for i, k := range keys {
		c.X, c.Ways = append(c.X, float64(k.Frame)), append(c.Ways, k.Way)
		if k.Frame < frame {
			out.Way = k.Way
			out.Tight = k.Tight && (k.Way == Step || i+1 < len(keys) && keys[i+1].Tight)
		}
	}
	number := func(of func(k *Key) float64) float64 {
		for i := range keys {
			c.Y[i] = of(&keys[i])
		}
		return c.At(float64(frame))
	}
	out.Inner = number(func(k *Key) float64 { return k.Inner })
	out.Outer = number(func(k *Key) float64 { return k.Outer })
	out.Opacity = number(func(k *Key) float64 { return k.Opacity })
	for v := range out.Points {
		out.Points[v].X = number(func(k *Key) float64 { return k.Points[v].X })
		out.Points[v].Y = number(func(k *Key) float64 { return k.Points[v].Y })
	}
	return out
}

func (t *Track) find(frame int) (int, bool) {
	return slices.BinarySearchFunc(t.Keys, frame, func(k Key, f int) int { return k.Frame - f })
}

// SetKey makes or replaces the key at k's frame. The points are the track's
// from then on.
func (t *Track) SetKey(k Key) {
	if i, found := t.find(k.Frame); found {
		t.Keys[i] = k
	} else {
		t.Keys = slices.Insert(t.Keys, i, k)
	}
}

// RemoveKey takes away the key at a frame, if there is one. The last key
// stays: a mask has a shape. Where the keys about it differ in points, the outline
// follows the picture between them from then on.
func (t *Track) RemoveKey(frame int) {
	i, found := t.find(frame)
	if !found || len(t.Keys) == 1 {
		return
	}
	t.Keys = slices.Delete(t.Keys, i, i+1)
	t.followBetween(i)
}

// followBetween has the outline follow the picture on the way to key i where that differs in points
// from the key before it.
func (t *Track) followBetween(i int) {
	if i > 0 && i < len(t.Keys) && len(t.Keys[i-1].Points) != len(t.Keys[i].Points) {
		t.Keys[i-1].Way = Follow
	}
}

// putKey is SetKey for a key that may differ in points from those about it: the outline follows the picture
// to and from it then.
func (t *Track) putKey(k Key) {
	t.SetKey(k)
	i, _ := t.find(k.Frame)
	t.followBetween(i)
	t.followBetween(i + 1)
}

// MoveKey puts the key at one frame on another, in place of any that is there,
// and reports whether there was one. It stays what it is; what lies between it
// and its neighbours travels anew. Where keys come together that differ in points, the outline
// follows the picture between them.
func (t *Track) MoveKey(from, to int) bool {
	i, found := t.find(from)
	if !found {
		return false
	}
	k := t.Keys[i]
	k.Frame = to
	t.Keys = slices.Delete(t.Keys, i, i+1)
	t.followBetween(i)
	t.putKey(k)
	return true
}

// CopyKey makes the key at a frame like that at another, and reports whether
// there was one. The points are copied. Where they differ in number from those of the keys about it,
// the outline follows the picture to and from it.
func (t *Track) CopyKey(from, to int) bool {
	i, found := t.find(from)
	if !found {
		return false
	}
	k := t.Keys[i]
	k.Frame, k.Points = to, slices.Clone(k.Points)
	t.putKey(k)
	return true
}

// Clone returns a track that shares nothing with t.
func (t *Track) Clone() Track {
	out := *t
	out.Keys = slices.Clone(t.Keys)
	for i := range out.Keys {
		out.Keys[i].Points = slices.Clone(out.Keys[i].Points)
	}
	return out
}
