package look

import (
	"math"
	"testing"

	"halocline/app/study"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func newTestSlider(t *testing.T) (*Slider, *ear) {
	e := &ear{}
	s := NewSlider(metres, e.hear)
	shown(t, s, 100+knob, 24) // one hundred increments, one a unit
	return s, e
}

func TestSliderDrag(t *testing.T) {
	s, e := newTestSlider(t)
	at := s.knobAt()
	press(s, at+3, 12) // on the knob, beside its middle: nothing jumps
	assert.Empty(t, e.take())
	drag(s, at+3+10)
	drag(s, at+3+20)
	drag(s, at+3+20)
	assert.Equal(t, []report{{3, study.Moved}, {4, study.Moved}}, e.take())
	s.Set(9)
	assert.Equal(t, 4.0, s.Value(), "the knob stays with the pointer")
	s.MouseUp(mouse(0, 0))
	s.DragEnd()
	assert.Equal(t, []report{{4, study.Done}}, e.take(), "once")
	drag(s, at)
	assert.Empty(t, e.take(), "not pressed")
}

func TestSliderDragEndsOutside(t *testing.T) {
	s, e := newTestSlider(t)
	press(s, s.knobAt(), 12)
	drag(s, 1e6)
	s.DragEnd() // no MouseUp comes
	assert.Equal(t, []report{{10, study.Moved}, {10, study.Done}}, e.take())
	press(s, s.knobAt(), 12)
	drag(s, -1e6)
	assert.Equal(t, []report{{0, study.Moved}}, e.take())
}

func TestSliderEscape(t *testing.T) {
	s, e := newTestSlider(t)
	press(s, s.knobAt(), 12)
	drag(s, 80)
	e.take()
	key(s, fyne.KeyEscape)
	assert.Equal(t, []report{{2, study.Cancelled}}, e.take())
	drag(s, 90)
	s.DragEnd()
	assert.Empty(t, e.take(), "given up")
	assert.Equal(t, 2.0, s.Value())
}

func TestSliderBackWhereItWas(t *testing.T) {
	s, e := newTestSlider(t)
	at := s.knobAt()
	press(s, at, 12)
	drag(s, at+5)
	drag(s, at)
	s.DragEnd()
	assert.Equal(t, []report{{2.5, study.Moved}, {2, study.Moved}, {2, study.Cancelled}}, e.take())
}

func TestSliderPressOnTheTrack(t *testing.T) {
	s, e := newTestSlider(t)
	press(s, knob/2.0+70, 12)
	s.MouseUp(mouse(0, 0))
	assert.Equal(t, []report{{7, study.Moved}, {7, study.Done}}, e.take())
	s.DoubleTapped(nil)
	assert.Equal(t, []report{{2, study.Done}}, e.take())
	s.DoubleTapped(nil)
	assert.Empty(t, e.take(), "already neutral")
}

func TestSliderKeys(t *testing.T) {
	s, e := newTestSlider(t)
	key(s, fyne.KeyRight, fyne.KeyUp, fyne.KeyLeft, fyne.KeyDown, fyne.KeyEnd, fyne.KeyRight, fyne.KeyHome)
	assert.Equal(t, []report{{2.1, study.Done}, {2.2, study.Done}, {2.1, study.Done}, {2, study.Done}, {10, study.Done}, {0, study.Done}}, e.take())
	ctrl(s, fyne.KeyRight)
	assert.Equal(t, []report{{0.01, study.Done}}, e.take())
	s.Disable()
	key(s, fyne.KeyRight)
	press(s, 60, 12)
	s.DoubleTapped(nil)
	assert.Empty(t, e.take(), "greyed")
}

func newTestNumber(t *testing.T) (*Number, *ear, fyne.Window) {
	e := &ear{}
	n := NewNumber(metres, e.hear)
	w := shown(t, n, 60, 24)
	n.Focus()
	return n, e, w
}

// enter replaces what is in the box.
func enter(n *Number, text string) { n.edit.SetText(text) }

func TestNumberCommits(t *testing.T) {
	n, e, w := newTestNumber(t)
	enter(n, "3,5 m")
	assert.Empty(t, e.take(), "not while typing")
	key(n.edit, fyne.KeyReturn)
	assert.Equal(t, []report{{3.5, study.Done}}, e.take())
	assert.Equal(t, "3.5", n.edit.Text)
	n.Focus()
	enter(n, "4")
	w.Canvas().Unfocus()
	assert.Equal(t, []report{{4, study.Done}}, e.take())
	w.Canvas().Focus(n.edit)
	w.Canvas().Unfocus()
	assert.Empty(t, e.take(), "nothing was typed")
}

func TestNumberKeepsDigitsItDoesNotShow(t *testing.T) {
	n, e, w := newTestNumber(t)
	w.Canvas().Unfocus()
	n.Set(2.3456)
	assert.Equal(t, "2.3", n.edit.Text)
	n.Focus()
	assert.Equal(t, "2.35", n.edit.Text)
	key(n.edit, fyne.KeyReturn)
	w.Canvas().Unfocus()
	assert.Empty(t, e.take())
	assert.Equal(t, 2.3456, n.Value())
	assert.Equal(t, "2.3", n.edit.Text)
}

func TestNumberRefuses(t *testing.T) {
	n, e, _ := newTestNumber(t)
	var said []string
	n.OnProblem(func(p string) { said = append(said, p) })
	for text, want := range map[string]string{
		"11":   "11 is outside: Path length goes from 0.0 to 10.0 m",
		"-1":   "-1 is outside: Path length goes from 0.0 to 10.0 m",
		"deep": `"deep" is not a number: Path length goes from 0.0 to 10.0 m`,
		"NaN":  `"NaN" is not a number: Path length goes from 0.0 to 10.0 m`,
		"":     `"" is not a number: Path length goes from 0.0 to 10.0 m`,
	} {
		said = nil
		enter(n, text)
		key(n.edit, fyne.KeyReturn)
		assert.Equal(t, want, n.Problem())
		assert.Equal(t, want, n.edit.ToolTip())
		assert.Equal(t, want, said[len(said)-1])
		assert.Equal(t, "2.0", n.edit.Text)
	}
	assert.Empty(t, e.take())
	enter(n, "5")
	assert.Empty(t, n.Problem(), "typing on mends it")
	key(n.edit, fyne.KeyReturn)
	assert.Equal(t, []report{{5, study.Done}}, e.take())
}

func TestReturnLeavesANumberThatIsTaken(t *testing.T) {
	n, _, _ := newTestNumber(t)
	enter(n, "11")
	key(n.edit, fyne.KeyReturn)
	assert.True(t, n.Focused(), "to be mended")
	enter(n, "3")
	key(n.edit, fyne.KeyReturn)
	assert.False(t, n.Focused(), "keys are the window's again")
}

func TestAPressBringsAllOfANumber(t *testing.T) {
	n, _, w := newTestNumber(t)
	w.Canvas().Unfocus()
	test.Tap(n)
	assert.True(t, n.Focused(), "beside the text")
	w.Canvas().Unfocus()
	press(n.edit, 5, 12)
	n.edit.MouseUp(mouse(5, 12))
	assert.Equal(t, n.edit.Text, n.edit.SelectedText(), "what is typed replaces it")
	press(n.edit, 5, 12)
	n.edit.MouseUp(mouse(5, 12))
	assert.Empty(t, n.edit.SelectedText(), "then it is the caret's")
}

func TestNumberKeys(t *testing.T) {
	n, e, w := newTestNumber(t)
	key(n.edit, fyne.KeyUp, fyne.KeyDown, fyne.KeyDown)
	assert.Equal(t, []report{{2.1, study.Done}, {2, study.Done}, {1.9, study.Done}}, e.take())
	ctrl(n.edit, fyne.KeyUp)
	assert.Equal(t, []report{{1.91, study.Done}}, e.take())
	assert.Equal(t, "1.91", n.edit.Text)
	enter(n, "9.95")
	key(n.edit, fyne.KeyUp)
	assert.Equal(t, []report{{10, study.Done}}, e.take(), "from what is typed, up to the limit")
	enter(n, "4")
	key(n.edit, fyne.KeyEscape)
	assert.Equal(t, "10.0", n.edit.Text)
	assert.True(t, n.Focused())
	key(n.edit, fyne.KeyEscape)
	assert.Nil(t, w.Canvas().Focused(), "nothing to restore: it leaves")
	assert.Empty(t, e.take())
}

func TestEntry(t *testing.T) {
	var heard, typed []string
	e := NewEntry("name", "", func(s string, p study.Phase) { heard = append(heard, s) })
	e.Typed(func(s string) { typed = append(typed, s) })
	w := shown(t, e, 120, 24)
	e.Focus()
	test.Type(e.edit, "ab")
	assert.Equal(t, []string{"a", "ab"}, typed)
	assert.Empty(t, heard)
	key(e.edit, fyne.KeyReturn)
	w.Canvas().Unfocus()
	assert.Equal(t, []string{"ab"}, heard, "once")
	e.Focus()
	test.Type(e.edit, "c")
	key(e.edit, fyne.KeyEscape)
	assert.Equal(t, "ab", e.edit.Text)
	w.Canvas().Unfocus()
	assert.Equal(t, []string{"ab"}, heard)
}

func TestValueRow(t *testing.T) {
	e := &ear{}
	r := NewValueRow(metres, 80, e.hear)
	shown(t, r, 315, 28)
	before, place := r.MinSize(), r.number.Position()
	key(r.slider, fyne.KeyRight)
	assert.Equal(t, []report{{2.1, study.Done}}, e.take())
	assert.Equal(t, 2.1, r.number.Value())
	r.number.Focus()
	enter(r.number, "10")
	key(r.number.edit, fyne.KeyReturn)
	assert.Equal(t, []report{{10, study.Done}}, e.take())
	assert.Equal(t, 10.0, r.slider.Value())
	assert.Equal(t, before, r.MinSize())
	assert.Equal(t, place, r.number.Position(), "nothing jumps")
	r.Disable()
	key(r.slider, fyne.KeyLeft)
	key(r.number.edit, fyne.KeyDown)
	assert.Empty(t, e.take())
	assert.Equal(t, 10.0, r.Value())
}

func TestFormatAndParse(t *testing.T) {
	s := Spec{Min: -4, Max: 4, Increment: 0.05, Decimals: 2, Signed: true, Unit: "EV"}
	for v, want := range map[float64]string{0: "0.00", 0.3: "+0.30", -1: "−1.00", -0.001: "0.00", 0.305: "+0.30"} {
		assert.Equal(t, want, s.format(v, false), "%v", v)
	}
	assert.Equal(t, "+0.305", s.format(0.305, true))
	assert.Equal(t, "+0.30", s.format(0.3, true))
	for v := -4.0; v <= 4; v = s.incremented(v, 1) {
		got, err := s.parse(s.format(v, true) + " EV")
		require.NoError(t, err)
		assert.Equal(t, v, got)
		if v == 4 {
			break
		}
	}
	assert.Equal(t, 0.3, Spec{Min: 0, Max: 1, Increment: 0.1}.incremented(0.2, 1), "no noise of binary fractions")
}

func TestShareAndBack(t *testing.T) {
	for name, s := range map[string]Spec{
		"linear":            {Min: -4, Max: 4, Increment: 0.05},
		"log":               {Min: 0.5, Max: 64, Increment: 0.1, Log: true},
		"log from 0":        {Min: 0, Max: 400, Increment: 1, Log: true},
		"no increment said": {Min: 0, Max: 3},
	} {
		t.Run(name, func(t *testing.T) {
			assert.Equal(t, 0.0, s.share(s.Min))
			assert.InDelta(t, 1, s.share(s.Max), 1e-12)
			assert.Equal(t, s.Min, s.at(-1))
			assert.Equal(t, s.Max, s.at(2))
			last := math.Inf(-1)
			for i := range 101 {
				v := s.at(float64(i) / 100)
				assert.GreaterOrEqual(t, v, last, "monotone")
				assert.InDelta(t, v, s.at(s.share(v)), 1e-9, "a value on the grid comes back")
				last = v
			}
		})
	}
	assert.Zero(t, Spec{Min: 2, Max: 2}.share(2), "an empty range")
	half := Spec{Min: 1, Max: 64, Increment: 1, Log: true}
	assert.InDelta(t, 0.5, half.share(8), 1e-12, "each doubling the same way")
}

func TestSliderEndsShortOfWhatCanBeTyped(t *testing.T) {
	e := &ear{}
	short := metres
	short.Low, short.High = 1, 5
	r := NewValueRow(short, 80, e.hear)
	shown(t, r, 315, 28)
	r.number.Focus()
	enter(r.number, "8")
	key(r.number.edit, fyne.KeyReturn)
	assert.Equal(t, []report{{8, study.Done}}, e.take())
	key(r.slider, fyne.KeyRight)
	assert.Empty(t, e.take(), "not back to the slider's end")
	key(r.slider, fyne.KeyLeft)
	assert.Equal(t, []report{{5, study.Done}}, e.take())
}
