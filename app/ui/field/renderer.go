package field

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
)

// A renderer shows the one picture that a widget is.
type renderer struct {
	widget fyne.Widget
	pic    *canvas.Image
	draw   func()
	pixels func() (w, h int, scale float64) // of the screen, and how many there are to a unit
}

func (r *renderer) Objects() []fyne.CanvasObject { return []fyne.CanvasObject{r.pic} }
func (r *renderer) MinSize() fyne.Size           { return r.widget.MinSize() }
func (r *renderer) Refresh()                     { r.draw() }
func (r *renderer) Destroy()                     {}

// Layout gives the picture the size of whole screen pixels and has it drawn.
func (r *renderer) Layout(fyne.Size) {
	w, h, scale := r.pixels()
	r.pic.Resize(fyne.NewSize(float32(float64(w)/scale), float32(float64(h)/scale)))
	r.draw()
}
