package handles

import (
	"fmt"

	"halocline/mask"
)

// A Change is what a drag or a key does to a mask, from the shape it had before.
// The zero Change does nothing.
type Change struct {
	kind    PartKind
	index   int        // of an edge
	along   []share    // of a vertex
	points  int        // of the shape it was made for; 0 where that does not matter
	move    mask.Point // source pixels
	by      float64    // of a feather, source pixels
	about   mask.Point
	degrees float64
	factor  mask.Point
}

// Nudge moves vertices, counted from 0, or all of the shape where none is named, by source
// pixels.
func Nudge(vertices []int, dx, dy float64) Change {
	if len(vertices) == 0 {
		return Change{kind: Centre, move: mask.Point{X: dx, Y: dy}}
	}
	return Change{kind: Vertex, along: together(vertices), move: mask.Point{X: dx, Y: dy}}
}

// NudgeLength is how far an arrow key moves what is chosen, in source pixels.
func NudgeLength(shift, control bool) float64 {
	switch {
	case shift:
		return 10
	case control:
		return 0.1
	}
	return 1
}

// Idle reports whether it does nothing.
func (c Change) Idle() bool {
	switch c.kind {
	case Vertex, Edge, Centre, Inside:
		return c.move == mask.Point{}
	case InnerFeather, OuterFeather:
		return c.by == 0
	case Turn:
		return c.degrees == 0
	case Corner, Side:
		return c.factor == mask.Point{X: 1, Y: 1}
	}
	return true
}

// Apply does it to a track at a frame, in the keys within reach. One that does
// nothing makes no key. There is an error where the track has no such vertex,
// or does not pass Check before or after.
func (c Change) Apply(t *mask.Track, frame int, reach mask.Reach) error {
	if c.Idle() {
		return nil
	}
	if err := t.Check(); err != nil {
		return err
	}
	if n := len(t.At(frame).Points); c.points > 0 && c.points != n {
		return fmt.Errorf("handles: the mask has %d vertices, want %d as when it was grabbed", n, c.points)
	}
	if err := c.apply(t, frame, reach); err != nil {
		return err
	}
	return t.Check()
}

func (c Change) apply(t *mask.Track, frame int, reach mask.Reach) error {
	switch c.kind {
	case Vertex:
		return moveAlong(t, frame, reach, c.along, c.move)
	case Edge:
		if err := t.MovePoint(frame, reach, c.index, c.move.X, c.move.Y); err != nil {
			return err
		}
		return t.MovePoint(frame, reach, (c.index+1)%c.points, c.move.X, c.move.Y)
	case Centre, Inside:
		t.Move(frame, reach, c.move.X, c.move.Y)
	case Turn:
		t.Turn(frame, reach, c.about, c.degrees)
	case Corner, Side:
		t.Scale(frame, reach, c.about, c.factor.X, c.factor.Y)
	case InnerFeather:
		t.Change(frame, reach, func(k *mask.Key) { k.Inner = max(k.Inner+c.by, 0) })
	case OuterFeather:
		t.Change(frame, reach, func(k *mask.Key) { k.Outer = max(k.Outer+c.by, 0) })
	}
	return nil
}
