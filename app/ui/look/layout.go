package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"
)

// StatusHeight is that of the row of small words at the window's foot.
const StatusHeight = 24

// TallFrom is how high a window must be, in Fyne's units, to show what a low one leaves
// out: Judge's magnifier, more lanes, roomier rows.
const TallFrom = 900

// Ground is content on a ground of one colour.
func Ground(ground color.Color, content fyne.CanvasObject) *fyne.Container {
	return container.NewStack(canvas.NewRectangle(ground), content)
}

// Show shows or hides an object.
func Show(o fyne.CanvasObject, visible bool) {
	if visible != o.Visible() {
		if visible {
			o.Show()
		} else {
			o.Hide()
		}
	}
}

// Fixed gives an object exactly this least size, whatever its own; a zero
// keeps the object's.
func Fixed(width, height float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(fixed{width, height}, o)
}

type fixed struct{ width, height float32 }

func (f fixed) MinSize(objects []fyne.CanvasObject) fyne.Size {
	size := fyne.NewSize(f.width, f.height)
	if f.width == 0 {
		size.Width = objects[0].MinSize().Width
	}
	if f.height == 0 {
		size.Height = objects[0].MinSize().Height
	}
	return size
}

func (f fixed) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	objects[0].Move(fyne.Position{})
	objects[0].Resize(size)
}

// Pad keeps left, top, right and bottom free about an object.
func Pad(left, top, right, bottom float32, o fyne.CanvasObject) *fyne.Container {
	return container.New(layout.NewCustomPaddedLayout(top, bottom, left, right), o)
}

// HBox puts objects side by side, gap apart; layout.NewSpacer takes what
// room is left.
func HBox(gap float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(layout.NewCustomPaddedHBoxLayout(gap), objects...)
}

// VBox puts objects one below the other, gap apart.
func VBox(gap float32, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(layout.NewCustomPaddedVBoxLayout(gap), objects...)
}

// HFill puts objects side by side, gap apart; the one numbered fill takes all
// the room the others leave.
func HFill(gap float32, fill int, objects ...fyne.CanvasObject) *fyne.Container {
	return container.New(hfill{gap, fill}, objects...)
}

type hfill struct {
	gap  float32
	fill int
}

func (w hfill) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var size fyne.Size
	for i, o := range w.shown(objects) {
		m := o.MinSize()
		size.Width += m.Width
		size.Height = max(size.Height, m.Height)
		if i > 0 {
			size.Width += w.gap
		}
	}
	return size
}

func (w hfill) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	spare := max(0, size.Width-w.MinSize(objects).Width)
	var x float32
	for _, o := range w.shown(objects) {
		width := o.MinSize().Width
		if o == objects[w.fill] {
			width += spare
		}
		o.Move(fyne.NewPos(x, 0))
		o.Resize(fyne.NewSize(width, size.Height))
		x += width + w.gap
	}
}

func (w hfill) shown(objects []fyne.CanvasObject) []fyne.CanvasObject {
	var all []fyne.CanvasObject
	for _, o := range objects {
		if o.Visible() {
			all = append(all, o)
		}
	}
	return all
}

// HGap is an empty space of this width.
func HGap(width float32) fyne.CanvasObject {
	r := canvas.NewRectangle(color.Transparent)
	r.SetMinSize(fyne.NewSize(width, 0))
	return r
}

// Rule is a level line, 1 high.
func Rule() fyne.CanvasObject {
	r := canvas.NewRectangle(ruleGrey)
	r.SetMinSize(fyne.NewSize(0, 1))
	return r
}

// Centre keeps an object's own height, in the middle of a taller row.
func Centre(o fyne.CanvasObject) *fyne.Container { return container.New(centre{}, o) }

type centre struct{}

func (centre) MinSize(objects []fyne.CanvasObject) fyne.Size { return objects[0].MinSize() }

func (centre) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	height := objects[0].MinSize().Height
	place(objects[0], 0, (size.Height-height)/2, size.Width, height)
}

func place(o fyne.CanvasObject, x, y, width, height float32) {
	o.Move(fyne.NewPos(x, y))
	o.Resize(fyne.NewSize(width, height))
}
