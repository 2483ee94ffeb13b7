package ui

import (
	"halocline/app/study"
	"halocline/mask"
)

// reachNames say which keys of a mask a move changes, in the order of
// mask.Reach.
var reachNames = []string{"this key", "from here", "every key"}

// reach is which keys of the chosen mask an edit changes. On one frame there is
// nothing to choose: all keys are the same.
func (w *window) reach() mask.Reach {
	if !w.several() {
		return mask.Everywhere
	}
	return w.desk.Reach
}

func (w *window) setReach(r mask.Reach) { w.desk.Set(func() { w.desk.Reach = r }) }

// turnReach goes to a reach, or back from it to one key alone.
func (w *window) turnReach(r mask.Reach) {
	if w.desk.Reach == r {
		r = mask.Here
	}
	w.setReach(r)
}

// movesMany reports whether moves change several keys of the chosen mask at
// once, which the window says aloud.
func (w *window) movesMany() bool {
	d := w.desk
	return d.Step == StepMasks && w.several() && d.Mask() != nil && d.Reach != mask.Here
}

// makesKey reports whether a move of the chosen mask would make a key.
func (w *window) makesKey() bool {
	m := w.desk.Mask()
	return m != nil && w.reach() != mask.Everywhere && !hasKey(&m.Track, w.desk.Frame)
}

// reachOf reports whether a move would change a mask's key at a frame besides
// the one shown.
func (w *window) reachOf(maskID, frame int) bool {
	d := w.desk
	return w.movesMany() && maskID == d.MaskID && (d.Reach == mask.Everywhere || frame >= d.Frame)
}

// keysReached is how many keys of a mask a move would change.
func (w *window) keysReached(m *study.Mask) int {
	n := 0
	for _, k := range m.Keys {
		if w.reachOf(m.ID, k.Frame) {
			n++
		}
	}
	return n
}

// turnNeighbours shows a mask's neighbour keys, or hides them.
func (w *window) turnNeighbours() {
	w.desk.Set(func() { w.desk.HideNeighbours = !w.desk.HideNeighbours })
}
