package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
)

const tickBox = 14

// Check is a box to tick, with its words.
type Check struct {
	control
	label   string
	on      bool
	changed func(on bool)
}

// NewCheck is a box without a tick. changed hears of the user's ticks alone.
func NewCheck(label, hint string, changed func(on bool)) *Check {
	c := &Check{label: label, changed: changed}
	c.start(c, hint)
	return c
}

// Set ticks the box or clears it, silently.
func (c *Check) Set(on bool) {
	if c.on != on {
		c.on = on
		c.Refresh()
	}
}

// On tells whether it is ticked.
func (c *Check) On() bool { return c.on }

func (c *Check) Tapped(*fyne.PointEvent) {
	if c.off {
		return
	}
	c.Set(!c.on)
	if c.changed != nil {
		c.changed(c.on)
	}
}

func (c *Check) TypedKey(ev *fyne.KeyEvent) {
	c.typed()
	if pressing(ev) {
		c.Tapped(nil)
		return
	}
	c.passKey(ev)
}

func (c *Check) TypedRune(r rune) {
	if r != ' ' {
		c.passRune(r)
	}
}

func (c *Check) CreateRenderer() fyne.WidgetRenderer {
	box, tick, label, focus := canvas.NewRectangle(Well), newStamp(), canvas.NewText("", Text), newRing()
	box.CornerRadius, box.StrokeWidth = 2, 1
	return &face{of: c, objects: []fyne.CanvasObject{focus, box, &tick.Image, label},
		min: func() fyne.Size {
			return fyne.NewSize(tickBox+7+labelStyle.Measure(c.label).Width, target)
		},
		draw: func(size fyne.Size) {
			at := fyne.NewPos(0, (size.Height-tickBox)/2)
			c.ringAround(focus, at, fyne.NewSquareSize(tickBox))
			box.Move(at)
			box.Resize(fyne.NewSquareSize(tickBox))
			box.StrokeColor = c.ink(Third)
			mark := NoMark
			if c.on {
				mark = Tick
			}
			tick.put(mark, c.ink(White), at.SubtractXY(1, 1))
			putText(label, c.label, Style{Size: SmallSize, Colour: c.ink(Text)}, fyne.NewPos(tickBox+7, 0), size)
		}}
}

// Radio is a choice of one, as rings with their words in one row.
type Radio struct {
	control
	labels []string
	at     int
	chosen func(i int)
}

const radioGap = 16

// NewRadio offers the labels; the first is chosen. chosen hears of the user's
// choices alone.
func NewRadio(labels []string, hint string, chosen func(i int)) *Radio {
	r := &Radio{labels: labels, chosen: chosen}
	r.start(r, hint)
	return r
}

// Set chooses label i, silently.
func (r *Radio) Set(i int) {
	if r.at != i {
		r.at = i
		r.Refresh()
	}
}

// At is the chosen label.
func (r *Radio) At() int { return r.at }

func (r *Radio) choose(i int) {
	if r.off || i < 0 || i >= len(r.labels) || i == r.at {
		return
	}
	r.Set(i)
	if r.chosen != nil {
		r.chosen(i)
	}
}

// left is where label i begins; of one past the last, where the row ends.
func (r *Radio) left(i int) float32 {
	var x float32
	for _, l := range r.labels[:i] {
		x += tickBox + 7 + labelStyle.Measure(l).Width + radioGap
	}
	return x
}

func (r *Radio) MouseDown(ev *desktop.MouseEvent) {
	r.control.MouseDown(ev)
	if ev.Button != desktop.MouseButtonPrimary {
		return
	}
	for i := range r.labels {
		if ev.Position.X >= r.left(i) && ev.Position.X < r.left(i+1)-radioGap/2 {
			r.choose(i)
		}
	}
}

func (r *Radio) TypedKey(ev *fyne.KeyEvent) {
	r.typed()
	switch ev.Name {
	case fyne.KeyLeft, fyne.KeyUp:
		r.choose(r.at - 1)
	case fyne.KeyRight, fyne.KeyDown:
		r.choose(r.at + 1)
	default:
		r.passKey(ev)
	}
}

func (r *Radio) CreateRenderer() fyne.WidgetRenderer {
	focus, dot := newRing(), canvas.NewCircle(White)
	objects := []fyne.CanvasObject{focus}
	var rings []*canvas.Circle
	var words []*canvas.Text
	for range r.labels {
		c, t := canvas.NewCircle(Well), canvas.NewText("", Text)
		c.StrokeWidth = 1
		rings, words = append(rings, c), append(words, t)
		objects = append(objects, c, t)
	}
	return &face{of: r, objects: append(objects, dot),
		min: func() fyne.Size { return fyne.NewSize(max(0, r.left(len(r.labels))-radioGap), target) },
		draw: func(size fyne.Size) {
			r.ringAround(focus, fyne.NewPos(-1, 1), r.MinSize().AddWidthHeight(2, -2))
			y := (size.Height - tickBox) / 2
			dot.Hidden = true
			for i, c := range rings {
				x := r.left(i)
				place(c, x, y, tickBox, tickBox)
				c.StrokeColor = r.ink(Third)
				ink := color.Color(Second)
				if i == r.at {
					dot.Hidden, ink = false, Text
					dot.FillColor = r.ink(White)
					place(dot, x+4, y+4, tickBox-8, tickBox-8)
				}
				putText(words[i], r.labels[i], Style{Size: SmallSize, Colour: r.ink(ink)}, fyne.NewPos(x+tickBox+7, 0), size)
			}
		}}
}
