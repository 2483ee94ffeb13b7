package ui

import (
	"fmt"

	"fyne.io/fyne/v2"

	"halocline/app/ui/look"
	"halocline/app/ui/sheets"
)

// askKeyToCopy asks which key is to be copied to the frame shown.
func (w *window) askKeyToCopy() {
	var lines []sheets.Line
	for _, f := range w.desk.OtherKeys() {
		text := look.NewLabel(fmt.Sprintf("the key at frame %d", f), look.Style{Size: look.BodySize, Colour: look.Text})
		lines = append(lines, sheets.Line{Content: text, Run: func() { w.desk.CopyKeyHere(f) }})
	}
	w.sheets.List("Copy key to here", fmt.Sprintf("The shape of which key shall frame %d have?", w.desk.Frame), lines, fyne.NewSize(420, 360), "Cancel")
}
