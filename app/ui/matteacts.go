package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
)

// askMatteToJoin asks which other matte the chosen one shall take in.
func (w *window) askMatteToJoin() {
	var lines []sheets.Line
	for _, m := range w.desk.Joinable() {
		text := look.NewLabel(m.Name, look.Style{Size: look.BodySize, Colour: look.Text})
		lines = append(lines, sheets.Line{Content: text, Run: func() { w.desk.JoinMatte(m.ID, study.Add) }})
	}
	w.sheets.List("Join another matte", "Which matte shall ‘"+w.desk.Matte().Name+"’ take in? How, is chosen beside its name.", lines, fyne.NewSize(420, 360), "Cancel")
}

func (w *window) renameMatte() {
	m := w.desk.Matte()
	if m == nil {
		return
	}
	w.sheets.AskName("Rename matte", m.Name, w.desk.RenameMatte)
}

func (w *window) renameMask() {
	t := w.desk.Mask()
	if t == nil {
		return
	}
	w.sheets.AskName("Rename mask", t.Name, w.desk.RenameMask)
}
