package judge

import (
	"fyne.io/fyne/v2"

	"halocline/app/check"
	"halocline/app/desk"
	"halocline/app/ui/look"
)

// A biteRow offers what can be done about a pick that bites into its masks.
type biteRow struct {
	desk *desk.Desk
	all  *fyne.Container
}

func newBiteRow(d *desk.Desk) *biteRow {
	dabs := look.NewButton("More dabs", func() { d.GoToStep(desk.StepPick) })
	dabs.SetHint("To Pick: keep dabs on what it leaves out, drop dabs on what is rightly left out")
	alone := look.NewButton("Mask alone", d.MaskAlone)
	alone.SetHint("Turn the ranges off: the mask alone makes the matte. The ranges stay as they are set")
	r := &biteRow{d, look.HBox(8, dabs, alone)}
	r.all.Hide()
	return r
}

// display shows the row while the pick bites.
func (r *biteRow) display(b *check.Bite) { look.Show(r.all, b.Bites()) }
