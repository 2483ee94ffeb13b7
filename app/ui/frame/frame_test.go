package frame

import (
	"context"
	"image"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	fynetooltip "github.com/dweymouth/fyne-tooltip"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/app/work"
	"halocline/mask"
	"halocline/selection"
)

const (
	left  = desktop.MouseButtonPrimary
	right = desktop.MouseButtonSecondary
)

// A bench is a frame alone in a window, on discs with a matte of them, and a hand.
// What the frame tells others is kept.
type bench struct {
	*stage.Hand
	desk     *desk.Desk
	viewer   *viewer.Viewer
	frame    *Frame
	x, y     float64 // pointed at last
	pressed  *selection.Dab
	would    *selection.Pick
	hovered  *selection.Point
	problems []string
	help     string // what a press would do, as said last
}

func (b *bench) Point(x, y float64, _ bool)                         { b.x, b.y = x, y }
func (b *bench) Display()                                           { b.help = b.frame.PressHelp() }
func (b *bench) WithKey(hint, _ string) string                      { return hint }
func (b *bench) PreviewDab(d *selection.Dab, would *selection.Pick) { b.pressed, b.would = d, would }
func (b *bench) HoverValue(v *selection.Point)                      { b.hovered = v }

// newBench shows so many frames, the first one to begin with.
func newBench(t *testing.T, frames int) *bench {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app := stage.NewApp(t)
	win := app.Bare(t)
	b := &bench{viewer: viewer.New()}
	b.desk = desk.NewDesk(desk.Listener{
		Changed: b.changed, Did: func(string) {}, Sought: func() {}, Note: func(string) {}, Post: fyne.Do,
		Learned: func(n desk.News) {
			switch n {
			case desk.NewPreview:
				b.frame.Previewed()
			case desk.NewCause:
				b.frame.Explained()
			case desk.NewOutlines:
				b.frame.Outlined()
			}
		},
		Report: func(p desk.Problem) { b.problems = append(b.problems, p.What) },
	})
	preview := watch.NewPreview(b.viewer, func(_ int, err error) { t.Error(err) })
	b.frame = New(b.desk, b.viewer, Parts{Preview: preview, Canvas: win.Canvas(), Status: b, Keys: b})
	b.frame.ShowDabsIn(b)
	b.viewer.OnViewport = func(view.Viewport) { b.frame.Looked() }
	win.Canvas().SetOnTypedKey(func(*fyne.KeyEvent) {})
	wk, err := work.Open(context.Background(), stage.Discs(t, frames))
	require.NoError(t, err)
	fyne.DoAndWait(func() {
		win.SetContent(fynetooltip.AddWindowToolTipLayer(b.frame.Object(), win.Canvas()))
		b.viewer.SetPicture(480, 270)
		b.desk.Begin(wk, study.NewSession(wk.Study, wk.Path))
		b.desk.Edit("Matte", func(s *study.Study, _ *study.Matte) error {
			b.desk.MatteID = stage.AddDisc(s).ID
			return nil
		})
	})
	b.Hand = stage.NewHand(win.Canvas(), app.Stage, func(fyne.KeyName, fyne.KeyModifier) bool { return false })
	b.rest(t)
	t.Cleanup(func() {
		fyne.DoAndWait(func() {
			b.desk.Leave()
			b.desk.Stop()
			preview.Jobs.Stop()
		})
		assert.Empty(t, stage.AwaitNobody(app.Stage), "goroutines left behind")
	})
	return b
}

// changed shows the state of the desk.
func (b *bench) changed() {
	b.frame.Ask(b.desk.Dragging())
	b.frame.Settle()
	b.frame.Display()
}

// rest waits until what is found belongs to what is chosen.
func (b *bench) rest(t *testing.T) {
	t.Helper()
	stage.Eventually(t, "rest", b.desk.Fresh)
}

// at is where a place of the frame is in the window.
func (b *bench) at(t *testing.T, x, y float64) fyne.Position {
	t.Helper()
	sx, sy := b.viewer.Viewport().ToScreen(x, y)
	return b.Middle(t, b.viewer).SubtractXY(b.viewer.Size().Width/2, b.viewer.Size().Height/2).AddXY(float32(sx), float32(sy))
}

// drawn is what is drawn on an empty picture of the view.
func (b *bench) drawn(draw func(dst *image.RGBA, vp view.Viewport, scale float64)) []uint8 {
	vp := b.viewer.Viewport()
	m := image.NewRGBA(image.Rect(0, 0, vp.VW, vp.VH))
	draw(m, vp, 1)
	return m.Pix
}

// addSquare adds a keep mask whose only key is at a frame, and opens Masks there.
func (b *bench) addSquare(frame int) {
	b.desk.GoToFrame(frame)
	b.desk.AddMask(study.Keep, []mask.Point{{X: 40, Y: 30}, {X: 120, Y: 30}, {X: 120, Y: 90}, {X: 40, Y: 90}})
	b.desk.GoToStep(desk.StepMasks)
}

func TestTheToolIsTheSteps(t *testing.T) {
	b := newBench(t, 1)
	for step, want := range map[desk.Step]string{
		desk.StepBase:  "press on something grey to sample it",
		desk.StepPick:  "press: keep dab. Right button: the other kind. Wheel while pressed: its size",
		desk.StepMasks: "drag any part; Ctrl: neighbours too; Shift: choose several; double-click a line: new vertex",
		desk.StepEdge:  "drag to pan, wheel to zoom",
		desk.StepTrial: "hold T to see the frame without the trial",
	} {
		b.desk.GoToStep(step)
		assert.Equal(t, want, b.frame.PressHelp())
		assert.Equal(t, step, b.frame.toolOf)
	}
	b.desk.BypassTrial = true
	b.desk.GoToStep(desk.StepTrial)
	assert.Equal(t, "without the trial, as long as T is held", b.frame.PressHelp())
	b.desk.Set(func() { b.desk.View = view.Reasons })
	b.desk.GoToStep(desk.StepPick)
	assert.Equal(t, "rest on a pixel to ask why; a press pins the answer", b.frame.PressHelp())
	fyne.DoAndWait(b.desk.Leave)
	b.desk.Opened = desk.NewOpened()
	assert.Equal(t, "open a picture to begin", b.frame.PressHelp())
}

func TestReasonsAreAskedForByAPress(t *testing.T) {
	b := newBench(t, 1)
	b.desk.Set(func() { b.desk.View = view.Reasons })
	b.Tap(b.at(t, 60.5, 200.5), left)
	require.NotNil(t, b.frame.Asked())
	assert.Equal(t, image.Pt(60, 200), image.Pt(b.frame.Asked().X, b.frame.Asked().Y))
	assert.True(t, b.frame.over.card.all.Visible())
	assert.True(t, b.frame.over.card.include.Visible(), "green is out by its hue")
	assert.True(t, b.frame.ForgetAsked())
	assert.False(t, b.frame.over.card.all.Visible())
	assert.False(t, b.frame.ForgetAsked())
	b.Tap(b.at(t, 240.5, 135.5), left)
	assert.False(t, b.frame.over.card.include.Visible())
	assert.True(t, b.frame.over.card.leave.Visible(), "red is in")
}

// The arrows move a cursor, which speaks as a pointer does.
func TestTheCursor(t *testing.T) {
	b := newBench(t, 1)
	b.Tap(b.at(t, 100, 100), right) // gives the viewer the keyboard
	stage.Eventually(t, "a dab", func() bool { return len(b.desk.Matte().Dabs) == 5 })
	n := 5
	vp := b.viewer.Viewport()
	b.Key(fyne.KeyRight, 0)
	x := b.x
	assert.InDelta(t, vp.X, x, 2, "it begins in the middle")
	b.Key(fyne.KeyRight, fyne.KeyModifierShift)
	assert.InDelta(t, x+10, b.x, 1e-9)
	b.Key(fyne.KeyReturn, fyne.KeyModifierShift)
	stage.Eventually(t, "another", func() bool { return len(b.desk.Matte().Dabs) == n+1 })
	d := b.desk.Matte().Dabs[n]
	assert.Equal(t, [2]float64{b.x, b.y}, [2]float64{d.X, d.Y})
	assert.Equal(t, study.Drop, d.Kind, "Shift makes the other kind")
}

func TestTheEmptyMatteNamesItsNarrowestChannel(t *testing.T) {
	b := newBench(t, 1)
	note := b.frame.over.note
	assert.False(t, note.all.Visible())
	b.desk.EditMatte("Empty", func(m *study.Matte) error {
		m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.999, To: 1})}
		return nil
	})
	stage.Eventually(t, "rest", func() bool {
		b.frame.Display()
		return b.desk.Fresh()
	})
	b.frame.Display()
	require.True(t, note.all.Visible())
	assert.Equal(t, "The matte is empty: lightness is the narrowest.", note.text.Text())
	b.PressOn(t, b.Button(t, "Switch lightness off"))
	assert.True(t, b.desk.Matte().Pick.Limits[selection.Light].Off)
}

// Where something beside the pick and the masks decides, the card names it, and offers no
// bound to move.
func TestTheCardSaysWhatDecides(t *testing.T) {
	b := newBench(t, 1)
	b.desk.Set(func() { b.desk.View = view.Reasons })
	b.desk.EditMatte("Grow", func(m *study.Matte) error {
		m.Edge.Grow = study.Constant(12)
		return nil
	})
	b.rest(t)
	b.Tap(b.at(t, 320.5, 135.5), left)
	card := b.frame.over.card
	stage.Eventually(t, "the cause", func() bool { return card.head.Text() == "in by growing" })
	assert.Equal(t, "Less grow would leave it out.", card.change.Text())
	assert.False(t, card.include.Visible())
	assert.False(t, card.leave.Visible())
}

// Inside an outline but beyond the edge that was found in it, the card says so, and what brings
// the pixel in; outside the outline it is the mask.
func TestTheCardSaysWhatLiesBeyondTheFoundEdge(t *testing.T) {
	b := newBench(t, 1)
	b.desk.Set(func() { b.desk.View = view.Reasons })
	b.desk.AddMask(study.Keep, []mask.Point{{X: 130, Y: 25}, {X: 350, Y: 25}, {X: 350, Y: 245}, {X: 130, Y: 245}})
	b.desk.EditMask("Corners", func(m *study.Mask) error { m.Rounded = false; return nil })
	b.rest(t)
	stage.Eventually(t, "the edge", func() bool {
		_, ok := b.desk.OutlineOf(b.desk.MaskID)
		return ok
	})
	b.Tap(b.at(t, 140.5, 40.5), left)
	card := b.frame.over.card
	assert.Equal(t, "out: beyond the found edge", card.head.Text())
	assert.Equal(t, "A keep dab for the masks brings it in.", card.change.Text())
	assert.False(t, card.include.Visible())
	b.Tap(b.at(t, 60.5, 40.5), left)
	assert.Equal(t, "out: the masks give it a weight of 0.00", card.head.Text())
}
