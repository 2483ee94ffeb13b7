package follow

import (
	"fmt"
	"slices"

	"halocline/app/motion"
)

// Breaks are the frames at which the picture does not go on as it does from frame to frame,
// ascending.
type Breaks struct {
	Cuts    []int // the first frames of another picture: nothing can be followed to them
	Missing []int // frames that are not there: the outline is carried over them
	Repeats []int // frames that are those before them once more
}

// Any reports whether there are any.
func (b Breaks) Any() bool { return len(b.Cuts)+len(b.Missing)+len(b.Repeats) > 0 }

// Add takes others in.
func (b *Breaks) Add(other Breaks) {
	b.Cuts = merged(b.Cuts, other.Cuts)
	b.Missing = merged(b.Missing, other.Missing)
	b.Repeats = merged(b.Repeats, other.Repeats)
}

func merged(a, b []int) []int {
	if len(b) == 0 {
		return a
	}
	all := append(slices.Clone(a), b...)
	slices.Sort(all)
	return slices.Compact(all)
}

// Sentences say what there is, the most grave first: a sentence for each cut, and one for all
// frames of another kind.
func (b Breaks) Sentences() (all []string) {
	for _, n := range b.Cuts {
		all = append(all, fmt.Sprintf("the picture changes at once at frame %d: the stretch cannot follow across it, set keys at %d and %d", n, n-1, n))
	}
	switch n := len(b.Missing); {
	case n == 1:
		all = append(all, fmt.Sprintf("frame %d is missing: followed across it", b.Missing[0]))
	case n > 1:
		all = append(all, fmt.Sprintf("frame %d and %d more are missing: followed across them", b.Missing[0], n-1))
	}
	switch n := len(b.Repeats); {
	case n == 1:
		all = append(all, fmt.Sprintf("frame %d is the one before it once more: followed across it", b.Repeats[0]))
	case n > 1:
		all = append(all, fmt.Sprintf("frame %d and %d more are those before them once more: followed across them", b.Repeats[0], n-1))
	}
	return all
}

// A Joint is how the picture goes on from a frame to the next that is there.
type Joint int

// The joints.
const (
	Usual    Joint = iota
	Cut            // the two do not show the same place
	Repeated       // the two are the same
)

// mayBeCut is the likeness of two frames in a row, carried, below which they are looked at more
// closely. On the demo scene it is 0.99 from frame to frame, 0.95 over four frames, 0.66 to 0.82
// between scenes.
const mayBeCut = 0.93

// JointOf tells how the picture goes on between two frames. flow leads from the first to the
// second. isCut looks at them closely: that takes the flow the other way.
func JointOf(first, second *motion.Picture, flow *motion.Flow, isCut func() (bool, error)) (Joint, error) {
	if first.Same(second) {
		return Repeated, nil
	}
	if flow.Likeness(first, second, likenessEvery) >= mayBeCut {
		return Usual, nil
	}
	cut, err := isCut()
	if err != nil || !cut {
		return Usual, err
	}
	return Cut, nil
}

// likenessEvery is of how many nodes of the motion's grid, each way, one is compared.
const likenessEvery = 4

// Note takes in how the picture goes on to a frame from the one before it.
func (b *Breaks) Note(frame int, j Joint) {
	switch j {
	case Cut:
		b.Cuts = merged(b.Cuts, []int{frame})
	case Repeated:
		b.Repeats = merged(b.Repeats, []int{frame})
	}
}
