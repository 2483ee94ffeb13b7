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

// askSpareKeys asks which keys that can go the chosen mask shall lose: all, or one.
func (w *window) askSpareKeys() {
	keys, _ := w.desk.SpareKeys()
	var all []int
	for _, k := range keys {
		all = append(all, k.Frame)
	}
	line := func(words string, frames ...int) sheets.Line {
		text := look.NewLabel(words, look.Style{Size: look.BodySize, Colour: look.Text})
		return sheets.Line{Content: text, Run: func() { w.desk.RemoveSpareKeys(frames...) }}
	}
	var lines []sheets.Line
	if len(all) > 1 {
		lines = append(lines, line(fmt.Sprintf("all %d", len(all)), all...))
	}
	for _, k := range keys {
		lines = append(lines, line(fmt.Sprintf("the key at frame %d: without it the outline moves by %.1f px at most, %.1f px in its worst part", k.Frame, k.Mean, k.Worst), k.Frame))
	}
	w.sheets.List("Keys that can go", "Without these the mask stays where it is. Press what is to go; one undo brings it back.", lines, fyne.NewSize(640, 360), "Cancel")
}
