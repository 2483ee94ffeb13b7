package mask

import (
	"fmt"
	"math"
	"slices"
)

// Reach is which keys an edit at a frame changes.
type Reach int

const (
	Here       Reach = iota // the key at the frame, made if need be
	Onward                  // that key and all later ones
	Everywhere              // all keys there are
)

// Change calls change for the keys in reach of a frame, each with points of
// its own to write. The number of points and the frame must stay.
//
// A key that is made has the shape that the track had there, and leads on in
// the way of the key before it. Where that way is curved, frames between the
// new key and its neighbours may move a little even before the change.
func (t *Track) Change(frame int, reach Reach, change func(*Key)) {
	t.change(frame, reach, false, change)
}

// change is Change; with sameRun, of the keys that have the points of the one that counts on
// the frame.
func (t *Track) change(frame int, reach Reach, sameRun bool, change func(*Key)) {
	from, to := 0, len(t.Keys)
	if reach != Everywhere {
		t.MakeKey(frame)
		from, _ = t.find(frame)
		to = len(t.Keys)
	}
	if sameRun {
		first, end := t.runAt(frame)
		from, to = max(from, first), min(to, end)
	}
	if reach == Here {
		to = from + 1
	}
	for i := from; i < to; i++ {
		t.Keys[i].Points = slices.Clone(t.Keys[i].Points)
		change(&t.Keys[i])
	}
}

// Move shifts the shape by pixels.
func (t *Track) Move(frame int, reach Reach, dx, dy float64) {
	t.Change(frame, reach, func(k *Key) {
		for i := range k.Points {
			k.Points[i].X += dx
			k.Points[i].Y += dy
		}
	})
}

// MovePoint shifts one point, counted from 0, by pixels. Beyond a stretch that follows the
// picture, keys stay: they have other points.
func (t *Track) MovePoint(frame int, reach Reach, point int, dx, dy float64) error {
	if from, _ := t.runAt(frame); t.hasPoint(from, point) != nil {
		return t.hasPoint(from, point)
	}
	t.change(frame, reach, true, func(k *Key) {
		k.Points[point].X += dx
		k.Points[point].Y += dy
	})
	return nil
}

// Turn rotates the shape by degrees, from the x axis toward the y axis, about
// a place at the frame. In other keys it turns about the place that lies
// likewise to their centre. Feathers stay.
func (t *Track) Turn(frame int, reach Reach, about Point, degrees float64) {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	t.about(frame, reach, about, func(p Point) Point {
		return Point{float64(cos*p.X) - float64(sin*p.Y), float64(sin*p.X) + float64(cos*p.Y)}
	})
}

// Scale stretches the shape along the axes, about a place as in Turn. Feathers
// stay. Factors below 0 mirror.
func (t *Track) Scale(frame int, reach Reach, about Point, sx, sy float64) {
	t.about(frame, reach, about, func(p Point) Point { return Point{float64(p.X * sx), float64(p.Y * sy)} })
}

// about changes points, taken relative to the place about.
func (t *Track) about(frame int, reach Reach, about Point, change func(Point) Point) {
	centre := Centre(t.keyAt(frame).Points)
	t.Change(frame, reach, func(k *Key) {
		c := Centre(k.Points)
		pivot := Point{about.X + (c.X - centre.X), about.Y + (c.Y - centre.Y)}
		for i, p := range k.Points {
			k.Points[i] = pivot.plus(change(Point{p.X - pivot.X, p.Y - pivot.Y}))
		}
	})
}

// Centre returns the mean of points, of which there is one at least.
func Centre(points []Point) Point {
	var c Point
	for _, p := range points {
		c.X += p.X
		c.Y += p.Y
	}
	return c.times(1 / float64(len(points)))
}

func (t *Track) hasPoint(key, i int) error {
	if n := len(t.Keys[key].Points); i < 0 || i >= n {
		return fmt.Errorf("mask: there is no point %d, want 1 to %d", i+1, n)
	}
	return nil
}

// RemovePoint takes a point, counted from 0, out of the key that counts on a frame and all
// that have its points. Three must be left.
func (t *Track) RemovePoint(frame, i int) error {
	from, to := t.runAt(frame)
	if err := t.hasPoint(from, i); err != nil {
		return err
	}
	if n := len(t.Keys[from].Points); n <= 3 {
		return fmt.Errorf("mask: polygon has %d points, want more than 3 to take one away", n)
	}
	for k := from; k < to; k++ {
		t.Keys[k].Points = slices.Delete(slices.Clone(t.Keys[k].Points), i, i+1)
	}
	return nil
}
