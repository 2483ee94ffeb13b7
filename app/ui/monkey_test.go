package ui

import (
	"bytes"
	"flag"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/field"
	"halocline/app/ui/frame"
	"halocline/app/ui/handles"
	"halocline/app/ui/journal"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/ui/timeline"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/mask"
	"halocline/selection"
)

// A monkey does what comes into its head, the same things for the same seed.
type monkey struct {
	t    *testing.T
	w    *window
	hand *hand
	rand *rand.Rand

	undoable int             // edits that can be undone, before the act under way
	edits    int             // committed
	reached  map[string]bool // actions that ran
	able     map[string]bool // that could run at some time
	shown    int             // pictures
	acts     map[string]int
	lid      int // acts since something lies over the window
	late     bool
	journal  bytes.Buffer
}

func newMonkey(t *testing.T, seed uint64) *monkey {
	return newMonkeyOn(t, seed, newTestWindow(t))
}

// newMonkeyOn is newMonkey at a window that is there.
func newMonkeyOn(t *testing.T, seed uint64, w *window) *monkey {
	home := t.TempDir()
	t.Setenv("HOME", home)
	t.Chdir(home) // a name that is typed may be no full path
	w.win.Resize(fyne.NewSize(1000, 680))
	m := &monkey{t: t, w: w, hand: newHand(w), rand: rand.New(rand.NewPCG(seed, 2)), reached: map[string]bool{}, able: map[string]bool{}, acts: map[string]int{}}
	w.journal = journal.New(&m.journal, w.win.Canvas())
	w.journal.OnFrame(func() []journal.Spot { return maskSpots(w.desk, w.viewer, w.frame) })
	w.messages.journal = w.journal
	did, shown := w.desk.Did, w.viewer.OnShown
	w.desk.Did = func(label string) {
		did(label)
		if n := len(w.desk.Session.UndoLabels()); n > m.undoable {
			m.edits += n - m.undoable
			m.undoable = n
		}
	}
	w.viewer.OnShown = func() {
		shown()
		m.shown++
	}
	for _, a := range w.menu.actions {
		run := a.run
		switch a.label {
		case openLabel, "Load a true matte…", "Read a CDL file…", "Quit":
			a.run = func() { m.reached[a.label] = true } // files are chosen elsewhere
			continue
		}
		a.run = func() {
			m.reached[a.label] = true
			if a.label != "Open the sample" || !m.late { // what is undone in the end is all done to one study
				run()
			}
		}
	}
	return m
}

// act is one thing to do, and how often in a hundred.
type act struct {
	name  string
	often int
	do    func()
}

func (m *monkey) all() []act {
	all := []act{
		{"drag on the frame", 17, m.dragFrame},
		{"mask", 6, m.drawMask},
		{"wheel", 4, m.wheel},
		{"hover", 7, m.hover},
		{"field", 9, m.dragField},
		{"slider", 8, m.dragSlider},
		{"number", 9, m.typeNumber},
		{"press", 12, m.pressAnything},
		{"key", 9, m.key},
		{"action", 13, m.action},
		{"reason", 2, m.askWhy},
		{"trial", 4, m.tryGrade},
		{"travel", 2, m.travel},
		{"clear out", 2, m.clearOut},
	}
	if m.w.desk.Several() {
		all = append(all, act{"time", 14, m.goAbout}, act{"time area", 6, m.dragTime}, act{"notch", 6, m.pressNotch})
	}
	return all
}

// goAbout goes to other frames, and does something about keys there.
func (m *monkey) goAbout() {
	if m.chance(50) {
		all := m.w.desk.Frames()
		m.w.desk.GoToFrame(all[m.rand.IntN(len(all))])
	}
	if m.w.desk.Mask() == nil {
		m.drawMask()
	}
	labels := []string{"Previous key", "Next key", "Add key", "Remove key", "Copy key to here…", "Neighbour keys shown", "Move this key alone", "Move from here on", "Move in every key"}
	m.run(labels[m.rand.IntN(len(labels))])
}

func (m *monkey) pressNotch() {
	if m.chance(50) {
		m.w.desk.GoToStep([]desk.Step{desk.StepBase, desk.StepPick, desk.StepEdge}[m.rand.IntN(3)])
	}
	if n, from, ok := find[*look.Notch](m, nil); ok {
		b := desktop.MouseButtonPrimary
		if m.chance(20) {
			b = desktop.MouseButtonSecondary
		}
		m.hand.Tap(from.AddXY(n.Size().Width/2, n.Size().Height/2), b)
	}
}

// dragTime drags something of the time area, or clicks there.
func (m *monkey) dragTime() {
	a, from, ok := find[*timeline.Area](m, nil)
	if !ok {
		return
	}
	at := m.in(from, a.Size())
	switch {
	case m.chance(15):
		m.hand.TapTwice(at)
	case m.chance(25):
		m.hand.Move(at)
		m.hand.Wheel(float32(m.rand.IntN(7) - 3))
	default:
		if m.chance(20) {
			m.hand.Stage.Mods = ctrl
		}
		m.dragFrom(at, desktop.MouseButtonPrimary, 200)
		m.hand.Stage.Mods = 0
	}
}

// live does acts.
func (m *monkey) live(acts int) {
	all, total := m.all(), 0
	for _, a := range all {
		total += a.often
	}
	for i := range acts {
		m.undoable, m.late = len(m.w.desk.Session.UndoLabels()), 3*i > acts
		if m.w.win.Canvas().Overlays().Top() != nil {
			m.answer()
		} else {
			m.lid = 0
			n := m.rand.IntN(total)
			for _, a := range all {
				if n -= a.often; n < 0 {
					m.acts[a.name]++
					a.do()
					break
				}
			}
		}
		m.hand.Stage.Play()
		if i%250 == 249 { // a pause, in which all is found out
			m.free()
			m.rest()
		}
	}
}

// rest waits until what is shown and found belongs to the study as it is.
func (m *monkey) rest() {
	stage.Eventually(m.t, "rest", func() bool {
		s := m.w.preview.Last.Load()
		return m.w.desk.Fresh() && s != nil && s.Request.Study == m.w.desk.Study()
	})
}

// free closes all that lies over the window.
func (m *monkey) free() {
	for m.w.win.Canvas().Overlays().Top() != nil {
		if m.w.sheets.IsOpen() {
			m.w.sheets.Close()
		} else {
			m.w.win.Canvas().Overlays().Top().Hide()
			m.w.win.Canvas().Overlays().Remove(m.w.win.Canvas().Overlays().Top())
		}
		m.hand.Stage.Play()
	}
}

func (m *monkey) chance(percent int) bool { return m.rand.IntN(100) < percent }

// in is a place in a rectangle, a little beside it at times.
func (m *monkey) in(at fyne.Position, size fyne.Size) fyne.Position {
	return at.AddXY((1.1*m.rand.Float32()-0.05)*size.Width, (1.1*m.rand.Float32()-0.05)*size.Height)
}

// find is a thing of a kind that can be seen, at random, and where it is.
func find[T fyne.CanvasObject](m *monkey, like func(T) bool) (found T, at fyne.Position, ok bool) {
	n := 0
	stage.Visit(m.w.win.Canvas(), func(o fyne.CanvasObject, from fyne.Position, shown bool) {
		if c, is := o.(T); is && shown && (like == nil || like(c)) {
			if n++; m.rand.IntN(n) == 0 {
				found, at, ok = c, from, true
			}
		}
	})
	return found, at, ok
}

func (m *monkey) onFrame() (at fyne.Position, ok bool) {
	v, from, ok := find[*viewer.Viewer](m, nil)
	if !ok {
		return at, false
	}
	if h := m.w.frame.MaskHandles(); h != nil && m.w.desk.Step == desk.StepMasks && m.chance(70) {
		kinds := []handles.PartKind{handles.InnerFeather, handles.OuterFeather, handles.Turn, handles.Centre}
		if p, ok := h.Place(kinds[m.rand.IntN(len(kinds))]); ok && m.chance(50) {
			return from.AddXY(float32(p.X), float32(p.Y)), true
		}
		if s, _ := m.w.frame.MaskShape(); len(s.Points) > 0 {
			p := s.Points[m.rand.IntN(len(s.Points))]
			x, y := v.Viewport().ToScreen(p.X, p.Y)
			return from.AddXY(float32(x), float32(y)), true
		}
	}
	return m.in(from, v.Size()), true
}

func (m *monkey) button() desktop.MouseButton {
	switch n := m.rand.IntN(10); n {
	case 0:
		return desktop.MouseButtonTertiary
	case 1, 2:
		return desktop.MouseButtonSecondary
	}
	return desktop.MouseButtonPrimary
}

// dragFrom presses at a place, goes about and lets go, or gives it up.
func (m *monkey) dragFrom(at fyne.Position, b desktop.MouseButton, reach float32) {
	m.hand.Move(at)
	if m.chance(8) && b == desktop.MouseButtonPrimary {
		m.hand.TapTwice(at)
		return
	}
	m.hand.Press(b)
	for range m.rand.IntN(4) {
		at = at.AddXY(reach*(2*m.rand.Float32()-1), reach*(2*m.rand.Float32()-1))
		m.hand.Move(at)
	}
	switch {
	case m.chance(10):
		m.hand.Key(fyne.KeyEscape, 0)
	case m.chance(10):
		m.hand.Wheel(float32(m.rand.IntN(7) - 3))
	case m.chance(4):
		m.action() // by its key, while the button is down
	}
	m.hand.Release(false)
}

func (m *monkey) dragFrame() {
	if at, ok := m.onFrame(); ok {
		m.hand.Stage.Mods = []fyne.KeyModifier{0, 0, fyne.KeyModifierShift}[m.rand.IntN(3)]
		m.dragFrom(at, m.button(), 60)
		m.hand.Stage.Mods = 0
		m.wait()
	}
}

// wait gives the background some time: dabs are read there.
func (m *monkey) wait() {
	if m.w.desk.Step == desk.StepPick {
		time.Sleep(2 * time.Millisecond)
	}
	m.hand.Stage.Play()
}

// drawMask begins a mask and presses some vertices of it.
func (m *monkey) drawMask() {
	if m.w.desk.Matte() == nil {
		return
	}
	m.w.frame.NewMask(study.Kind(m.rand.IntN(2)))
	for range m.rand.IntN(6) {
		v, from, ok := find[*viewer.Viewer](m, nil)
		if !ok {
			return
		}
		m.hand.Tap(m.in(from, v.Size()), desktop.MouseButtonPrimary)
	}
	m.hand.Key([]fyne.KeyName{fyne.KeyReturn, fyne.KeyReturn, fyne.KeyEscape, fyne.KeyBackspace}[m.rand.IntN(4)], 0)
}

func (m *monkey) wheel() {
	size := m.w.win.Canvas().Size()
	at := m.in(fyne.Position{}, size)
	if m.chance(60) {
		at, _ = m.onFrame()
	}
	m.hand.Move(at)
	m.hand.Wheel(float32(m.rand.IntN(9) - 4))
}

func (m *monkey) hover() { m.hand.Move(m.in(fyne.Position{}, m.w.win.Canvas().Size())) }

func (m *monkey) dragField() {
	if m.w.desk.Step != desk.StepPick {
		m.w.desk.GoToStep(desk.StepPick)
	}
	f, from, ok := find[*field.Field](m, nil)
	if !ok {
		return
	}
	at := m.in(from, f.Size())
	if p, ok := f.HandlePlace(selection.Channel(m.rand.IntN(3)), m.rand.IntN(4)); ok && m.chance(80) {
		at = from.Add(p)
	}
	m.dragFrom(at, desktop.MouseButtonPrimary, 30)
}

func (m *monkey) dragSlider() {
	if m.w.desk.Step == desk.StepPick {
		m.w.desk.GoToStep([]desk.Step{desk.StepBase, desk.StepMasks, desk.StepEdge}[m.rand.IntN(3)])
	}
	if s, from, ok := find[*look.Slider](m, nil); ok {
		m.dragFrom(from.AddXY(m.rand.Float32()*s.Size().Width, s.Size().Height/2), desktop.MouseButtonPrimary, 40)
	}
}

// texts are what is typed into numbers: some are none.
var texts = []string{"0", "1", "12", "0.5", "0,25", "-3", "1e3", "99999", "ten", "", " 7 ", "0.30000", "NaN", "inf", "12°", "٣", "−4"}

func (m *monkey) typeNumber() {
	n, from, ok := find[*look.Number](m, nil)
	if !ok {
		return
	}
	m.hand.Tap(from.AddXY(n.Size().Width-6, n.Size().Height/2), desktop.MouseButtonPrimary)
	m.hand.Write(texts[m.rand.IntN(len(texts))])
	m.hand.Key([]fyne.KeyName{fyne.KeyReturn, fyne.KeyTab, fyne.KeyEscape, fyne.KeyUp}[m.rand.IntN(4)], 0)
}

// pressAnything presses something that can be pressed.
func (m *monkey) pressAnything() {
	o, from, ok := find(m, func(o fyne.CanvasObject) bool {
		switch o := o.(type) {
		case *viewer.Viewer, *field.Field, *look.Slider, *look.Number:
			return false
		case *look.Button:
			return o.Label() != "Choose…" && o.Label() != "Read…"
		}
		return stage.Is[fyne.Tappable](o) || stage.Is[fyne.Focusable](o) || stage.Is[desktop.Mouseable](o)
	})
	if !ok {
		return
	}
	b := desktop.MouseButtonPrimary
	if m.chance(10) {
		b = desktop.MouseButtonSecondary
	}
	m.hand.Tap(from.AddXY(o.Size().Width*m.rand.Float32(), o.Size().Height/2), b)
}

var keyNames = []fyne.KeyName{
	fyne.KeyUp, fyne.KeyDown, fyne.KeyLeft, fyne.KeyRight, fyne.KeyReturn, fyne.KeyTab, fyne.KeyTab, fyne.KeyEscape, fyne.KeyDelete, fyne.KeyBackspace,
	fyne.KeySpace, fyne.KeyInsert, fyne.KeyPageUp, fyne.KeyPageDown, fyne.KeyHome, fyne.KeyEnd, fyne.Key1, fyne.Key2, fyne.Key3, fyne.Key4, fyne.Key5, fyne.Key0,
	fyne.KeyPeriod, fyne.KeyComma, fyne.KeyA, fyne.KeyE, fyne.KeyO, fyne.KeyK, fyne.KeyD, fyne.KeyI, fyne.KeyL, fyne.KeyR, fyne.KeyN, fyne.KeyF2,
}

func (m *monkey) key() {
	mods := []fyne.KeyModifier{0, 0, 0, fyne.KeyModifierShift, fyne.KeyModifierControl}[m.rand.IntN(5)]
	name := keyNames[m.rand.IntN(len(keyNames))]
	for range 1 + m.rand.IntN(3) {
		m.hand.Key(name, mods)
	}
	m.wait()
}

func (m *monkey) action() {
	for _, a := range m.w.menu.actions {
		if a.can() {
			m.able[a.label] = true
		}
	}
	a := m.w.menu.actions[m.rand.IntN(len(m.w.menu.actions))]
	for range 8 { // most of the time one that can be done
		if a.can() {
			break
		}
		a = m.w.menu.actions[m.rand.IntN(len(m.w.menu.actions))]
	}
	m.w.menu.try(a)
	m.wait()
}

// run asks for actions by their labels.
func (m *monkey) run(labels ...string) {
	for _, l := range labels {
		for _, a := range m.w.menu.actions {
			if a.label == l {
				m.w.menu.try(a)
			}
		}
		m.hand.Stage.Play()
	}
}

// tryGrade does something about a trial.
func (m *monkey) tryGrade() {
	m.w.desk.GoToStep(desk.StepTrial)
	switch m.rand.IntN(3) {
	case 0:
		labels := []string{"Trial", "Trial on", desk.ResetTrialLabel, "Soften to least misfit", "Where the edge shows", "Compare"}
		m.run(labels[m.rand.IntN(len(labels))])
	case 1:
		m.w.keyDown(&fyne.KeyEvent{Name: frame.BypassKey})
		m.hand.Stage.Play()
		if m.chance(80) { // else the release is lost
			m.w.keyUp(&fyne.KeyEvent{Name: frame.BypassKey})
		}
	default:
		m.typeNumber()
		m.dragSlider()
	}
}

// askWhy asks about a pixel and does something about the answer.
func (m *monkey) askWhy() {
	m.w.desk.GoToStep(desk.StepPick)
	m.w.desk.Set(func() { m.w.desk.View = view.Reasons })
	at, ok := m.onFrame()
	if !ok {
		return
	}
	m.hand.Tap(at, desktop.MouseButtonPrimary)
	m.run([]string{"Include the pixel asked about", "Leave out the pixel asked about"}[m.rand.IntN(2)])
	if m.chance(50) {
		m.w.desk.Set(func() { m.w.desk.View = view.Hatch })
	}
}

// travel goes back some steps, and perhaps forth.
func (m *monkey) travel() {
	n := 1 + m.rand.IntN(4)
	m.run(slices.Repeat([]string{undoLabel}, n)...)
	m.run(slices.Repeat([]string{redoLabel}, m.rand.IntN(n+2))...)
}

// clearOut deletes mattes, all of them at times, and goes on without them.
func (m *monkey) clearOut() {
	for len(m.w.desk.Study().Mattes) > m.rand.IntN(2) {
		m.run("Delete matte")
	}
}

// answer does something to what lies over the window, and in the end closes it.
func (m *monkey) answer() {
	m.acts["answer"]++
	m.lid++
	if m.lid > 6 {
		m.free()
		return
	}
	switch {
	case m.chance(15):
		m.hand.Key(fyne.KeyEscape, 0)
	case m.chance(15):
		m.action() // does not reach through
	case m.chance(20):
		if e, from, ok := find[*look.Entry](m, nil); ok {
			m.hand.Tap(from.AddXY(10, e.Size().Height/2), desktop.MouseButtonPrimary)
			m.hand.Write([]string{"a", "skin", "{matte}", "{", "/", "ü"}[m.rand.IntN(6)])
			if m.chance(50) {
				m.hand.Key(fyne.KeyReturn, 0)
			}
		}
	case m.chance(10):
		m.key()
	default:
		m.pressAnything()
	}
}

// equalStudies reports whether two studies say the same.
func equalStudies(t *testing.T, want, got *study.Study, why string) {
	t.Helper()
	a, b := *want, *got
	a.Next, b.Next = 0, 0 // an undone edit's ids stay used
	assert.Equal(t, a, b, why)
}

// storm lets a monkey loose and looks at what is left.
func storm(t *testing.T, m *monkey, acts int) {
	m.live(acts)
	m.free()
	m.w.desk.CancelDrag()
	s := m.w.desk.Session
	now := s.Study()
	assert.NoError(t, now.Validate())

	n := len(s.UndoLabels())
	assert.NotZero(t, n)
	for range n {
		require.True(t, s.Undo())
		assert.NoError(t, s.Study().Validate())
	}
	assert.Empty(t, s.UndoLabels())
	for range n {
		require.True(t, s.Redo())
	}
	equalStudies(t, now, s.Study(), "all undone and done again")

	path := filepath.Join(t.TempDir(), "left"+study.Ending)
	require.NoError(t, study.Save(path, now))
	loaded, err := study.Load(path)
	require.NoError(t, err)
	loaded.Clip = now.Clip // where the footage lies is written from the file's place
	equalStudies(t, now, loaded, "saved and loaded")

	before := m.shown
	m.w.desk.Set(func() { m.w.desk.View = view.Matte })
	m.w.viewer.Fit()
	m.w.desk.Refresh()
	stage.Eventually(t, "a picture after the storm", func() bool { return m.shown > before })
}

var monkeySeed = flag.Uint64("monkey", 20, "seed of the monkey's whims")

func TestMonkey(t *testing.T) {
	acts, edits := 2000, 200
	if testing.Short() { // as with the race detector, which makes it ten times as long
		acts, edits = 300, 20
	}
	m := newMonkey(t, *monkeySeed)
	storm(t, m, acts)
	reached := slices.Sorted(maps.Keys(m.reached))
	var missed []string
	for _, a := range m.w.menu.actions {
		if m.able[a.label] && !m.reached[a.label] {
			missed = append(missed, a.label)
		}
	}
	for _, l := range slices.Compact(slices.Sorted(strings.SplitSeq(m.journal.String(), "\n"))) {
		if strings.HasPrefix(l, "problem") {
			t.Log(l)
		}
	}
	t.Logf("%d edits, %d of %d actions, %d pictures, %d edits to undo; acts %v; not reached %q", m.edits, len(reached), len(m.able), m.shown, len(m.w.desk.Session.UndoLabels()), m.acts, missed)
	assert.GreaterOrEqual(t, m.edits, edits, "edits")
	if !testing.Short() {
		assert.GreaterOrEqual(t, 10*len(reached), 7*len(m.able), "actions that ran, of those that could")
	}
}

// On a clip of several frames the monkey makes keys, and goes about in time.
func TestMonkeyOverTime(t *testing.T) {
	acts, edits := 800, 60
	if testing.Short() {
		acts, edits = 200, 3
	}
	w, _ := newClipWindow(t, 12)
	w.desk.Session.Edit("Keys", func(s *study.Study) error {
		m := &s.Mattes[0].Masks[0]
		for f := range 4 {
			m.Move(1+3*f, mask.Here, 4, 2)
			s.Base.Exposure.SetKey(1+3*f, 0.1*float64(f), mask.Curved)
			s.Mattes[0].Edge.Soften.SetKey(2+3*f, float64(f), mask.Step)
		}
		return nil
	})
	w.desk.Refresh()
	m := newMonkeyOn(t, *monkeySeed, w)
	storm(t, m, acts)
	t.Logf("%d edits, %d actions, %d pictures; acts %v", m.edits, len(m.reached), m.shown, m.acts)
	assert.GreaterOrEqual(t, m.edits, edits, "edits")
	n := 0
	for _, l := range []string{"Previous key", "Next key", "Add key", "Remove key", "Move in every key", "Move from here on"} {
		if m.reached[l] {
			n++
		}
	}
	if !testing.Short() {
		assert.GreaterOrEqual(t, n, 4, "actions about keys that ran")
	}
}
