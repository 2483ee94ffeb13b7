package panels

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A spareRow looks for keys of the chosen mask that can go, where it follows the picture between
// three or more.
type spareRow struct {
	desk  *desk.Desk
	ask   func() // which of those that were found are to go
	look  *look.Button
	words *look.Label
	all   fyne.CanvasObject
}

func newSpareRow(d *desk.Desk, asks Asks) *spareRow {
	r := &spareRow{desk: d, ask: asks.SpareKeys}
	r.look = look.NewButton(lookLabel, r.press)
	r.words = look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})
	label := look.NewFixedLabel(labelWidth-6, "Spare keys", look.Style{Size: look.SmallSize, Colour: look.Text})
	r.all = look.Fixed(0, rowHeight, look.HBox(6, label, look.Centre(r.look), r.words))
	r.all.Hide()
	return r
}

// What the row's button is called, by what there is to do.
const (
	lookLabel   = "Look"
	stopLabel   = "Stop"
	removeLabel = "Remove…"
)

// press looks for spare keys, ends that, or asks which are to go.
func (r *spareRow) press() {
	keys, known := r.desk.SpareKeys()
	switch {
	case r.desk.SeeksSpareKeys():
		r.desk.LeaveSpareKeys()
	case known && len(keys) > 0:
		r.ask()
	default:
		r.desk.LookForSpareKeys()
	}
}

func (r *spareRow) display() {
	d := r.desk
	look.Show(r.all, d.CanLookForSpareKeys())
	keys, known := d.SpareKeys()
	label, hint := lookLabel, "Find keys without which the mask stays within 2 px of where it is, 4 px in its worst part. That takes a while, and goes on behind"
	switch {
	case d.SeeksSpareKeys():
		label, hint = stopLabel, "End the search"
	case known && len(keys) > 0:
		label, hint = removeLabel, "Choose which of these keys are to go"
	}
	r.look.SetLabel(label)
	r.look.SetHint(hint)
	words := d.SpareWords()
	r.words.SetText(words)
	r.words.SetWidth(look.Style{Size: look.SmallSize}.Measure(words).Width)
	r.all.Refresh()
}
