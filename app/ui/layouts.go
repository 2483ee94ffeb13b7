package ui

import "fyne.io/fyne/v2"

// atTop lays messages over the head of the view, so that the picture under the
// pointer stays where it is when they come and go.
type atTop struct{}

func (atTop) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.Size{} }

func (atTop) Layout(all []fyne.CanvasObject, s fyne.Size) {
	for _, o := range all {
		o.Resize(fyne.NewSize(s.Width, o.MinSize().Height))
	}
}

// overFoot lays the first object over the second, which has the height it needs
// while it is shown.
type overFoot struct{}

func (overFoot) MinSize(o []fyne.CanvasObject) fyne.Size { return o[0].MinSize() }

func (overFoot) Layout(o []fyne.CanvasObject, s fyne.Size) {
	high := float32(0)
	if o[1].Visible() {
		high = o[1].MinSize().Height
	}
	o[0].Resize(fyne.NewSize(s.Width, s.Height-high))
	o[1].Move(fyne.NewPos(0, s.Height-high))
	o[1].Resize(fyne.NewSize(s.Width, high))
}
