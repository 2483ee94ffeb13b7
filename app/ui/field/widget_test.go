package field

import (
	"context"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/view/density"
	"halocline/colour"
	"halocline/selection"
)

// An edit is what a Field reported.
type edit struct {
	pick  selection.Pick
	phase study.Phase
}

// shownField returns a Field in a window at the narrowest column.
func shownField(t *testing.T, p selection.Pick) (f *Field, edits *[]edit) {
	t.Helper()
	test.NewTempApp(t)
	edits = new([]edit)
	f = New(func(p selection.Pick, phase study.Phase) { *edits = append(*edits, edit{p, phase}) })
	w := test.NewTempWindow(t, f)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(narrow, HeightFor(narrow)))
	f.SetPick(p)
	return f, edits
}

func (f *Field) pressAt(x, y float64) {
	f.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))}, Button: desktop.MouseButtonPrimary})
}

func (f *Field) dragTo(x, y float64) {
	f.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))}})
}

func (f *Field) key(name fyne.KeyName) { f.TypedKey(&fyne.KeyEvent{Name: name}) }

func handleOf(f *Field, c selection.Channel, e end) (x, y float64) {
	at := f.placed()
	return at.handleAt(at.marks[c][e])
}

func TestDragOfALineIsMovedThenDone(t *testing.T) {
	f, edits := shownField(t, skin(selection.HSL))
	x, y := handleOf(f, selection.Sat, to)
	f.pressAt(x, y)
	f.dragTo(x, y+10)
	f.SetPick(skin(selection.HSL)) // an older pick, come back late, does not disturb the hand
	f.dragTo(x, y+18)
	f.DragEnd()
	f.MouseUp(nil)
	require.Len(t, *edits, 3)
	assert.Equal(t, []study.Phase{study.Moved, study.Moved, study.Done}, []study.Phase{(*edits)[0].phase, (*edits)[1].phase, (*edits)[2].phase})
	want := skin(selection.HSL)
	want.Limits[selection.Sat].To = 0.74 // 18 of 180 units down
	assert.Equal(t, want, (*edits)[2].pick)
}

func TestEscapeGivesADragUp(t *testing.T) {
	p := skin(selection.HSL)
	f, edits := shownField(t, p)
	x, y := handleOf(f, selection.Hue, from)
	f.pressAt(x, y)
	f.dragTo(x-30, y)
	f.key(fyne.KeyEscape)
	f.dragTo(x-40, y)
	f.DragEnd()
	require.Len(t, *edits, 2)
	assert.Equal(t, edit{p, study.Cancelled}, (*edits)[1])
	assert.Equal(t, p, f.pick)
}

func TestADragBackToItsStartIsNoEdit(t *testing.T) {
	p := skin(selection.HSL)
	f, edits := shownField(t, p)
	x, y := handleOf(f, selection.Light, to)
	f.pressAt(x, y)
	f.DragEnd()
	assert.Empty(t, *edits, "a press alone")
	f.pressAt(x, y)
	f.dragTo(x, y+20)
	f.dragTo(x, y)
	f.DragEnd()
	assert.Equal(t, edit{p, study.Cancelled}, (*edits)[len(*edits)-1])
}

func TestSetsAreSilent(t *testing.T) {
	f, edits := shownField(t, skin(selection.HSL))
	f.SetPick(skin(selection.LCh))
	f.SetDensity(nil)
	f.SetSamples([]selection.Point{{colour.NoHue, 0, 0.5}}, []selection.Point{{700, 3, -1}})
	p := skin(selection.LCh)
	f.SetPreview(&p)
	f.SetHover(&selection.Point{10, 0.5, 0.5})
	f.SetHover(nil)
	assert.Empty(t, *edits)
}

func TestKeyboard(t *testing.T) {
	p := skin(selection.HSL)
	f, edits := shownField(t, p)
	last := func() selection.Range { return (*edits)[len(*edits)-1].pick.Limits[f.keys.channel].Range }
	fyne.CurrentApp().Driver().CanvasForObject(f).Focus(f)
	assert.False(t, f.AcceptsTab(), "one stop of Tab until Enter")
	f.key(fyne.KeyReturn)
	assert.True(t, f.AcceptsTab())
	f.key(fyne.KeyTab)
	f.key(fyne.KeyRight)
	assert.Equal(t, 15.0, last().From)
	assert.Equal(t, study.Done, (*edits)[0].phase)
	f.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyLeft, Modifier: fyne.KeyModifierControl})
	assert.InDelta(t, 14.9, last().From, 1e-9)
	f.arrow(fyne.KeyLeft, fyne.KeyModifierShift)
	assert.InDelta(t, 4.9, last().From, 1e-9)
	for range 5 { // to, after; then saturation's fade before, from, to
		f.key(fyne.KeyTab)
	}
	f.key(fyne.KeyUp)
	assert.InDelta(t, 0.85, last().To, 1e-9)
	f.key(fyne.KeyEscape)
	assert.False(t, f.AcceptsTab())
	f.key(fyne.KeyReturn)
	assert.Equal(t, keys{true, selection.Sat, to}, f.keys, "in again where it was left")

	for range 6 {
		f.key(fyne.KeyTab)
	}
	assert.False(t, f.AcceptsTab(), "past the last line it leaves")
}

func TestKeysOfTheWindowGoOn(t *testing.T) {
	f, _ := shownField(t, skin(selection.HSL))
	var got []any
	c := fyne.CurrentApp().Driver().CanvasForObject(f)
	c.SetOnTypedKey(func(e *fyne.KeyEvent) { got = append(got, e.Name) })
	c.SetOnTypedRune(func(r rune) { got = append(got, r) })
	f.key(fyne.KeyHome)
	f.key(fyne.KeyUp) // the field's own
	f.TypedRune('3')
	assert.Equal(t, []any{fyne.KeyHome, '3'}, got)
}

func scroll(f *Field, x, y, notches float64) {
	f.Scrolled(&fyne.ScrollEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))}, Scrolled: fyne.Delta{DY: float32(notches * notch)}})
}

func TestWindow(t *testing.T) {
	p := skin(selection.HSL)
	f, edits := shownField(t, p)
	require.Equal(t, hueWindow{21.5, 210}, f.window)
	scroll(f, 60, 100, 3)
	assert.Less(t, f.window.width, 140.0)
	narrower := f.window

	p.Limits[selection.Hue].From, p.Limits[selection.Hue].To = 200, 220
	f.SetPick(p)
	assert.Equal(t, narrower, f.window, "what the user chose stays")
	f.DoubleTapped(&fyne.PointEvent{Position: fyne.NewPos(100, 222)})
	assert.Equal(t, hueWindow{210, 210}, f.window)

	v := f.view()
	f.pressAt(v.ribbon.x0+v.ribbon.w()/2, v.ribbon.y0+2)
	f.dragTo(v.ribbon.x0+3*v.ribbon.w()/4, v.ribbon.y0+2)
	f.DragEnd()
	assert.InDelta(t, 300, f.window.centre, 1e-6)
	assert.Empty(t, *edits)
}

func TestWindowFollowsThePick(t *testing.T) {
	p := skin(selection.HSL)
	f, _ := shownField(t, p)
	p.Limits[selection.Hue].From, p.Limits[selection.Hue].To = 50, 70
	f.SetPick(p)
	assert.Equal(t, hueWindow{21.5, 210}, f.window, "in view")
	p.Limits[selection.Hue].From, p.Limits[selection.Hue].To = 200, 220
	f.SetPick(p)
	assert.Equal(t, hueWindow{210, 210}, f.window)
	p.Limits[selection.Hue].Off = true
	f.SetPick(p)
	assert.Equal(t, hueWindow{180, 360}, f.window)
}

func TestCursors(t *testing.T) {
	f, _ := shownField(t, skin(selection.HSL))
	at := func(x, y float64) desktop.Cursor {
		f.MouseMoved(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(float32(x), float32(y))}})
		return f.Cursor()
	}
	x, y := handleOf(f, selection.Hue, to)
	assert.Equal(t, desktop.HResizeCursor, at(x, y))
	x, y = handleOf(f, selection.Light, to)
	assert.Equal(t, desktop.VResizeCursor, at(x, y))
	assert.Equal(t, desktop.DefaultCursor, at(5, 60))
}

// The one picture has the screen's pixels, whatever the scale.
func TestPictureIsExact(t *testing.T) {
	f, _ := shownField(t, skin(selection.HSL))
	c := fyne.CurrentApp().Driver().CanvasForObject(f).(test.WindowlessCanvas)
	for _, scale := range []float32{1, 1.5, 2} {
		c.SetScale(scale)
		f.Refresh()
		want := math.Round(float64(f.Size().Width * scale))
		assert.Equal(t, int(want), f.pic.Image.Bounds().Dx())
	}
}

func TestTooSmallIsNoCrash(t *testing.T) {
	f, _ := shownField(t, skin(selection.HSL))
	for _, s := range []fyne.Size{{}, {Width: 3, Height: 3}, {Width: 90, Height: 400}, {Width: 400, Height: 52}, {Width: 103, Height: 60}} {
		f.Resize(s)
		f.pressAt(2, 2)
		f.dragTo(9, 9)
		f.DragEnd()
		scroll(f, 1, 1, 1)
	}
}

// scene of the golden picture: skin over sand and water, as two smooth clouds.
func clouds() *colour.Image {
	m := colour.NewImage(120, 100)
	for y := range 100 {
		for x := range 120 {
			u, v := float64(x)/120, float64(y)/100
			c := colour.HSL{H: colour.Degrees(10 + 30*u), S: 0.1 + 0.8*v*v, L: 0.35 + 0.3*u}
			if (x+y)%3 == 0 {
				c = colour.HSL{H: colour.Degrees(70 + 60*u*v), S: 0.05 + 0.3*u, L: 0.2 + 0.3*v}
			}
			rgb := c.RGB()
			i := y*120 + x
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = float32(rgb.R), float32(rgb.G), float32(rgb.B)
		}
	}
	return m
}

func TestGolden(t *testing.T) {
	p := skin(selection.HSL)
	p.Limits[selection.Light].Inverted = true
	f, _ := shownField(t, p)
	var d density.Map
	require.NoError(t, density.Measure(context.Background(), &d, clouds(), selection.HSL, nil, 0))
	f.SetDensity(&d)
	f.SetSamples([]selection.Point{{20, 0.5, 0.5}, {24, 0.62, 0.57}}, []selection.Point{{38, 0.2, 0.44}})
	f.SetHover(&selection.Point{60, 0.7, 0.2})
	x, y := handleOf(f, selection.Hue, to)
	f.pressAt(x, y)
	test.AssertImageMatches(t, "field.png", f.pic.Image)
}

func BenchmarkDraw(b *testing.B) {
	test.NewTempApp(b)
	f := New(func(selection.Pick, study.Phase) {})
	w := test.NewTempWindow(b, f)
	w.SetPadded(false)
	for _, size := range []float32{narrow, wide} {
		w.Resize(fyne.NewSize(size, HeightFor(size)))
		p := skin(selection.HSL)
		f.SetPick(p)
		var some []selection.Point
		for i := range 60 {
			some = append(some, selection.Point{float64(i), float64(i) / 60, float64(i) / 60})
		}
		f.SetSamples(some, some)
		at := f.placed()
		f.drawGround(at.view)
		b.Run(map[bool]string{true: "narrow", false: "wide"}[size == narrow], func(b *testing.B) {
			for b.Loop() {
				f.draw()
			}
		})
	}
	b.Run("ground", func(b *testing.B) {
		for b.Loop() {
			drawGround(f.view(), f.density, 0)
		}
	})
}
