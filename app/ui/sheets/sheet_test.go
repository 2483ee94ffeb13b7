package sheets

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
)

// A window is what the sheets lie over in tests: nothing.
type window struct {
	fyne.Window
	rests int // how often it got the keyboard back
}

func (w *window) Rest()               { w.rests++ }
func (w *window) TellPlaces()         {}
func (w *window) Tell(string, ...any) {}

func newSheets(t *testing.T) (*Sheets, *window, *stage.Hand) {
	t.Helper()
	app := stage.NewApp(t)
	w := &window{Window: app.Bare(t)}
	s := New(desk.NewDesk(desk.Listener{Post: fyne.Do}), w, w)
	t.Cleanup(s.desk.Stop)
	w.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) { s.Typed(e.Name) })
	return s, w, stage.NewHand(w.Canvas(), app.Stage, func(fyne.KeyName, fyne.KeyModifier) bool { return false })
}

// One sheet is open at a time; its keys come first, and Esc closes it.
func TestOneSheetLiesOverTheWindow(t *testing.T) {
	s, w, h := newSheets(t)
	assert.False(t, s.Typed(fyne.KeyEscape), "nothing lies over it")
	closed := 0
	s.Open("One", "", look.HGap(1), fyne.NewSize(300, 200), look.HGap(1), nil).OnClosed(func() { closed++ })
	var heard []fyne.KeyName
	two := s.Cover(look.HGap(1), nil)
	two.OnTyped(func(k fyne.KeyName) bool {
		heard = append(heard, k)
		return k != fyne.KeyEscape
	})
	assert.Equal(t, 1, closed, "the other took its place")
	assert.Equal(t, w.Canvas().Size(), two.pop.Content.Size().AddWidthHeight(8, 8))
	h.Key(fyne.KeyLeft, 0)
	require.True(t, s.IsOpen())
	h.Key(fyne.KeyEscape, 0)
	assert.False(t, s.IsOpen())
	assert.Equal(t, []fyne.KeyName{fyne.KeyLeft, fyne.KeyEscape}, heard)
	assert.Equal(t, 2, w.rests)
}

// A text that will not do is asked for again, with the reason.
func TestATextIsAskedFor(t *testing.T) {
	s, _, h := newSheets(t)
	taken := ""
	s.AskText("Rate", "", "Set", "rate", "25", func(text string) error {
		if text == "x" {
			return errors.New("found x, want a number")
		}
		taken = text
		return nil
	})
	h.Write("x")
	h.Key(fyne.KeyReturn, 0)
	require.True(t, s.IsOpen())
	assert.True(t, says(s, "found x, want a number"))
	h.Key(fyne.KeyBackspace, 0)
	h.Write(" 50 ")
	h.PressOn(t, h.Button(t, "Set"))
	assert.Equal(t, "50", taken)
	assert.False(t, s.IsOpen())
}

func says(s *Sheets, text string) (found bool) {
	stage.Visit(s.win.Canvas(), func(o fyne.CanvasObject, _ fyne.Position, _ bool) {
		if l, ok := o.(*look.Label); ok && l.Text() == text {
			found = true
		}
	})
	return found
}

// What is pressed in a list, or answers a question, is done once the sheet has gone.
func TestAnAnswerIsDoneAfterTheSheet(t *testing.T) {
	s, _, h := newSheets(t)
	answered := 0
	run := func() {
		assert.False(t, s.IsOpen())
		answered++
	}
	line := look.NewLabel("one", look.Style{Size: look.BodySize, Colour: look.Text})
	s.List("List", "", []Line{{Content: line, Run: run}}, fyne.NewSize(400, 300), "Close")
	h.PressOn(t, line)
	s.Question("Save?", "", Choice{Label: "Back"}, Choice{Label: "Save", Main: true, Run: run})
	h.Key(fyne.KeyReturn, 0) // the main answer has the keyboard
	s.Question("Save?", "", Choice{Label: "Back"}, Choice{Label: "Save", Run: run})
	h.PressOn(t, h.Button(t, "Back"))
	assert.Equal(t, 2, answered)
	assert.False(t, s.IsOpen())
}

// A stranger's file is asked about before it is replaced, one's own is not.
func TestAPlaceThatIsTaken(t *testing.T) {
	s, _, h := newSheets(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "a.cc")
	require.NoError(t, os.WriteFile(path, nil, 0o666))
	var written []string
	p := Place{Title: "Write", Label: "Write", Dir: dir, Name: "a", Kind: "file", Endings: []string{".cc"},
		Take: func(path string) error { written = append(written, path); return nil }}
	s.AskPlace(p)
	h.PressOn(t, h.Button(t, "Write"))
	require.Empty(t, written)
	assert.True(t, says(s, "There is a file of that name. Press again to replace it."))
	h.PressOn(t, h.Button(t, "Replace"))
	assert.Equal(t, []string{path}, written)
	p.Own = path
	s.AskPlace(p)
	h.PressOn(t, h.Button(t, "Write"))
	assert.Equal(t, []string{path, path}, written)
	assert.False(t, s.IsOpen())
}
