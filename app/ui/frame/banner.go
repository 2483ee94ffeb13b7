package frame

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/layout"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/mask"
)

// A banner says on the frame that a move changes several keys at once.
type banner struct {
	desk       *desk.Desk
	what, keys *look.Label
	all        *fyne.Container
}

func newBanner(d *desk.Desk) *banner {
	n := &banner{desk: d,
		what: look.NewLabel("", look.Style{Size: look.BodySize, Colour: look.White, Bold: true}),
		keys: look.NewLabel("", look.Style{Size: look.SmallSize, Colour: look.Second})}
	only := look.NewButton("Only this key", func() { d.SetReach(mask.Here) })
	only.SetHint("A move changes the key at this frame alone, or makes one")
	moons := look.HBox(-2)
	for range 3 {
		moons.Add(look.NewMark(look.KeyHere, look.Accent))
	}
	back := canvas.NewRectangle(look.Well)
	back.StrokeColor, back.StrokeWidth, back.CornerRadius = look.Accent, 2, 4
	inside := func(o fyne.CanvasObject) fyne.CanvasObject { return container.New(layout.NewCenterLayout(), o) }
	n.all = container.NewStack(back, look.Pad(14, 6, 8, 6, look.HBox(12, inside(moons), n.what, n.keys, only)))
	return n
}

func (n *banner) display() {
	d := n.desk
	look.Show(n.all, d.MovesMany())
	if !n.all.Visible() {
		return
	}
	m := d.Mask()
	keys := fmt.Sprintf("%s of ‘%s’", desk.Counted(d.KeysReached(m), "key"), m.Name)
	together := " change together"
	if d.KeysReached(m) == 1 {
		together = " changes"
	}
	switch {
	case d.Reach == mask.Everywhere:
		n.say("Moving in every key", keys+together)
	case desk.HasKey(&m.Track, d.Frame):
		n.say(fmt.Sprintf("Moving from key %d on", d.Frame), keys+together)
	case d.KeysReached(m) == 0:
		n.say(fmt.Sprintf("Moving from frame %d on", d.Frame), fmt.Sprintf("a new key of ‘%s’, the last", m.Name))
	default:
		n.say(fmt.Sprintf("Moving from frame %d on", d.Frame), "a new key and "+keys+" change together")
	}
}

func (n *banner) say(what, keys string) {
	set := func(l *look.Label, text string, size float32, bold bool) {
		l.SetText(text)
		l.SetWidth(look.Style{Size: size, Bold: bold}.Measure(text).Width)
	}
	set(n.what, what, look.BodySize, true)
	set(n.keys, keys, look.SmallSize, false)
}
