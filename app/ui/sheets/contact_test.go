package sheets

import (
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/work"
)

// entryAt is the k-th field that can be seen.
func entryAt(s *Sheets, k int) *look.Entry {
	return stage.Seen(s.win.Canvas(), stage.Any[*look.Entry])[k]
}

// A sheet of every fifth frame is drawn and its place told; a file that is there is replaced only
// after it was asked about, and what was typed wrong is said.
func TestContactSheetInTheWindow(t *testing.T) {
	folder := stage.Discs(t, 12)
	wk, err := work.Open(t.Context(), folder)
	require.NoError(t, err)
	stage.AddDisc(wk.Study)
	s, h := sheetsOf(t, wk)
	s.OpenContact()
	assert.True(t, startsWith(s, "2 frames of disc, hatch"), "as the window shows it")
	h.PressSegment(t, stage.Seen(s.win.Canvas(), stage.Any[*look.Segments])[0], 0, 3)
	assert.True(t, startsWith(s, "2 frames of disc, matte"))
	every := entryAt(s, 0)
	fyne.DoAndWait(func() { s.win.Canvas().Focus(every.Focusable()) })
	h.Key(fyne.KeyBackspace, 0)
	h.Key(fyne.KeyBackspace, 0)
	h.Write("x")
	assert.True(t, startsWith(s, "a whole number is wanted"))
	h.Key(fyne.KeyBackspace, 0)
	h.Write("5")
	require.True(t, startsWith(s, "3 frames of disc, matte"))
	path := filepath.Join(folder, "disc-disc-contact.png")
	h.PressOn(t, h.Button(t, "Draw"))
	stage.Eventually(t, "a sheet", func() bool { return startsWith(s, "Written: "+path) })
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	m, err := png.Decode(f)
	require.NoError(t, err)
	assert.Equal(t, 16+3*496, m.Bounds().Dx())
	r, _, _, _ := m.At(16+242, 16+135).RGBA()
	assert.EqualValues(t, 0xffff, r, "the disc")

	h.PressOn(t, h.Button(t, "Draw"))
	assert.True(t, startsWith(s, "There is a file of that name. Press again to replace it."))
	h.PressOn(t, h.Button(t, "Replace"))
	stage.Eventually(t, "a sheet", func() bool { return startsWith(s, "Written: "+path) })
	h.PressOn(t, h.Button(t, "Close"))
	assert.False(t, s.IsOpen())
}

// A drawing that is stopped writes nothing, and another can be begun.
func TestContactSheetIsStopped(t *testing.T) {
	folder := stage.Discs(t, 80)
	wk, err := work.Open(t.Context(), folder)
	require.NoError(t, err)
	stage.AddDisc(wk.Study)
	s, h := sheetsOf(t, wk)
	s.OpenContact()
	every := entryAt(s, 0)
	fyne.DoAndWait(func() { s.win.Canvas().Focus(every.Focusable()) })
	h.Key(fyne.KeyBackspace, 0)
	h.Write("1")
	require.True(t, startsWith(s, "80 frames of disc"))
	h.PressOn(t, h.Button(t, "Draw"))
	h.PressOn(t, h.Button(t, "Stop"))
	stage.Eventually(t, "the end", func() bool { return startsWith(s, "Stopped; nothing was written.") })
	assert.NoFileExists(t, filepath.Join(folder, "disc-disc-contact.png"))
	assert.False(t, h.Button(t, "Draw").Disabled())
	assert.NotNil(t, h.Button(t, "Cancel"))
}
