package ui

import (
	"halocline/app/desk"
	"halocline/app/study"
)

// newMask begins to draw a mask on the frame.
func (w *window) newMask(k study.Kind) {
	if w.desk.Matte() == nil {
		w.report(desk.Problem{What: "There is no matte to mask", ToDo: "Press “New matte” first."})
		return
	}
	w.desk.OpenStep(desk.StepMasks)
	w.maskTool().begin(k)
	w.desk.Refresh()
	w.win.Canvas().Focus(w.viewer)
}

func (w *window) renameMask() {
	t := w.desk.Mask()
	if t == nil {
		return
	}
	w.sheets.AskName("Rename mask", t.Name, w.desk.RenameMask)
}

// insertVertex puts a vertex amid the line that follows the chosen one.
func (w *window) insertVertex() {
	side := max(w.maskTool().vertex, 0)
	w.insertAt(side, 0.5)
}

func (w *window) insertAt(side int, u float64) {
	w.desk.InsertVertex(side, u)
	w.maskTool().vertex = side + 1
	w.viewer.Redraw()
}

// deleteVertex takes the chosen vertex away.
func (w *window) deleteVertex() {
	i := w.maskTool().vertex
	if i < 0 {
		w.report(desk.Problem{What: "No vertex is chosen", ToDo: "Press on one, or walk to it with Tab."})
		return
	}
	w.desk.DeleteVertex(i)
	w.maskTool().vertex = -1
	w.viewer.Redraw()
}

// drawing reports whether a mask is being drawn.
func (w *window) drawing() bool { return w.maskTool().draft != nil }
