package viewer

import (
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"sync"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ui/look"
	"halocline/app/view"
)

// A queue stands in for fyne.Do: what it is given waits for run.
type queue struct {
	sync.Mutex
	waiting []func()
	most    int
}

func (q *queue) do(f func()) {
	q.Lock()
	defer q.Unlock()
	q.waiting = append(q.waiting, f)
	q.most = max(q.most, len(q.waiting))
}

// run does what waits, until nothing does, and returns how much that was.
func (q *queue) run() (n int) {
	for {
		q.Lock()
		if len(q.waiting) == 0 {
			q.Unlock()
			return n
		}
		f := q.waiting[0]
		q.waiting = q.waiting[1:]
		q.Unlock()
		f()
		n++
	}
}

// open shows a viewer of 300 x 200 units at (20,30) of a window.
func open(t *testing.T, scale float32) (*Viewer, *queue, fyne.Window) {
	t.Helper()
	test.NewTempApp(t)
	w := test.NewTempWindow(t, nil)
	v, q := New(), new(queue)
	v.do = q.do
	hours := 0
	v.now = func() time.Time { // no two presses in quick succession
		hours++
		return time.Unix(0, 0).Add(time.Duration(hours) * time.Hour)
	}
	w.Canvas().(test.WindowlessCanvas).SetScale(scale)
	w.SetPadded(false)
	w.SetContent(container.NewWithoutLayout(v))
	w.Resize(fyne.NewSize(400, 300))
	v.Move(fyne.NewPos(20, 30))
	v.Resize(fyne.NewSize(300, 200))
	v.MinSize()
	q.run()
	return v, q, w
}

// screen is what the viewer shows.
func screen(v *Viewer) *image.RGBA { return v.pic.Image.(*image.RGBA) }

func flat(v *Viewer, grey uint8) *image.RGBA {
	m := v.Buffer()
	draw.Draw(m, m.Rect, image.NewUniform(color.Gray{Y: grey}), image.Point{}, draw.Src)
	return m
}

// A stub is a tool that writes down what it is told.
type stub struct {
	log  []string
	take bool // presses, wheel and keys
	tab  bool
	last Pointer
}

func (s *stub) say(what string, p Pointer) {
	s.last = p
	s.log = append(s.log, fmt.Sprintf("%s %.1f,%.1f", what, p.X, p.Y))
}
func (s *stub) Press(p Pointer) bool {
	s.say("press", p)
	if p.Double {
		s.log = append(s.log, "double")
	}
	return s.take
}
func (s *stub) Drag(p Pointer)    { s.say("drag", p) }
func (s *stub) Release(p Pointer) { s.say("release", p) }
func (s *stub) Cancel()           { s.log = append(s.log, "cancel") }
func (s *stub) Hover(p Pointer)   { s.say("hover", p) }
func (s *stub) Leave()            { s.log = append(s.log, "leave") }
func (s *stub) Wheel(p Pointer, n float64) bool {
	s.log = append(s.log, fmt.Sprintf("wheel %v", n))
	return s.take
}
func (s *stub) Key(k fyne.KeyName, m fyne.KeyModifier) bool {
	s.log = append(s.log, "key "+string(k))
	return s.take
}
func (s *stub) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	dst.SetRGBA(0, 0, color.RGBA{1, 2, 3, 255})
}
func (s *stub) Cursor(p Pointer) desktop.Cursor { return desktop.CrosshairCursor }
func (s *stub) WantsTab() bool                  { return s.tab }

// said returns what a tool was told since the last time.
func (s *stub) said() []string {
	log := s.log
	s.log = nil
	return log
}

// at is an event at (x,y) of the viewer, in units.
func at(v *Viewer, x, y float32) fyne.PointEvent {
	return fyne.PointEvent{Position: fyne.NewPos(x, y), AbsolutePosition: v.Position().AddXY(x, y)}
}

func down(v *Viewer, x, y float32, b desktop.MouseButton) {
	v.MouseDown(&desktop.MouseEvent{PointEvent: at(v, x, y), Button: b})
}
func up(v *Viewer, x, y float32, b desktop.MouseButton) {
	v.MouseUp(&desktop.MouseEvent{PointEvent: at(v, x, y), Button: b})
}
func move(v *Viewer, x, y float32, b desktop.MouseButton) {
	v.MouseMoved(&desktop.MouseEvent{PointEvent: at(v, x, y), Button: b})
}
func drag(v *Viewer, x, y float32) { v.Dragged(&fyne.DragEvent{PointEvent: at(v, x, y)}) }

const (
	primary   = desktop.MouseButtonPrimary
	secondary = desktop.MouseButtonSecondary
	middle    = desktop.MouseButtonTertiary
)

func TestTheViewHasTheScreensPixels(t *testing.T) {
	for _, scale := range []float32{1, 1.5, 2} {
		v, q, _ := open(t, scale)
		assert.Equal(t, image.Rect(0, 0, int(300*scale), int(200*scale)), v.Buffer().Rect)
		assert.Equal(t, v.Buffer().Rect, screen(v).Rect, "at %v", scale)
		assert.Equal(t, fyne.NewSize(300, 200), v.pic.Size())
		assert.EqualValues(t, 64, screen(v).RGBAAt(5, 5).R, "the surround alone")

		var told []view.Viewport
		v.OnViewport = func(vp view.Viewport) { told = append(told, vp) }
		v.SetPicture(600, 200)
		assert.Empty(t, told, "what the program does it does not report")
		assert.Equal(t, float64(scale)/2, v.Viewport().Zoom)
		v.Resize(fyne.NewSize(150, 200))
		assert.Equal(t, float64(scale)/4, v.Viewport().Zoom)
		assert.Len(t, told, 1)
		v.Zoom(200)
		v.Fit()
		v.SetViewport(v.Viewport().Panned(3, 3))
		assert.Len(t, told, 3)
		q.run()
		assert.Equal(t, v.Buffer().Rect, screen(v).Rect)
	}
}

func TestANewScaleIsSeen(t *testing.T) {
	v, q, w := open(t, 1)
	v.SetPicture(300, 200)
	w.Canvas().(test.WindowlessCanvas).SetScale(2)
	v.MinSize()
	q.run()
	assert.Equal(t, image.Rect(0, 0, 600, 400), v.Buffer().Rect)
	assert.Equal(t, 2.0, v.Viewport().Zoom)
}

func TestPutShowsTheNewestWithOneCallPending(t *testing.T) {
	v, q, _ := open(t, 1)
	v.SetPicture(300, 200)
	q.run()
	q.most = 0
	vp := v.Viewport()
	var shown int
	v.OnShown = func() { shown++ }
	stop := make(chan struct{})
	var window, producers sync.WaitGroup
	window.Go(func() { // Fyne's goroutine
		for {
			select {
			case <-stop:
				return
			default:
				q.run()
			}
		}
	})
	for n := range 8 {
		producers.Go(func() {
			for range 20 {
				v.Put(flat(v, uint8(100+n)), vp)
			}
		})
	}
	producers.Wait()
	v.Put(flat(v, 9), vp)
	close(stop)
	window.Wait()
	q.run()
	assert.EqualValues(t, 9, screen(v).RGBAAt(150, 100).R)
	assert.LessOrEqual(t, q.most, 2, "a paint, and word of the last one")
	assert.Positive(t, shown)
	assert.LessOrEqual(t, len(v.free), 4)

	v.OnShown = nil
	q.most = 0
	for n := range 100 {
		v.Put(flat(v, uint8(n)), vp)
		v.Redraw()
	}
	assert.Equal(t, 1, q.most)
	assert.Equal(t, 1, q.run())
	assert.EqualValues(t, 99, screen(v).RGBAAt(150, 100).R)
}

func TestOnShownComesAfterItIsShown(t *testing.T) {
	v, q, _ := open(t, 1)
	v.SetPicture(300, 200)
	q.run()
	var order []string
	v.OnShown = func() { order = append(order, fmt.Sprint("shown ", screen(v).RGBAAt(9, 9).R)) }
	v.Put(flat(v, 77), v.Viewport())
	assert.Equal(t, 2, q.run())
	assert.Equal(t, []string{"shown 77"}, order)
	v.Redraw()
	assert.Equal(t, 1, q.run(), "marks alone are no news")
}

func TestMarksAreDrawnOverACopy(t *testing.T) {
	v, q, _ := open(t, 1)
	v.SetPicture(300, 200)
	m := flat(v, 50)
	v.SetTool(new(stub))
	v.Put(m, v.Viewport())
	q.run()
	first := screen(v)
	assert.Equal(t, color.RGBA{1, 2, 3, 255}, first.RGBAAt(0, 0))
	assert.EqualValues(t, 50, m.RGBAAt(0, 0).R)
	v.Redraw()
	q.run()
	assert.NotSame(t, first, screen(v), "what is on the screen is not written to")
	v.SetTool(nil)
	q.run()
	assert.EqualValues(t, 50, screen(v).RGBAAt(0, 0).R)
}

func TestTheLastPictureStandsInForTheNext(t *testing.T) {
	v, q, _ := open(t, 1)
	v.SetPicture(300, 200)
	m := flat(v, 50)
	m.SetRGBA(150, 100, color.RGBA{255, 0, 0, 255})
	v.Put(m, v.Viewport())
	v.SetViewport(v.Viewport().Panned(7, -5))
	q.run()
	assert.EqualValues(t, 255, screen(v).RGBAAt(157, 95).R)
	assert.EqualValues(t, 64, screen(v).RGBAAt(3, 100).R, "nothing is known here")
	v.SetViewport(v.Viewport().Panned(-7, 5).ZoomedAt(150, 100, 3))
	q.run()
	for _, d := range []int{0, 1, 2} {
		assert.EqualValues(t, 255, screen(v).RGBAAt(150+d, 100+d).R)
	}
	assert.EqualValues(t, 50, screen(v).RGBAAt(153, 100).R)
	v.SetPicture(400, 200)
	q.run()
	assert.EqualValues(t, 64, screen(v).RGBAAt(150, 100).R, "another picture: nothing of the last one")
}

func TestAToolTakesADrag(t *testing.T) {
	for _, scale := range []float32{1, 2} {
		v, q, w := open(t, scale)
		s := &stub{take: true}
		v.SetTool(s)
		v.SetPicture(300, 200) // so that a unit is a source pixel
		before := v.Viewport()
		half := 0.5 / float64(scale)
		want := func(what string, x, y float64) string { return fmt.Sprintf("%s %.1f,%.1f", what, x+half, y+half) }

		down(v, 10, 20, primary)
		assert.Same(t, v, w.Canvas().Focused())
		move(v, 11, 20, primary) // not yet a drag to Fyne
		drag(v, 30, 40)
		drag(v, 500, -40) // beside the widget
		up(v, 31, 41, primary)
		v.DragEnd()
		assert.Equal(t, []string{want("press", 10, 20), want("drag", 11, 20), want("drag", 30, 40), want("drag", 500, -40), want("release", 31, 41)}, s.said())

		down(v, 100, 100, primary) // released over nothing
		drag(v, 110, 100)
		v.DragEnd()
		assert.Equal(t, []string{want("press", 100, 100), want("drag", 110, 100), want("release", 110, 100)}, s.said())

		down(v, 10, 20, secondary)
		move(v, 15, 20, secondary)
		up(v, 15, 20, secondary)
		move(v, 16, 20, 0)
		assert.Equal(t, []string{want("press", 10, 20), want("drag", 15, 20), want("release", 15, 20), want("hover", 16, 20)}, s.said())

		down(v, 10, 20, secondary)
		v.MouseOut() // released outside: nobody says so
		v.MouseIn(&desktop.MouseEvent{PointEvent: at(v, 50, 50)})
		assert.Equal(t, []string{want("press", 10, 20), want("release", 10, 20), want("hover", 50, 50)}, s.said())
		assert.Equal(t, before, v.Viewport())
		q.run()
	}
}

func TestEscapeCancelsADrag(t *testing.T) {
	v, _, _ := open(t, 1)
	s := &stub{take: true}
	v.SetTool(s)
	v.SetPicture(300, 200)
	escape := &fyne.KeyEvent{Name: fyne.KeyEscape}
	down(v, 10, 20, primary)
	drag(v, 20, 20)
	s.said()
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyUp})
	v.TypedKey(escape)
	drag(v, 30, 20)
	v.DragEnd()
	assert.Equal(t, []string{"key Up", "cancel"}, s.said())
	v.TypedKey(escape)
	assert.Equal(t, []string{"key Escape"}, s.said())

	down(v, 10, 20, primary) // another tool: the former one's drag is undone
	s.said()
	v.SetTool(nil)
	drag(v, 30, 20)
	up(v, 30, 20, primary)
	assert.Equal(t, []string{"cancel"}, s.said())

	v.Zoom(400) // panning is undone too
	before := v.Viewport()
	down(v, 10, 20, primary)
	drag(v, 40, 50)
	assert.NotEqual(t, before, v.Viewport())
	v.TypedKey(escape)
	assert.Equal(t, before, v.Viewport())
}

func TestPan(t *testing.T) {
	v, _, _ := open(t, 1)
	s := new(stub) // takes nothing
	v.SetTool(s)
	v.SetPicture(300, 200)
	v.Zoom(200)
	for _, b := range []desktop.MouseButton{primary, middle} {
		before := v.Viewport()
		var told int
		v.OnViewport = func(view.Viewport) { told++ }
		down(v, 100, 100, b)
		drag(v, 110, 96)
		drag(v, 120, 90)
		up(v, 120, 90, b)
		v.DragEnd()
		assert.Equal(t, before.Panned(20, -10), v.Viewport())
		assert.Equal(t, 2, told)
		before = v.Viewport()
		move(v, 150, 150, 0)
		assert.Equal(t, before, v.Viewport())
	}
	assert.NotContains(t, s.said(), "drag")
	before := v.Viewport()
	down(v, 100, 100, secondary)
	move(v, 130, 100, secondary)
	assert.Equal(t, before, v.Viewport(), "the secondary button does not pan")
}

// A widget that begins between two pixels of the screen is drawn from the nearer
// one, and so is the mouse counted.
func TestPointerCountsFromTheWholePixel(t *testing.T) {
	v, _, _ := open(t, 1)
	v.SetPicture(300, 200)
	s := &stub{take: true}
	v.SetTool(s)
	down := func(y float32) {
		abs := fyne.NewPos(50, y)
		v.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: abs.SubtractXY(20, 27.58), AbsolutePosition: abs}, Button: primary})
		v.DragEnd()
	}
	down(28)
	assert.Equal(t, 0.5, s.last.SY)
	down(127)
	assert.Equal(t, 99.5, s.last.SY)
}

func TestDoublePress(t *testing.T) {
	v, _, _ := open(t, 1)
	s := &stub{take: true}
	v.SetTool(s)
	v.SetPicture(300, 200)
	now := time.Unix(0, 0)
	v.now = func() time.Time { return now }
	press := func(x float32, b desktop.MouseButton, later time.Duration) bool {
		now = now.Add(later)
		down(v, x, 50, b)
		up(v, x, 50, b)
		log := s.said()
		return log[1] == "double"
	}
	assert.False(t, press(50, primary, time.Hour))
	assert.True(t, press(52, primary, 350*time.Millisecond))
	assert.False(t, press(52, primary, 100*time.Millisecond), "the third")
	assert.False(t, press(52, primary, 351*time.Millisecond), "too late")
	assert.False(t, press(57, primary, 100*time.Millisecond), "too far")
	assert.False(t, press(57, secondary, 100*time.Millisecond), "another button")
}

func TestWheel(t *testing.T) {
	v, _, _ := open(t, 1)
	s := new(stub)
	v.SetTool(s)
	v.SetPicture(300, 200)
	wheel := func(dx, dy float32) {
		v.Scrolled(&fyne.ScrollEvent{PointEvent: at(v, 30, 40), Scrolled: fyne.Delta{DX: dx, DY: dy}})
	}
	wheel(0, 50)
	assert.Equal(t, []string{"wheel 2"}, s.said())
	assert.InDelta(t, 1.5625, v.Viewport().Zoom, 1e-9)
	x, y := v.Viewport().ToPicture(30.5, 40.5)
	assert.InDelta(t, 30.5, x, 1e-6)
	assert.InDelta(t, 40.5, y, 1e-6)
	s.take = true
	wheel(-25, 0) // with Shift
	assert.Equal(t, []string{"wheel -1"}, s.said())
	assert.InDelta(t, 1.5625, v.Viewport().Zoom, 1e-9)
}

func TestKeysGoToTheToolThenToTheCanvas(t *testing.T) {
	v, _, w := open(t, 1)
	s := &stub{take: true}
	v.SetTool(s)
	var keys []fyne.KeyName
	var runes []rune
	w.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) { keys = append(keys, e.Name) })
	w.Canvas().SetOnTypedRune(func(r rune) { runes = append(runes, r) })
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyLeft})
	s.take = false
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyRight})
	v.TypedRune('3')
	assert.Equal(t, []string{"key Left", "key Right"}, s.said())
	assert.Equal(t, []fyne.KeyName{fyne.KeyRight}, keys)
	assert.Equal(t, []rune{'3'}, runes)

	assert.False(t, v.AcceptsTab())
	s.tab = true
	assert.True(t, v.AcceptsTab())
	entry := widget.NewEntry()
	w.Content().(*fyne.Container).Add(entry)
	w.Canvas().Focus(v)
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyTab})
	assert.Same(t, entry, w.Canvas().Focused(), "a Tab the tool refuses goes on")
}

func TestFocusByKeyboardIsRinged(t *testing.T) {
	v, q, w := open(t, 1)
	w.Canvas().Focus(v)
	q.run()
	assert.Equal(t, look.Accent.R, screen(v).RGBAAt(0, 100).R)
	down(v, 10, 10, primary)
	q.run()
	assert.EqualValues(t, 64, screen(v).RGBAAt(0, 100).R)
}

func TestReadoutAndCursor(t *testing.T) {
	v, _, _ := open(t, 1)
	var got Pointer
	var in bool
	v.OnPointer = func(p Pointer, inside bool) { got, in = p, inside }
	assert.Equal(t, desktop.DefaultCursor, v.Cursor())
	s := &stub{take: true}
	v.SetTool(s)
	v.SetPicture(300, 100)
	v.MouseIn(&desktop.MouseEvent{PointEvent: at(v, 20, 60)})
	assert.Equal(t, Pointer{X: 20.5, Y: 10.5, SX: 20.5, SY: 60.5}, got)
	assert.True(t, in)
	assert.Equal(t, desktop.CrosshairCursor, v.Cursor())
	move(v, 20, 20, 0)
	assert.False(t, in, "beside the picture")
	v.MouseOut()
	assert.False(t, in)
	assert.Equal(t, "leave", s.log[len(s.log)-1])
}

func TestDivider(t *testing.T) {
	v, q, _ := open(t, 1)
	s := &stub{take: true}
	v.SetTool(s)
	v.SetPicture(300, 200)
	v.Put(flat(v, 128), v.Viewport())
	v.SetNames("Frame", "Trial")
	q.run()
	plain := screen(v).RGBAAt(150, 20)
	assert.Equal(t, -1.0, v.Divider())
	var told []float64
	v.OnDivider = func(share float64) { told = append(told, share) }
	v.SetDivider(0.5)
	q.run()
	assert.Empty(t, told)
	assert.NotEqual(t, plain, screen(v).RGBAAt(150, 60))
	assert.NotEqual(t, plain, screen(v).RGBAAt(12, 20), "the left name")
	assert.NotEqual(t, plain, screen(v).RGBAAt(287, 20), "the right name")
	assert.Equal(t, plain, screen(v).RGBAAt(100, 60))

	down(v, 152, 100, primary)
	assert.Equal(t, desktop.HResizeCursor, v.Cursor())
	drag(v, 182, 100)
	drag(v, 1000, 100)
	drag(v, 212, 100)
	up(v, 212, 100, primary)
	require.Len(t, told, 3)
	assert.InDeltaSlice(t, []float64{0.6, 1, 0.7}, told, 1e-9)
	assert.Empty(t, s.said(), "the tool is not asked")
	down(v, 210, 100, primary)
	drag(v, 20, 100)
	v.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.InDelta(t, 0.7, v.Divider(), 1e-9)
	v.DragEnd()
	down(v, 100, 100, primary)
	assert.Equal(t, []string{"press 100.5,100.5"}, s.said())
}

func BenchmarkPaint(b *testing.B) {
	test.NewTempApp(b)
	v := New()
	v.do = func(f func()) { f() }
	v.Resize(fyne.NewSize(1480, 832))
	v.vp = view.Viewport{W: 1920, H: 1080, VW: 1480, VH: 832}.Fit()
	v.last = &finished{image.NewRGBA(image.Rect(0, 0, 1480, 832)), v.vp}
	b.Run("same", func(b *testing.B) {
		for b.Loop() {
			v.paint()
		}
	})
	b.Run("stands in", func(b *testing.B) {
		v.vp = v.vp.ZoomedAt(10, 10, 1.7)
		for b.Loop() {
			v.paint()
		}
	})
}
