// Package status is the row at the foot of the window: what is under the pointer, what a
// press would do or what is under way, how fine the picture is, and whether the study is
// saved.
package status

import (
	"fmt"
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/colour"
)

// A Frame is what the row asks of the frame above it.
type Frame interface {
	PressHelp() string                              // what a press on it would do
	WeightAt(x, y int) (weight float64, known bool) // of a pixel in the chosen matte
}

// A Row says what is under the pointer, what a press would do, how fine
// the picture is, and whether the study is saved.
type Row struct {
	desk     *desk.Desk
	frame    Frame
	place    *look.Label
	values   *look.Label
	weight   *look.Label
	doing    *look.Label
	detail   *look.Label
	saved    *look.Label
	pause    *look.Button // has following wait, or go on; while there is any
	mark     *look.MarkImage
	wrong    string            // with a number that was typed; "" for nothing
	doingNow string            // long work that is under way; "" for none
	bar      *canvas.Rectangle // over the view while something is read
	said     note              // about the edit made last
	readNow  string            // what is being read to be shown; "" for nothing
	playNow  string            // how the clip plays; "" where it does not
	hinted   string            // about what is under the pointer elsewhere; "" for nothing
	relay    func()            // lays the row out anew
	all      fyne.CanvasObject
}

// New is a row about what is on the desk. It is to follow a frame before it is displayed.
func New(d *desk.Desk) *Row {
	s := &Row{desk: d, mark: look.NewMark(look.Disc, look.Accent)}
	label := func(c color.Color, align fyne.TextAlign) *look.Label {
		return look.NewLabel("", look.Style{Size: look.SmallSize, Colour: c, Align: align})
	}
	s.bar = canvas.NewRectangle(look.Accent)
	s.bar.SetMinSize(fyne.NewSize(0, 2))
	s.bar.Hide()
	s.place, s.values, s.weight = label(look.Second, fyne.TextAlignLeading), label(look.Second, fyne.TextAlignLeading), label(look.Text, fyne.TextAlignLeading)
	s.doing, s.detail, s.saved = label(look.Second, fyne.TextAlignLeading), label(look.Third, fyne.TextAlignTrailing), label(look.Text, fyne.TextAlignTrailing)
	s.pause = look.NewQuietButton(pauseLabel, func() { d.PauseFollowing(!d.FollowingPaused()) })
	s.pause.Hide()
	row := container.New(layout{}, s.place, s.values, s.weight, s.mark, s.doing, s.detail, s.saved, s.pause)
	s.relay = row.Refresh
	s.all = look.Ground(look.Row, row)
	return s
}

// layout gives every part of the row its own fixed place, so that nothing
// moves as numbers change.
type layout struct{}

func (layout) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(600, look.StatusHeight)
}

func (layout) Layout(o []fyne.CanvasObject, s fyne.Size) {
	x := float32(16)
	for i, w := range []float32{98, 330, 112} {
		o[i].Move(fyne.NewPos(x, 0))
		o[i].Resize(fyne.NewSize(w, s.Height))
		x += w
	}
	right := s.Width - 12
	widths := []float32{86, 118}
	if s.Width < 1400 {
		widths[1] = 0
	}
	for i, w := range widths {
		right -= w
		o[6-i].Move(fyne.NewPos(right, 0))
		o[6-i].Resize(fyne.NewSize(w, s.Height))
	}
	if pause := o[7]; pause.Visible() {
		w := pause.MinSize().Width
		right -= w
		pause.Move(fyne.NewPos(right, 0))
		pause.Resize(fyne.NewSize(w, s.Height))
	}
	doing := max(right-12-x-20, 0)
	o[4].Move(fyne.NewPos(x+20, 0))
	o[4].Resize(fyne.NewSize(doing, s.Height))
	o[3].Move(fyne.NewPos(x+2, s.Height/2-5))
	o[3].Resize(fyne.NewSize(10, 10))
}

// A note is something that stands in the row until the user goes on: to another study, frame
// or step, to another matte or mask.
type note struct {
	text string
	of   noted
}

// noted is what a note is about.
type noted struct {
	study         *study.Study
	frame         int
	step          desk.Step
	matteID, mask int
}

func (s *Row) now() noted {
	d := s.desk
	return noted{d.Study(), d.Frame, d.Step, d.MatteID, d.MaskID}
}

// Note says something about the study as it is, at the frame shown.
func (s *Row) Note(text string) {
	s.said = note{text, s.now()}
	s.Display()
}

// Follow has the row speak of a frame.
func (s *Row) Follow(f Frame) { s.frame = f }

// Object is the row.
func (s *Row) Object() fyne.CanvasObject { return s.all }

// Bar lies over the head of the view while something is read to be shown.
func (s *Row) Bar() fyne.CanvasObject { return s.bar }

// Says is what the row says of a press, or of what is under way.
func (s *Row) Says() string { return s.doing.Text() }

// Display shows the state of the desk.
func (s *Row) Display() {
	d := s.desk
	s.doing.SetText(d.Step.String() + ": " + s.frame.PressHelp())
	s.doing.SetColour(look.Second)
	if s.said.text != "" && s.said.of == s.now() {
		s.doing.SetText(s.said.text)
		s.doing.SetColour(look.AccentText)
	}
	if s.wrong != "" {
		s.doing.SetText(s.wrong)
		s.doing.SetColour(look.Warn)
	}
	if s.hinted != "" {
		s.doing.SetText(s.hinted)
	}
	if s.playNow != "" {
		s.doing.SetText(s.playNow)
	}
	if s.readNow != "" {
		s.doing.SetText("… reading " + s.readNow)
	}
	words := d.FollowingWords()
	if words != "" && s.playNow == "" {
		s.doing.SetText("… " + words)
	}
	s.showPause(words != "")
	if s.doingNow != "" {
		s.doing.SetText("… " + s.doingNow)
	}
	switch {
	case d.Session == nil:
		s.saved.SetText("")
	case d.Session.Path() == "" && !d.Unsaved():
		s.saved.SetText("")
	case !d.Unsaved():
		s.saved.SetText("saved")
		s.saved.SetColour(look.Third)
	default:
		s.saved.SetText("● unsaved")
		s.saved.SetColour(look.Text)
	}
}

// Labels of the button that has following wait, or go on.
const (
	pauseLabel  = "Pause"
	resumeLabel = "Resume following"
)

// showPause shows the button that has following wait, while there is any, or go on.
func (s *Row) showPause(follows bool) {
	there := follows || s.desk.FollowingPaused()
	label, hint := pauseLabel, "Following waits, and keeps what it has; until it goes on, frames that were not followed have the nearest key's outline"
	if s.desk.FollowingPaused() {
		label, hint = resumeLabel, "Following goes on from where it was"
	}
	changed := there != s.pause.Visible() || label != s.pause.Label()
	s.pause.SetLabel(label)
	s.pause.SetHint(hint)
	look.Show(s.pause, there)
	if changed {
		s.relay()
	}
}

// Problem says what is wrong with a number that was typed; "" for nothing.
func (s *Row) Problem(text string) {
	s.wrong = text
	s.Display()
}

// Busy says what long work is under way; "" for none.
func (s *Row) Busy(what string) {
	s.doingNow = what
	s.Display()
}

// Reading says what is being read to be shown; "" for nothing.
func (s *Row) Reading(what string) {
	if what != s.readNow {
		s.readNow = what
		look.Show(s.bar, what != "")
		s.Display()
	}
}

// Playing says how the clip plays; "" where it does not.
func (s *Row) Playing(how string) {
	if how != s.playNow {
		s.playNow = how
		s.Display()
	}
}

// Hint says what a press on the time area would do; "" for none.
func (s *Row) Hint(words string) {
	if words != s.hinted {
		s.hinted = words
		s.Display()
	}
}

// ShowDetail says how fine the picture is and how long it took.
func (s *Row) ShowDetail(p *watch.Showing) {
	if p == nil {
		return
	}
	text := "full detail"
	switch {
	case p.Draft:
		text = fmt.Sprintf("proxy 1:%d", p.Factor)
	case p.Factor > 1:
		text = fmt.Sprintf("1:%d, exact", p.Factor)
	}
	if p.Unsettled {
		text += ", not settled"
	}
	s.detail.SetText(fmt.Sprintf("%s, %d ms", text, p.Took.Milliseconds()))
}

// Point shows what is at a place of the frame, in source pixels; inside: the pointer is
// over the picture.
func (s *Row) Point(atX, atY float64, inside bool) {
	d := s.desk
	x, y := int(atX), int(atY)
	src := d.SourceNow()
	if !inside || src == nil || atX < 0 || atY < 0 || x >= src.R.W || y >= src.R.H {
		s.place.SetText("")
		s.values.SetText("")
		s.weight.SetText("")
		return
	}
	c := d.Study().Base.At(d.Frame).Colour(src.RGB(x, y))
	s.place.SetText(fmt.Sprintf("x %d, y %d", x, y))
	s.values.SetText(readout(c))
	s.weight.SetText("")
	if w, ok := s.frame.WeightAt(x, y); ok {
		s.weight.SetText(fmt.Sprintf("weight %.2f", w))
	}
}

// readout says a colour in R, G, B, in HSL and in LCh.
func readout(c colour.RGB) string {
	hsl, hasHue := c.HSL()
	lch, hasAngle := c.LCh()
	return fmt.Sprintf("R %.2f G %.2f B %.2f    HSL %s %.2f %.2f    LCh %.0f %.0f %s",
		c.R, c.G, c.B, hueText(hsl.H, hasHue), hsl.S, hsl.L, lch.L, lch.C, hueText(lch.H, hasAngle))
}

func hueText(h colour.Degrees, ok bool) string {
	if !ok {
		return "–"
	}
	return fmt.Sprintf("%.0f°", float64(h))
}
