package look

import (
	"math"
	"testing"

	"halocline/app/study"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shown puts a control into a window of its own, at a size.
func shown(t *testing.T, o fyne.CanvasObject, width, height float32) fyne.Window {
	t.Helper()
	a := test.NewTempApp(t)
	a.Settings().SetTheme(Theme())
	w := test.NewTempWindow(t, o)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(width, height))
	return w
}

// press sends a press of the primary button at x, y of the control.
func press(o desktop.Mouseable, x, y float32) { o.MouseDown(mouse(x, y)) }

func mouse(x, y float32) *desktop.MouseEvent {
	ev := &desktop.MouseEvent{Button: desktop.MouseButtonPrimary}
	ev.Position = fyne.NewPos(x, y)
	return ev
}

func drag(o fyne.Draggable, x float32) {
	ev := &fyne.DragEvent{}
	ev.Position = fyne.NewPos(x, 12)
	o.Dragged(ev)
}

func key(o fyne.Focusable, names ...fyne.KeyName) {
	for _, n := range names {
		o.TypedKey(&fyne.KeyEvent{Name: n})
	}
}

func ctrl(o fyne.Shortcutable, name fyne.KeyName) {
	o.TypedShortcut(&desktop.CustomShortcut{KeyName: name, Modifier: fyne.KeyModifierControl})
}

// A report is what a value control said.
type report struct {
	v float64
	p study.Phase
}

// ear keeps what a value control says.
type ear struct{ all []report }

func (e *ear) hear(v float64, p study.Phase) { e.all = append(e.all, report{v, p}) }

// take is what was said since the last take.
func (e *ear) take() []report {
	all := e.all
	e.all = nil
	return all
}

var metres = Spec{Label: "Path length", Unit: "m", Max: 10, Increment: 0.1, Neutral: 2, Decimals: 1}

func TestSetIsSilent(t *testing.T) {
	test.NewTempApp(t)
	said := false
	number := func(float64, study.Phase) { said = true }
	index := func(int) { said = true }
	turned := func(bool) { said = true }

	s, c := NewSwitch("", turned), NewCheck("", "", turned)
	s.Set(true)
	c.Set(true)
	assert.True(t, s.On() && c.On())

	labels := []string{"one", "two", "three"}
	g, l, r := NewSegments(labels, index), NewSelect(labels, "", index), NewRadio(labels, "", index)
	g.Set(2)
	l.Set(2)
	r.Set(2)
	assert.Equal(t, []int{2, 2, 2}, []int{g.At(), l.At(), r.At()})

	n, d, v := NewNumber(metres, number), NewSlider(metres, number), NewValueRow(metres, 80, number)
	n.Set(3)
	d.Set(3)
	v.Set(3)
	assert.Equal(t, []float64{3, 3, 3}, []float64{n.Value(), d.Value(), v.Value()})

	e := NewEntry("", "", func(string, study.Phase) { said = true })
	e.Typed(func(string) { said = true })
	e.Set("a")
	assert.Equal(t, "a", e.Text())
	assert.False(t, said)
}

// onOff is what can be turned on and off.
type onOff interface {
	fyne.Tappable
	fyne.Focusable
	fyne.Disableable
	On() bool
}

func TestTurning(t *testing.T) {
	for name, turned := range map[string]func(heard func(bool)) onOff{
		"switch": func(heard func(bool)) onOff { return NewSwitch("", heard) },
		"check":  func(heard func(bool)) onOff { return NewCheck("tick", "", heard) },
	} {
		t.Run(name, func(t *testing.T) {
			test.NewTempApp(t)
			var heard []bool
			c := turned(func(on bool) { heard = append(heard, on) })
			c.Tapped(nil)
			key(c, fyne.KeySpace, fyne.KeyReturn)
			assert.Equal(t, []bool{true, false, true}, heard)
			c.Disable()
			c.Tapped(nil)
			key(c, fyne.KeySpace)
			assert.Len(t, heard, 3, "greyed")
			assert.True(t, c.On(), "greyed, it keeps its value")
		})
	}
}

func TestButton(t *testing.T) {
	n := 0
	b := NewButton("Go", func() { n++ })
	shown(t, b, 80, 24)
	test.Tap(b)
	key(b, fyne.KeySpace, fyne.KeyEnter)
	assert.Equal(t, 3, n)
	b.Disable()
	test.Tap(b)
	key(b, fyne.KeySpace)
	assert.Equal(t, 3, n)
	assert.GreaterOrEqual(t, b.MinSize().Height, float32(24))
}

func TestSegments(t *testing.T) {
	var heard []int
	s := NewSegments([]string{"HSL", "1\tLCh", "Lab"}, func(i int) { heard = append(heard, i) })
	shown(t, s, 300, 28)
	press(s, 290, 10)
	press(s, 290, 10) // already chosen
	press(s, 5, 10)
	assert.Equal(t, []int{2, 0}, heard)
	key(s, fyne.KeyLeft) // nothing before the first
	s.SetOff(1, true)
	key(s, fyne.KeyRight) // over the greyed one
	press(s, 150, 10)
	assert.Equal(t, []int{2, 0, 2}, heard)
	s.Disable()
	press(s, 5, 10)
	assert.Equal(t, 2, s.At())
}

func TestRadioAndSelect(t *testing.T) {
	var heard []int
	hear := func(i int) { heard = append(heard, i) }
	r := NewRadio([]string{"16 bit", "8 bit"}, "", hear)
	w := shown(t, r, 300, 24)
	press(r, r.left(1)+3, 10)
	key(r, fyne.KeyRight, fyne.KeyLeft)
	assert.Equal(t, []int{1, 0}, heard)

	heard = nil
	s := NewSelect([]string{"a", "b", "c"}, "", hear)
	w.SetContent(s)
	key(s, fyne.KeyUp, fyne.KeyDown)
	assert.Equal(t, []int{1}, heard)
	test.Tap(s)
	require.NotNil(t, w.Canvas().Overlays().Top(), "the list is open")
	menu := w.Canvas().Focused()
	require.NotNil(t, menu)
	key(menu, fyne.KeyDown, fyne.KeyDown, fyne.KeyDown, fyne.KeyReturn)
	assert.Equal(t, []int{1, 2}, heard)
	assert.Nil(t, w.Canvas().Overlays().Top())
	s.Disable()
	test.Tap(s)
	assert.Nil(t, w.Canvas().Overlays().Top())
}

func TestKeysGoOnToTheWindow(t *testing.T) {
	s := NewSlider(metres, nil)
	w := shown(t, s, 120, 24)
	var keys []fyne.KeyName
	var runes []rune
	w.Canvas().SetOnTypedKey(func(ev *fyne.KeyEvent) { keys = append(keys, ev.Name) })
	w.Canvas().SetOnTypedRune(func(r rune) { runes = append(runes, r) })
	key(s, fyne.KeyRight, fyne.Key3, fyne.KeySpace, fyne.KeyEscape)
	s.TypedRune('3')
	assert.Equal(t, []fyne.KeyName{fyne.Key3, fyne.KeySpace, fyne.KeyEscape}, keys)
	assert.Equal(t, []rune{'3'}, runes)
}

func TestAPressCommitsWhatIsTyped(t *testing.T) {
	var order []string
	e := NewEntry("", "", func(s string, _ study.Phase) { order = append(order, s) })
	b := NewButton("Go", func() { order = append(order, "tapped") })
	w := shown(t, HBox(4, Fixed(80, 24, e), b), 200, 24)
	e.Focus()
	test.Type(e.edit, "reef")
	press(b, 4, 4)
	b.Tapped(nil)
	assert.Equal(t, []string{"reef", "tapped"}, order)
	assert.Nil(t, w.Canvas().Focused(), "the window's own keys work after a click")
}

func TestRingOnlyForTheKeyboard(t *testing.T) {
	s := NewSlider(metres, nil)
	w := shown(t, s, 120, 24)
	press(s, s.knobAt(), 12)
	s.MouseUp(mouse(0, 0))
	assert.Equal(t, fyne.Focusable(s), w.Canvas().Focused())
	assert.True(t, s.byPress)
	key(s, fyne.KeyRight)
	assert.False(t, s.byPress)
}

func TestMeter(t *testing.T) {
	test.NewTempApp(t)
	m := NewMeter(50, 100)
	for v, want := range map[float64]float32{40: 0, 50: 0, 75: 0.5, 100: 1, 120: 1} {
		assert.InDelta(t, want, m.share(v), 1e-6, "%v", v)
	}
	assert.Zero(t, m.share(math.NaN()))
	m.SetRange(3, 3)
	assert.Zero(t, m.share(3), "an empty range")
}

func TestBand(t *testing.T) {
	closed := false
	b := NewBand(Failed)
	b.OnClosed(func() { closed = true })
	shown(t, b, 600, 44)
	assert.False(t, b.Visible())
	before := b.MinSize().Height
	b.Say("the frame cannot be read", "choose another")
	assert.True(t, b.Visible())
	assert.Equal(t, "the frame cannot be read", b.What())
	assert.Equal(t, before, b.MinSize().Height)
	assert.False(t, b.details.Visible())
	b.OnDetails(func() {})
	assert.True(t, b.details.Visible())
	middle := func() float32 {
		d := fyne.CurrentApp().Driver()
		return d.AbsolutePositionForObject(b.what).Y + b.what.Size().Height/2 - d.AbsolutePositionForObject(b).Y
	}
	b.Resize(fyne.NewSize(600, 44))
	assert.Less(t, middle(), float32(20), "above what to do")
	b.Say("the frame cannot be read", "")
	assert.InDelta(t, 22, middle(), 1, "in the middle where there is nothing to do")
	test.Tap(b.closing)
	assert.True(t, closed)
	assert.False(t, b.Visible())
}

func TestLabelsAreCut(t *testing.T) {
	test.NewTempApp(t)
	s := Style{Size: SmallSize}
	text := "leads the matte's border to the picture's edges"
	assert.Equal(t, text, s.Cut(text, s.Measure(text).Width))
	for width := float32(0); width < 200; width += 7 {
		cut := s.Cut(text, width)
		assert.LessOrEqual(t, s.Measure(cut).Width, width+0.5)
	}
	l := NewLabel("a", s)
	before := l.MinSize()
	l.SetText(text)
	assert.Equal(t, before, l.MinSize())
	p := NewParagraph(2, text, s)
	lines := p.broken(s.Measure(text).Width * 0.7)
	assert.Len(t, lines, 2)
	assert.Equal(t, text, lines[0]+" "+lines[1])
	assert.Equal(t, []string{"", ""}, NewParagraph(2, "", s).broken(50))
}

// Fyne forgets how a widget looks that was hidden for a minute, and asks anew
// without laying it out.
func TestAFaceMadeAnewIsDrawn(t *testing.T) {
	m := NewMark(Disc, Bone)
	s := NewSwitch("", nil)
	shown(t, HBox(4, m, s), 100, 40)
	for _, w := range []fyne.Widget{m, s} {
		for _, o := range w.CreateRenderer().Objects() {
			if o.Visible() {
				assert.False(t, o.Size().IsZero(), "%T of %T", o, w)
			}
		}
	}
	assert.True(t, m.CreateRenderer().Objects()[0].Visible())
}
