package look

import (
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/widget"
)

// Mark is a small sign. Shape says it, never colour alone.
type Mark int

const (
	NoMark   Mark = iota
	Disc          // keep; a step that is on
	Ring          // a step that is off
	Square        // drop
	Triangle      // needs a look
	Dot           // smaller than Disc
	Cross         // closes
	Plus
	Tick
	Down // opens a list
	Play
	Pause
	Halt // stops for good
	Stepped
	Straight
	Curved
	More
	KeyNone   // half-moons, as keys are cut into a lane: constant over time
	KeyElse   // keyed, but not at this frame
	KeyHere   // a key at this frame
	KeyBefore // to the key before
	KeyAfter
	KeyAdd
	KeyRemove
)

// shapes are the marks as SVG, on 16 x 16; %[1]s is the colour.
var shapes = map[Mark]string{
	Disc:     `<circle cx="8" cy="8" r="4.5" fill="%[1]s"/>`,
	Ring:     `<circle cx="8" cy="8" r="3.6" fill="none" stroke="%[1]s" stroke-width="1.5"/>`,
	Square:   `<rect x="4.2" y="4.2" width="7.6" height="7.6" fill="none" stroke="%[1]s" stroke-width="1.8"/>`,
	Triangle: `<path d="M8 3 L13 12.5 L3 12.5 Z" fill="%[1]s"/>`,
	Dot:      `<circle cx="8" cy="8" r="2.5" fill="%[1]s"/>`,
	Cross:    `<path d="M4.5 4.5 L11.5 11.5 M11.5 4.5 L4.5 11.5" fill="none" stroke="%[1]s" stroke-width="1.5"/>`,
	Plus:     `<path d="M8 3.5 L8 12.5 M3.5 8 L12.5 8" fill="none" stroke="%[1]s" stroke-width="1.5"/>`,
	Tick:     `<path d="M3.5 8.5 L6.8 11.5 L12.5 4.5" fill="none" stroke="%[1]s" stroke-width="1.8"/>`,
	Down:     `<path d="M4.5 6 L11.5 6 L8 10.5 Z" fill="%[1]s"/>`,
	Play:     `<path d="M4 2.5 L13.5 8 L4 13.5 Z" fill="%[1]s"/>`,
	Pause:    `<path d="M4 3 L7 3 L7 13 L4 13 Z M9 3 L12 3 L12 13 L9 13 Z" fill="%[1]s"/>`,
	Halt:     `<rect x="4" y="4" width="8" height="8" fill="%[1]s"/>`,
	Stepped:  `<path d="M1 11.5 L11 11.5 L11 5 L15 5" fill="none" stroke="%[1]s" stroke-width="1.4"/>`,
	Straight: `<path d="M1 12 L15 4.5" fill="none" stroke="%[1]s" stroke-width="1.4"/>`,
	Curved:   `<path d="M1 12 C7 12 8 4.5 15 4.5" fill="none" stroke="%[1]s" stroke-width="1.4"/>`,
	More:     `<circle cx="3.5" cy="8" r="1.4" fill="%[1]s"/><circle cx="8" cy="8" r="1.4" fill="%[1]s"/><circle cx="12.5" cy="8" r="1.4" fill="%[1]s"/>`,

	KeyNone:   `<path d="` + moon + `" fill="none" stroke="%[1]s" stroke-width="1.1"/>`,
	KeyElse:   `<path d="` + moon + `" fill="none" stroke="%[1]s" stroke-width="2.2"/>`,
	KeyHere:   `<path d="` + moon + `" fill="%[1]s" stroke="%[1]s" stroke-width="1.1"/>`,
	KeyBefore: `<path d="M5 3.5 L1.5 8 L5 12.5" fill="none" stroke="%[1]s" stroke-width="1.5"/>` + `<path d="` + smallMoonRight + `" fill="%[1]s"/>`,
	KeyAfter:  `<path d="M11 3.5 L14.5 8 L11 12.5" fill="none" stroke="%[1]s" stroke-width="1.5"/>` + `<path d="` + smallMoonLeft + `" fill="%[1]s"/>`,
	KeyAdd:    `<path d="` + smallMoonLeft + `" fill="%[1]s"/><path d="M12.5 5 L12.5 11 M9.5 8 L15.5 8" fill="none" stroke="%[1]s" stroke-width="1.5"/>`,
	KeyRemove: `<path d="` + smallMoonLeft + `" fill="%[1]s"/><path d="M9.5 8 L15.5 8" fill="none" stroke="%[1]s" stroke-width="1.5"/>`,
}

// Half-moons, flat above.
const (
	moon           = "M2.5 5.5 L13.5 5.5 C13.5 8.54 11.04 11 8 11 C4.96 11 2.5 8.54 2.5 5.5 Z"
	smallMoonLeft  = "M0.5 6 L8.5 6 C8.5 8.2 6.7 10 4.5 10 C2.3 10 0.5 8.2 0.5 6 Z"
	smallMoonRight = "M7.5 6 L15.5 6 C15.5 8.2 13.7 10 11.5 10 C9.3 10 7.5 8.2 7.5 6 Z"
)

// resource is the mark as a picture; nil for NoMark. Its name is unique to
// shape and colour, since Fyne keeps what it drew by name.
func (m Mark) resource(c color.Color) fyne.Resource {
	shape, ok := shapes[m]
	if !ok {
		return nil
	}
	n := color.NRGBAModel.Convert(c).(color.NRGBA)
	hex := fmt.Sprintf("#%02x%02x%02x", n.R, n.G, n.B)
	svg := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16">` + fmt.Sprintf(shape, hex) + `</svg>`
	return fyne.NewStaticResource(fmt.Sprintf("mark-%d-%s.svg", m, hex[1:]), []byte(svg))
}

const markSize = 16

// A stamp is a mark among a control's canvas objects.
type stamp struct {
	canvas.Image
	mark   Mark
	colour color.Color
	size   float32
}

func newStamp() *stamp { return newStampOf(markSize) }

func newStampOf(size float32) *stamp {
	s := &stamp{size: size}
	s.FillMode = canvas.ImageFillContain
	s.Hidden = true
	return s
}

func (s *stamp) put(m Mark, c color.Color, at fyne.Position) {
	s.Move(at)
	s.Resize(fyne.NewSquareSize(s.size))
	if s.mark == m && s.colour == c {
		return
	}
	s.mark, s.colour = m, c
	s.Resource = m.resource(c)
	s.Hidden = s.Resource == nil
	s.Image.Refresh()
}

// MarkImage shows a mark, 16 square.
type MarkImage struct {
	widget.BaseWidget
	mark   Mark
	colour color.Color
}

// NewMark shows m in a colour.
func NewMark(m Mark, c color.Color) *MarkImage {
	i := &MarkImage{mark: m, colour: c}
	i.ExtendBaseWidget(i)
	return i
}

// Set changes the mark and its colour.
func (i *MarkImage) Set(m Mark, c color.Color) {
	if i.mark == m && i.colour == c {
		return
	}
	i.mark, i.colour = m, c
	i.Refresh()
}

func (i *MarkImage) CreateRenderer() fyne.WidgetRenderer {
	s := newStamp()
	return &face{of: i, objects: []fyne.CanvasObject{&s.Image},
		min: func() fyne.Size { return fyne.NewSquareSize(markSize) },
		draw: func(size fyne.Size) {
			s.put(i.mark, i.colour, middle(fyne.NewSquareSize(markSize), size))
		}}
}

// middle is where to put a thing of a size to have it in the middle of a box.
func middle(size, box fyne.Size) fyne.Position {
	return fyne.NewPos((box.Width-size.Width)/2, (box.Height-size.Height)/2)
}
