package study

import (
	"halocline/selection"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// savedSession is a session with an edit that is not saved, and its file.
func savedSession(t *testing.T) (*Session, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "a"+Ending)
	s := NewSession(transect(t), "")
	require.NoError(t, s.SaveAs(path))
	require.NoError(t, s.Edit("expose", expose(1)))
	return s, path
}

// theirs writes another study to a file, as another program does.
func theirs(t *testing.T, path string, exposure float64) {
	t.Helper()
	other, err := Load(path)
	require.NoError(t, err)
	require.NoError(t, expose(exposure)(other))
	require.NoError(t, Save(path, other))
}

func exposureIn(t *testing.T, path string) float64 {
	t.Helper()
	s, err := Load(path)
	require.NoError(t, err)
	return s.Base.At(1).Exposure
}

// Save does not write over what another program has written; SaveOver does.
func TestSaveTellsOfAChangedFile(t *testing.T) {
	s, path := savedSession(t)
	theirs(t, path, 3)
	info, err := os.Stat(path)
	require.NoError(t, err)
	err = s.Save()
	require.ErrorIs(t, err, ErrChanged)
	assert.EqualError(t, err, "study: not saved, for another program has changed the file at "+info.ModTime().Format("2006-01-02 15:04:05")+": "+path)
	assert.Equal(t, 3.0, exposureIn(t, path))
	assert.True(t, s.Dirty())
	require.ErrorIs(t, s.Save(), ErrChanged, "it is asked each time")
	assert.NoFileExists(t, LockPath(path))

	require.NoError(t, s.SaveOver())
	assert.Equal(t, 1.0, exposureIn(t, path))
	assert.False(t, s.Dirty())
	require.NoError(t, s.Edit("expose", expose(2)))
	require.NoError(t, s.Save(), "the file is as it was saved")
}

// What the file has is taken as one edit, which can be undone and saved.
func TestTakeFileIsOneEdit(t *testing.T) {
	s, path := savedSession(t)
	theirs(t, path, 3)
	require.NoError(t, s.TakeFile("take theirs", nil))
	assert.Equal(t, 3.0, s.Study().Base.At(1).Exposure)
	assert.Equal(t, []string{"take theirs", "expose"}, s.UndoLabels())
	assert.False(t, s.Dirty())
	require.True(t, s.Undo())
	assert.Equal(t, 1.0, s.Study().Base.At(1).Exposure)
	assert.True(t, s.Dirty())
	require.NoError(t, s.Save())
	assert.Equal(t, 1.0, exposureIn(t, path))

	require.NoError(t, s.TakeFile("nothing new", nil))
	assert.Equal(t, []string{"expose"}, s.UndoLabels())
	require.NoError(t, os.WriteFile(path, []byte("{"), 0o644))
	assert.ErrorContains(t, s.TakeFile("spoilt", nil), "the file ends in the middle")
	assert.ErrorIs(t, s.Save(), ErrChanged)
	assert.EqualError(t, NewSession(transect(t), "").TakeFile("none", nil), "study: it has no file yet, so that there is nothing to take from it")
}

// Ids that either study has used are not given out again.
func TestTakeFileKeepsIdsApart(t *testing.T) {
	s, path := savedSession(t)
	require.NoError(t, s.Edit("matte", func(d *Study) error { d.AddMatte("mine", selection.HSL); return nil }))
	mine := s.Study().Mattes[len(s.Study().Mattes)-1].ID
	other, err := Load(path)
	require.NoError(t, err)
	other.AddMatte("theirs", selection.HSL)
	other.AddMatte("theirs too", selection.HSL)
	require.NoError(t, Save(path, other))
	require.NoError(t, s.TakeFile("take", nil))
	var fresh int
	require.NoError(t, s.Edit("matte", func(d *Study) error { fresh = d.AddMatte("new", selection.HSL).ID; return nil }))
	assert.Greater(t, fresh, mine)
	assert.Greater(t, fresh, other.Mattes[len(other.Mattes)-1].ID)
}

// A file counts by its content: one that was written again as it was has not changed,
// nor has one that is gone; one of the same length and time may have.
func TestAFileCountsByItsContent(t *testing.T) {
	s, path := savedSession(t)
	long := time.Now().Add(time.Hour)
	require.NoError(t, os.Chtimes(path, long, long))
	require.NoError(t, s.Save(), "another time alone")

	require.NoError(t, s.Edit("expose", expose(2)))
	info, err := os.Stat(path)
	require.NoError(t, err)
	theirs(t, path, 3) // as long as what was saved: another digit
	now, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, info.Size(), now.Size())
	require.NoError(t, os.Chtimes(path, info.ModTime(), info.ModTime()))
	require.ErrorIs(t, s.Save(), ErrChanged)

	require.NoError(t, os.Remove(path))
	require.NoError(t, s.Save())
	assert.Equal(t, 2.0, exposureIn(t, path))
}

// The state that counts is that of what was read, not of what lies there when the
// session begins.
func TestAChangeWhileTheFootageIsOpenedCounts(t *testing.T) {
	_, path := savedSession(t)
	read, state, err := LoadState(path)
	require.NoError(t, err)
	theirs(t, path, 3)
	s := LoadedSession(read, path, state)
	require.NoError(t, s.Edit("expose", expose(2)))
	require.ErrorIs(t, s.Save(), ErrChanged)
	require.NoError(t, s.SaveAs(filepath.Join(filepath.Dir(path), "b"+Ending)))
	assert.Equal(t, 3.0, exposureIn(t, path))
}

// Unsaved work that is older than the study's file does not go over that unasked.
func TestRestoredOlderWorkIsAskedAbout(t *testing.T) {
	s, path := savedSession(t)
	require.NoError(t, s.Autosave())
	s.AutosaveTo("") // it ends without closing
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(AutosavePath(path), old, old))
	theirs(t, path, 3)
	r, err := Recover(path)
	require.NoError(t, err)
	require.True(t, r.Older)
	assert.ErrorIs(t, RecoveredSession(r, path).Save(), ErrChanged)
	assert.Equal(t, 3.0, exposureIn(t, path))
}

// While another process changes the study, nothing is written.
func TestSaveWaitsForTheLock(t *testing.T) {
	s, path := savedSession(t)
	holding := spawn(t, "hold", path, true)
	require.ErrorIs(t, s.Save(), ErrLocked)
	require.ErrorIs(t, s.SaveOver(), ErrLocked)
	require.ErrorIs(t, s.SaveAs(path), ErrLocked)
	assert.True(t, s.Dirty())
	holding.kill()
	require.NoError(t, s.Save())
	assert.NoFileExists(t, LockPath(path))
}

// A study that was made of footage is no work until somebody changes it; what was
// restored is.
func TestUntouchedIsNotUnsaved(t *testing.T) {
	s := NewSession(transect(t), "")
	assert.False(t, s.Unsaved())
	require.NoError(t, s.Edit("expose", expose(1)))
	assert.True(t, s.Unsaved())
	require.True(t, s.Undo())
	assert.False(t, s.Unsaved())
	assert.True(t, RecoveredSession(&Recovery{Study: transect(t)}, "").Unsaved())
	saved, _ := savedSession(t)
	assert.True(t, saved.Unsaved())
	require.NoError(t, saved.Save())
	assert.False(t, saved.Unsaved())
}
