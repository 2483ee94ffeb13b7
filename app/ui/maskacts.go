package ui

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
)

// What can be done to masks as wholes.

// editMask is edit for the chosen mask.
func (w *window) editMask(label string, change func(t *study.Mask) error) {
	id := w.desk.MaskID
	w.desk.EditMatte(label, func(m *study.Matte) error { return onMask(m, id, change) })
}

func onMask(m *study.Matte, id int, change func(t *study.Mask) error) error {
	if m == nil {
		return errors.New("there is no matte")
	}
	t := m.Mask(id)
	if t == nil {
		return errors.New("there is no such mask")
	}
	return change(t)
}

// newMask begins to draw a mask on the frame.
func (w *window) newMask(k study.Kind) {
	if w.desk.Matte() == nil {
		w.report(problem{what: "There is no matte to mask", todo: "Press “New matte” first."})
		return
	}
	w.desk.OpenStep(StepMasks)
	w.maskTool().begin(k)
	w.desk.Changed()
	w.win.Canvas().Focus(w.viewer)
}

// maskName is what a new mask is called until somebody renames it.
func maskName(m *study.Matte, k study.Kind) string {
	for n := 1; ; n++ {
		name := k.String()
		if n > 1 {
			name = fmt.Sprintf("%s %d", name, n)
		}
		if !slices.ContainsFunc(m.Masks, func(o study.Mask) bool { return strings.EqualFold(o.Name, name) }) {
			return name
		}
	}
}

// addMask adds a mask that was drawn.
func (w *window) addMask(k study.Kind, points []mask.Point) {
	frame := w.desk.Frame
	w.desk.Edit("New "+k.String()+" mask", withMatte(func(s *study.Study, m *study.Matte) error {
		t := s.AddMask(m, maskName(m, k), k, study.MaskKey{Frame: frame, Points: points, Inner: 2, Outer: 6, Opacity: 1})
		t.Rounded = true
		w.desk.MaskID = t.ID
		return nil
	}))
}

func (w *window) renameMask() {
	t := w.desk.Mask()
	if t == nil {
		return
	}
	w.askName("Rename mask", t.Name, func(name string) error {
		for _, o := range w.desk.Matte().Masks {
			if o.ID != t.ID && strings.EqualFold(o.Name, name) {
				return fmt.Errorf("%q is there already", o.Name)
			}
		}
		w.editMask("Rename mask", func(t *study.Mask) error {
			t.Name = name
			return nil
		})
		return nil
	})
}

func (w *window) duplicateMask() {
	id := w.desk.MaskID
	w.desk.Edit("Duplicate mask", withMatte(func(s *study.Study, m *study.Matte) error {
		from := m.Mask(id)
		track, name, kind := from.Clone(), from.Name, from.Kind
		t := s.AddMask(m, name, kind, track.Keys[0])
		t.Track = track
		w.desk.MaskID = t.ID
		return nil
	}))
}

func (w *window) deleteMask() {
	id := w.desk.MaskID
	w.desk.EditMatte("Delete mask", func(m *study.Matte) error {
		m.Masks = slices.DeleteFunc(m.Masks, func(o study.Mask) bool { return o.ID == id })
		return nil
	})
}

func (w *window) nextMask(by int) {
	m := w.desk.Matte()
	if m == nil || len(m.Masks) == 0 {
		return
	}
	i := slices.IndexFunc(m.Masks, func(o study.Mask) bool { return o.ID == w.desk.MaskID })
	id := m.Masks[max(0, min(len(m.Masks)-1, i+by))].ID
	w.desk.Set(func() {
		w.desk.OpenStep(StepMasks)
		w.desk.MaskID = id
	})
}

func (w *window) toggleMask() {
	w.editMask("Mask on or off", func(t *study.Mask) error {
		t.Off = !t.Off
		return nil
	})
}

func (w *window) turnMask() {
	w.editMask("Keep or drop", func(t *study.Mask) error {
		t.Kind = other(t.Kind)
		return nil
	})
}

func (w *window) roundMask() {
	w.editMask("Rounded", func(t *study.Mask) error {
		t.Rounded = !t.Rounded
		return nil
	})
}

// insertVertex puts a vertex amid the line that follows the chosen one.
func (w *window) insertVertex() {
	side := max(w.maskTool().vertex, 0)
	w.insertAt(side, 0.5)
}

func (w *window) insertAt(side int, u float64) {
	w.editMask("New vertex", func(t *study.Mask) error {
		_, err := t.InsertPoint(side, u)
		return err
	})
	w.maskTool().vertex = side + 1
	w.viewer.Redraw()
}

// deleteVertex takes the chosen vertex away.
func (w *window) deleteVertex() {
	i := w.maskTool().vertex
	if i < 0 {
		w.report(problem{what: "No vertex is chosen", todo: "Press on one, or walk to it with Tab."})
		return
	}
	w.editMask("Delete vertex", func(t *study.Mask) error { return t.RemovePoint(i) })
	w.maskTool().vertex = -1
	w.viewer.Redraw()
}

// maskAt is the weight that the masks give a pixel.
func (w *window) maskAt(x, y int) float64 {
	layers := w.desk.Matte().At(w.desk.Frame).Masks
	if len(layers) == 0 {
		return 1
	}
	var one colour.Plane
	if err := mask.Compose(context.Background(), &one, layers, mask.Region{X0: x, Y0: y, X1: x + 1, Y1: y + 1, Factor: 1}, 1); err != nil {
		return 1
	}
	return float64(one.Pix[0])
}

// drawing reports whether a mask is being drawn.
func (w *window) drawing() bool { return w.maskTool().draft != nil }
