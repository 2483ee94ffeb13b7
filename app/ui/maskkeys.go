package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"halocline/app/ui/look"
)

// goToKey goes to the next key, or with -1 to the one before.
func (w *window) goToKey(by int) {
	if f, ok := w.desk.KeyBeside(by, w.valueInFocus()); ok {
		w.desk.GoToFrame(f)
	}
}

// askKeyToCopy asks which key is to be copied to the frame shown.
func (w *window) askKeyToCopy() {
	var s *sheet
	list := look.VBox(0)
	for _, f := range w.desk.OtherKeys() {
		text := look.NewLabel(fmt.Sprintf("the key at frame %d", f), look.Style{Size: look.BodySize, Colour: look.Text})
		list.Add(newPressable(look.Pad(8, 2, 8, 2, text), fyne.NewSize(0, 26), "", func() {
			s.close()
			w.desk.CopyKeyHere(f)
		}))
	}
	cancel := look.NewButton("Cancel", func() { s.close() })
	s = w.openSheet("Copy key to here", fmt.Sprintf("The shape of which key shall frame %d have?", w.desk.Frame),
		container.NewVScroll(list), fyne.NewSize(420, 360), buttons(nil, cancel), cancel)
}
