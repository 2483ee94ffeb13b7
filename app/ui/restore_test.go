package ui

import (
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/stage"
)

// What was restored is kept at once: a second crash before the next edit loses
// nothing.
func TestWhatIsRestoredIsKept(t *testing.T) {
	folder := writeSequence(t, 1)
	path := filepath.Join(folder, "a"+study.Ending)
	w := newTestWindowOn(t, filepath.Join(folder, "walk.0001.png"))
	fyne.DoAndWait(func() {
		require.NoError(t, w.desk.Session.SaveAs(path))
		w.desk.NewMatte()
	})
	require.NoError(t, study.Save(study.AutosavePath(path), w.desk.Study()))
	w.files.Open(path)
	h := newHand(w)
	stage.Eventually(t, "the study as saved", func() bool { return len(w.desk.Study().Mattes) == 0 && w.desk.Fresh() })
	h.PressOn(t, h.Button(t, "Restore"))
	stage.Eventually(t, "what was unsaved", func() bool { return len(w.desk.Study().Mattes) == 1 })
	assert.FileExists(t, study.AutosavePath(path))
	require.NoError(t, os.Remove(study.AutosavePath(path)))
}

// Unsaved work that cannot be read is told of, and stays.
func TestUnreadableWorkIsToldOf(t *testing.T) {
	folder := writeSequence(t, 1)
	path := filepath.Join(folder, "a"+study.Ending)
	kept := study.AutosavePath(path)
	w := newTestWindowOn(t, filepath.Join(folder, "walk.0001.png"))
	fyne.DoAndWait(func() { require.NoError(t, w.desk.Session.SaveAs(path)) })
	require.NoError(t, os.WriteFile(kept, []byte("{"), 0o600))
	w.files.Open(path)
	stage.Eventually(t, "what is told", w.messages.Showing)
	assert.Equal(t, path, w.desk.Session.Path(), "the study is opened all the same")
	assert.FileExists(t, kept)
	require.NoError(t, os.Remove(kept))
}

// Work that is offered, and neither taken up nor refused, is there the next time;
// once there is other work to keep it lies beside.
func TestWhatIsOfferedStays(t *testing.T) {
	folder := writeSequence(t, 1)
	path := filepath.Join(folder, "a"+study.Ending)
	kept := study.AutosavePath(path)
	w := newTestWindowOn(t, filepath.Join(folder, "walk.0001.png"))
	fyne.DoAndWait(func() {
		require.NoError(t, w.desk.Session.SaveAs(path))
		w.desk.NewMatte()
		unsaved := w.desk.Study()
		w.files.Leave()
		w.desk.Session = nil
		require.NoError(t, study.Save(kept, unsaved))
	})
	w.files.Open(path)
	stage.Eventually(t, "the study as saved", func() bool { return w.desk.Study() != nil && len(w.desk.Study().Mattes) == 0 && w.desk.Fresh() })
	fyne.DoAndWait(func() {
		assert.True(t, w.messages.Showing())
		require.NoError(t, w.desk.Session.Autosave()) // nothing to keep
		require.NoError(t, w.desk.Session.Save())
		w.files.Leave()
	})
	left, err := study.Recover(path)
	require.NoError(t, err)
	require.NotNil(t, left)
	assert.Len(t, left.Study.Mattes, 1)
	fyne.DoAndWait(func() { w.desk.Session = nil })

	w.files.Open(path)
	stage.Eventually(t, "the study again", func() bool { return w.desk.Session != nil && w.desk.Fresh() })
	fyne.DoAndWait(func() {
		w.desk.NewMatte()
		w.desk.NewMatte()
		require.NoError(t, w.desk.Session.Autosave())
	})
	own, err := study.Load(kept)
	require.NoError(t, err)
	assert.Len(t, own.Mattes, 2)
	earlier, err := study.Load(kept + study.EarlierEnding)
	require.NoError(t, err)
	assert.Len(t, earlier.Mattes, 1)
}
