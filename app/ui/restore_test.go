package ui

import (
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// What was restored is kept at once: a second crash before the next edit loses
// nothing.
func TestWhatIsRestoredIsKept(t *testing.T) {
	folder := writeSequence(t, 1)
	path := filepath.Join(folder, "a"+study.Ending)
	w := newTestWindowOn(t, filepath.Join(folder, "walk.0001.png"))
	fyne.DoAndWait(func() {
		require.NoError(t, w.bench.session.SaveAs(path))
		w.newMatte()
	})
	require.NoError(t, study.Save(study.AutosavePath(path), w.bench.study()))
	w.open(path)
	h := newHand(w)
	eventually(t, "the study as saved", func() bool { return len(w.bench.study().Mattes) == 0 && w.fresh() })
	h.pressOn(t, h.button(t, "Restore"))
	eventually(t, "what was unsaved", func() bool { return len(w.bench.study().Mattes) == 1 })
	assert.FileExists(t, study.AutosavePath(path))
	require.NoError(t, os.Remove(study.AutosavePath(path)))
}
