package sheets

import (
	"image"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/export"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/work"
	"halocline/selection"
)

// newExport is the sheet of exports of a still of 40 x 30 pixels with one matte.
func newExport(t *testing.T) (*Sheets, *stage.Hand, string) {
	t.Helper()
	folder := t.TempDir()
	f, err := os.Create(filepath.Join(folder, "tape.png"))
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, image.NewNRGBA(image.Rect(0, 0, 40, 30))))
	require.NoError(t, f.Close())
	wk, err := work.Open(t.Context(), f.Name())
	require.NoError(t, err)
	wk.Study.AddMatte("tape", selection.LCh)
	s, h := sheetsOf(t, wk)
	return s, h, folder
}

// sheetsOf are the sheets of a desk on which a work lies.
func sheetsOf(t *testing.T, wk *work.Work) (*Sheets, *stage.Hand) {
	t.Helper()
	t.Setenv("HOME", t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	app := stage.NewApp(t)
	w := &window{Window: app.Bare(t)}
	d := desk.NewDesk(desk.Listener{
		Changed: func() {}, Sought: func() {}, Learned: func(desk.News) {}, Did: func(string) {}, Note: func(string) {}, Post: fyne.Do,
		Report: func(p desk.Problem) { t.Errorf("%s: %v", p.What, p.Err) },
	})
	s := New(d, w, w)
	w.Canvas().SetOnTypedKey(func(e *fyne.KeyEvent) { s.Typed(e.Name) })
	fyne.DoAndWait(func() { d.Begin(wk, study.NewSession(wk.Study, "")) })
	t.Cleanup(func() {
		fyne.DoAndWait(func() {
			s.Close()
			d.Leave()
			d.Stop()
		})
	})
	return s, stage.NewHand(w.Canvas(), app.Stage, func(fyne.KeyName, fyne.KeyModifier) bool { return false })
}

// startsWith reports whether a text that can be seen begins so.
func startsWith(s *Sheets, start string) bool {
	return len(stage.Seen(s.win.Canvas(), func(l *look.Label) bool { return len(l.Text()) >= len(start) && l.Text()[:len(start)] == start })) > 0
}

// Enter exports; the sheet counts what lies beside the pictures; a second export of other
// settings asks, and can count up.
func TestASecondExportAsks(t *testing.T) {
	s, h, folder := newExport(t)
	out := filepath.Join(folder, "mattes")
	s.OpenExport()
	assert.True(t, startsWith(s, "3 files, at most "), "the matte, its text and its overlay")
	h.Key(fyne.KeyReturn, 0)
	stage.Eventually(t, "an export", func() bool { return startsWith(s, "Written: 1 of 1") })
	made := filepath.Join(out, "tape", "tape-tape.000000.png")
	if _, err := os.Stat(made); err != nil {
		all, _ := filepath.Glob(filepath.Join(out, "tape", "*"))
		require.Len(t, all, 1)
		made = all[0]
	}
	first, err := os.ReadFile(made)
	require.NoError(t, err)
	s.Close()

	s.OpenExport()
	h.Key(fyne.KeyReturn, 0)
	stage.Eventually(t, "the same again", func() bool { return startsWith(s, "Written: 1 of 1") })
	assert.False(t, startsWith(s, "1 of 1 files there"), "nothing is asked: the settings are the same")
	s.Close()

	fyne.DoAndWait(func() {
		s.desk.EditMatte("Soften", func(m *study.Matte) error {
			m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 50, To: 100})}
			return nil
		})
	})
	s.OpenExport()
	h.Key(fyne.KeyReturn, 0)
	require.True(t, startsWith(s, "1 of 1 files there are of other settings."))
	now, err := os.ReadFile(made)
	require.NoError(t, err)
	assert.Equal(t, first, now, "nothing is replaced before it is answered")
	h.PressOn(t, h.Button(t, "Back"))
	assert.False(t, startsWith(s, "1 of 1 files there"))
	h.Key(fyne.KeyReturn, 0)
	h.PressOn(t, h.Button(t, "Count up"))
	stage.Eventually(t, "an export", func() bool { return startsWith(s, "Written: 1 of 1") })
	now, err = os.ReadFile(made)
	require.NoError(t, err)
	assert.Equal(t, first, now, "it stays")
	counted, err := filepath.Glob(filepath.Join(out, "v1", "tape", "*.png"))
	require.NoError(t, err)
	assert.Len(t, counted, 1)
	s.Close()

	s.OpenExport()
	h.Key(fyne.KeyReturn, 0)
	require.True(t, startsWith(s, "1 of 1 files there"))
	h.PressOn(t, h.Button(t, "Replace them"))
	stage.Eventually(t, "an export", func() bool { return startsWith(s, "Written: 1 of 1") })
	now, err = os.ReadFile(made)
	require.NoError(t, err)
	assert.NotEqual(t, first, now)
}

// Every kind of the command line is offered.
func TestEveryKindIsOffered(t *testing.T) {
	var kinds []export.Kind
	for _, k := range exportKinds {
		kinds = append(kinds, k.kind)
	}
	assert.ElementsMatch(t, export.Kinds, kinds)
}

// A matte that keeps nothing is told of once it is written.
func TestAnExportTellsOfABlackMatte(t *testing.T) {
	s, h, _ := newExport(t)
	fyne.DoAndWait(func() {
		s.desk.EditMatte("Nothing", func(m *study.Matte) error {
			m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 50, To: 100})}
			return nil
		})
	})
	s.OpenExport()
	h.Key(fyne.KeyReturn, 0)
	stage.Eventually(t, "an export", func() bool { return startsWith(s, "Written: 1 of 1") })
	assert.True(t, startsWith(s, `Matte "tape" keeps nothing on frame `))
	two := []export.Entry{{Kind: export.Matte, Matte: "a", Empty: true}, {Kind: export.Matte, Matte: "b", Empty: true}}
	assert.Equal(t, `Matte "a" keeps nothing on frame 0 (of 1 exported): it is black there; 1 matte more`, emptyText(two))
}

// A matte that is not exported says so, and is written only once it is checked.
func TestAMatteThatIsNotExported(t *testing.T) {
	s, h, _ := newExport(t)
	s.desk.SetNotExported(true)
	s.OpenExport()
	assert.True(t, startsWith(s, "not exported"))
	assert.True(t, startsWith(s, "choose a matte to export"))
	h.PressOn(t, stage.Hinted[*look.Check](t, s.win.Canvas(), "Write this matte"))
	assert.True(t, startsWith(s, "3 files, at most "))
}

// Of many files the first and the last of one kind are named.
func TestShortenedNames(t *testing.T) {
	assert.Equal(t, "a.png, b.png, a.txt", shortened([]string{"a.png", "b.png"}, []string{"a.txt"}))
	assert.Equal(t, "a.png to c.png and 2 files beside", shortened([]string{"a.png", "b.png", "c.png"}, []string{"a.txt", "a-overlay.png"}))
	assert.Equal(t, "a.png to d.png", shortened([]string{"a.png", "b.png", "c.png", "d.png"}, nil))
	assert.Equal(t, "a.png and 3 files beside", shortened([]string{"a.png"}, []string{"a.txt", "a-overlay.png", "a.mkv"}))
}
