package ui

import (
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/stage"
)

// changedElsewhere saves the window's study, changes its file as another program would,
// and edits the study.
func changedElsewhere(t *testing.T, w *window) (path string) {
	t.Helper()
	path = filepath.Join(t.TempDir(), "transect"+study.Ending)
	require.NoError(t, w.desk.SaveTo(path))
	theirs, err := study.Load(path)
	require.NoError(t, err)
	theirs.Mattes[0].Note = "theirs"
	require.NoError(t, study.Save(path, theirs))
	w.desk.EditMatte("Note", func(m *study.Matte) error { m.Note = "mine"; return nil })
	w.files.Save(nil)
	require.True(t, w.sheets.IsOpen(), "it asks")
	return path
}

func noteIn(t *testing.T, path string) string {
	t.Helper()
	s, err := study.Load(path)
	require.NoError(t, err)
	return s.Mattes[0].Note
}

func TestAFileThatAnotherProgramChangedIsAskedAbout(t *testing.T) {
	w, h := newHandWindow(t)
	path := changedElsewhere(t, w)
	assert.Equal(t, "theirs", noteIn(t, path), "nothing is written before it is answered")
	h.PressOn(t, h.Button(t, "Back"))
	assert.True(t, w.desk.Unsaved())

	w.files.Save(nil)
	h.PressOn(t, h.Button(t, "Take theirs"))
	assert.Equal(t, "theirs", w.desk.Study().Mattes[0].Note)
	assert.False(t, w.desk.Unsaved())
	w.desk.Undo()
	assert.Equal(t, "mine", w.desk.Study().Mattes[0].Note, "as one edit")

	path = changedElsewhere(t, w)
	h.PressOn(t, h.Button(t, "Keep mine"))
	assert.Equal(t, "mine", noteIn(t, path))
	assert.False(t, w.desk.Unsaved())

	path = changedElsewhere(t, w)
	h.PressOn(t, h.Button(t, "Save as…"))
	require.True(t, w.sheets.IsOpen())
	h.PressOn(t, h.Button(t, "Cancel"))
	assert.Equal(t, "theirs", noteIn(t, path))
}

// An untouched picture has no dot in the title, an edited one has.
func TestTheTitlesDot(t *testing.T) {
	w, _ := newClipWindow(t, 12)
	for len(labels(w)) > 0 {
		w.desk.Undo()
	}
	assert.NotContains(t, w.title(), "●")
	w.desk.NewMatte()
	assert.Contains(t, w.title(), "●")
}

// A message's line has the reason, not only what did not work.
func TestAMessageHasItsReason(t *testing.T) {
	w, _ := newHandWindow(t)
	w.files.Open(filepath.Join(t.TempDir(), "gone.png"))
	stage.Eventually(t, "a message", w.messages.Showing)
	assert.Regexp(t, `^Not opened: gone.png: .*no such file`, w.messages.shown().What())
}
