package judge

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/check"
	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/colour"
)

// A magnifier shows the stretch of the edge most worth a look, or where an outline may cut the
// subject, four times
// enlarged. A press goes there on the frame.
type magnifier struct {
	desk    *desk.Desk
	host    Host
	picture *canvas.Image
	which   *look.Paragraph
	all     fyne.CanvasObject
	at      int // which of desk.Looks is shown
	drawn   check.Patch
	about   *study.Study
}

const magnifiedHeight = 96

func newMagnifier(d *desk.Desk, host Host) *magnifier {
	m := &magnifier{desk: d, host: host, picture: canvas.NewImageFromImage(image.NewRGBA(image.Rect(0, 0, 1, 1)))}
	m.picture.FillMode, m.picture.ScaleMode = canvas.ImageFillContain, canvas.ImageScalePixels
	m.which = look.NewParagraph(3, "", look.Style{Size: look.AxisSize, Colour: look.Second})
	next := look.NewButton("Next", m.next)
	next.Kind = look.Quiet
	next.SetHint(host.WithKey("The next stretch of the edge worth a look", "Next edge worth a look"))
	press := look.NewPressable(look.Fixed(2*magnifiedHeight, magnifiedHeight, m.picture), fyne.NewSize(0, magnifiedHeight), "Go there on the frame", m.visit)
	m.all = container.NewBorder(nil, nil, press, nil, look.Pad(10, 0, 0, 0,
		look.VBox(2, look.NewTightLabel("edge magnifier, 4×", look.Style{Size: look.AxisSize, Colour: look.Second}), m.which, container.NewHBox(next))))
	return m
}

func (m *magnifier) display() {
	f := &m.desk.Found
	all := desk.Looks(f)
	if len(all) == 0 || f.Picked == nil || f.MatteID != m.desk.MatteID {
		m.which.SetText("no edge yet")
		return
	}
	at := all[m.at%len(all)]
	m.which.SetText(at.Words)
	if m.drawn == at.Patch && m.about == f.About {
		return
	}
	m.drawn, m.about = at.Patch, f.About
	m.picture.Image = magnified(f, at.Patch)
	m.picture.Refresh()
}

// next goes on to the next of them, here and on the frame.
func (m *magnifier) next() {
	if n := len(desk.Looks(&m.desk.Found)); n > 0 {
		m.at = (m.at + 1) % n
		m.display()
		m.visit()
	}
}

// visit shows the stretch on the frame.
func (m *magnifier) visit() {
	all := desk.Looks(&m.desk.Found)
	if len(all) == 0 {
		return
	}
	at := all[m.at%len(all)]
	vp := m.host.Viewport()
	vp.X, vp.Y, vp.Zoom, vp.Fitted = float64(at.X)+watch.PatchSide/2, float64(at.Y)+watch.PatchSide/2, max(vp.Zoom, 4), false
	m.host.LookAt(vp)
}

// magnified draws the frame around a place, twice as wide as high, with what is
// outside the matte darkened.
func magnified(f *watch.Findings, at check.Patch) *image.RGBA {
	const h = watch.PatchSide
	const w = 2 * h
	out := image.NewRGBA(image.Rect(0, 0, w, h))
	width, height := f.Picked.Size()
	for y := range h {
		for x := range w {
			sx, sy := at.X-(w-h)/2+x, at.Y+y
			i := out.PixOffset(x, y)
			out.Pix[i+3] = 255
			if sx < 0 || sy < 0 || sx >= width || sy >= height {
				continue
			}
			c, alpha := f.Picked.RGB(sx, sy), float64(f.Matte.Row(sy)[sx])
			for k, v := range []float64{c.R, c.G, c.B} {
				out.Pix[i+k] = colour.Code8(float32(v * (0.25 + 0.75*alpha)))
			}
		}
	}
	return out
}
