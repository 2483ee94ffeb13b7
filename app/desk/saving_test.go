package desk

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/selection"
)

// open takes up a file as a window does: with a session of its own.
func (r *rig) open(path string) (left *study.Recovery) {
	r.t.Helper()
	w, err := work.Open(context.Background(), path)
	require.NoError(r.t, err)
	left, err = LeftBehind(w)
	require.NoError(r.t, err)
	r.begins(w)
	if left != nil && left.InUse == nil {
		r.Session.LeaveOffered()
	}
	return left
}

// begins takes up a work with a session of its own.
func (r *rig) begins(w *work.Work) {
	r.Leave()
	r.Begin(w, study.LoadedSession(w.Study, w.Path, w.File))
}

// restore goes on with unsaved work.
func (r *rig) restore(left *study.Recovery) {
	r.t.Helper()
	w, err := work.FromStudy(context.Background(), left.Study, r.Work.Path)
	require.NoError(r.t, err)
	r.Leave()
	r.Begin(w, study.RecoveredSession(left, w.Path))
	require.NoError(r.t, r.Session.Autosave())
	r.KeepSaving()
}

func TestAStudyIsSavedAndOpened(t *testing.T) {
	r := newRig(t, 4)
	assert.False(t, r.Unsaved(), "nobody has changed it")
	r.dab(onTape, onGrass)
	r.AddMask(study.Keep, box(8, 8, 60, 50))
	assert.True(t, r.Unsaved())
	path := filepath.Join(t.TempDir(), "transect"+study.Ending)
	require.NoError(t, r.SaveTo(path))
	assert.False(t, r.Unsaved())
	assert.Equal(t, "transect.halocline", r.StudyName())
	assert.Equal(t, path, r.Session.Path())
	saved := r.Study()
	r.open(path)
	assert.Equal(t, saved.Mattes, r.Study().Mattes)
	assert.Equal(t, saved.Base, r.Study().Base)
	assert.False(t, r.Unsaved())
	assert.Empty(t, r.labels(), "what was undone stays behind")
	r.Edit("Soften", softened(2))
	assert.True(t, r.Unsaved())
	r.Undo()
	assert.False(t, r.Unsaved(), "it is as it was saved")
}

func TestAStudyThatCannotBeWrittenStaysUnsaved(t *testing.T) {
	r := newRig(t, 1)
	r.Edit("Soften", softened(2))
	path := filepath.Join(t.TempDir(), "none", "a"+study.Ending)
	assert.Error(t, r.SaveTo(path))
	assert.True(t, r.Unsaved())
	assert.Empty(t, r.Session.Path())
	assert.Equal(t, "tape.0001.png", r.StudyName(), "it is called as its footage")
}

// The sample becomes the user's own study once it is saved, with its frame beside it.
func TestTheSampleIsSavedWithItsFrame(t *testing.T) {
	r := newIdleRig(t)
	w, _, err := work.Sample(context.Background(), t.TempDir())
	require.NoError(t, err)
	r.Begin(w, study.NewSession(w.Study, ""))
	assert.True(t, r.Sample)
	assert.Equal(t, "the sample", r.StudyName())
	assert.False(t, r.Unsaved())
	folder := t.TempDir()
	path := filepath.Join(folder, "mine"+study.Ending)
	require.NoError(t, r.SaveTo(path))
	assert.False(t, r.Sample)
	assert.Equal(t, "mine.halocline", r.StudyName())
	again, err := study.Load(path)
	require.NoError(t, err)
	assert.Equal(t, folder, filepath.Dir(again.Clip.Resolve(path)), "the frame lies beside it")
	assert.FileExists(t, again.Clip.Resolve(path))
}

// Unsaved work of a study with a file is kept beside it, that of one without in the
// program's own folder; each is found by the next run, and goes once it is saved or
// given up.
func TestUnsavedWorkIsKeptWhereItIsFound(t *testing.T) {
	for name, named := range map[string]bool{"with a file": true, "without": false} {
		t.Run(name, func(t *testing.T) {
			r := newRig(t, 2)
			path := r.Study().Clip.Path
			kept := unsavedPath(path)
			assert.Equal(t, Folder(), filepath.Dir(filepath.Dir(kept)))
			if named {
				path = filepath.Join(t.TempDir(), "a"+study.Ending)
				require.NoError(t, r.SaveTo(path))
				kept = study.AutosavePath(path)
			}
			assert.NoFileExists(t, kept)
			r.Edit("Soften", softened(4))
			require.NoError(t, r.Session.Autosave())
			assert.FileExists(t, kept)
			r.Session.AutosaveTo("") // the program ends without closing

			next := newIdleRig(t)
			left := next.open(path)
			require.NotNil(t, left)
			assert.Equal(t, 4.0, left.Study.Mattes[0].Edge.Soften.At(1))
			next.restore(left)
			assert.Equal(t, 4.0, next.soften())
			assert.True(t, next.Session.Dirty(), "it is not saved")
			assert.FileExists(t, kept, "a second crash loses nothing")
			require.NoError(t, next.SaveTo(filepath.Join(t.TempDir(), "b"+study.Ending)))
			next.Leave()
			assert.NoFileExists(t, kept)
		})
	}
}

// What cannot be read is no reason not to open a study, but it is told.
func TestUnsavedWorkThatCannotBeReadIsLeftAlone(t *testing.T) {
	r := newRig(t, 1)
	path := filepath.Join(t.TempDir(), "a"+study.Ending)
	require.NoError(t, r.SaveTo(path))
	kept := study.AutosavePath(path)
	require.NoError(t, os.WriteFile(kept, []byte("{"), 0o600))
	w, err := work.Open(context.Background(), path)
	require.NoError(t, err)
	left, err := LeftBehind(w)
	assert.ErrorContains(t, err, kept)
	assert.Nil(t, left)
	assert.FileExists(t, kept)
}

// Where there is no folder for unsaved work, that is told once, at the first edit; when the
// study has a file, its work is kept beside that.
func TestWorkThatCannotBeKeptIsTold(t *testing.T) {
	cache := filepath.Join(t.TempDir(), "cache")
	require.NoError(t, os.WriteFile(cache, nil, 0o600)) // a file where a folder is wanted
	t.Setenv("XDG_CACHE_HOME", cache)
	r := newRig(t, 1)
	require.True(t, strings.HasPrefix(Folder(), cache), "only where the system's folder can be set so")
	assert.Empty(t, r.problems, "nothing is unsaved yet")
	r.NewMatte()
	require.Len(t, r.problems, 1)
	assert.Equal(t, "Unsaved work cannot be kept", r.problems[0].What)
	assert.ErrorContains(t, r.problems[0].Err, "its folder cannot be made")
	r.NewMatte()
	assert.Len(t, r.problems, 1)
	path := filepath.Join(t.TempDir(), "a"+study.Ending)
	require.NoError(t, r.SaveTo(path))
	r.NewMatte()
	r.KeepNow()
	assert.FileExists(t, study.AutosavePath(path))
	assert.Len(t, r.problems, 1)
}

// A dab whose colours are still being read when the study is left is no edit of it.
func TestADabOnItsWayIsLeftWithItsStudy(t *testing.T) {
	r := newRig(t, 1)
	before := r.Study()
	r.AddDab(onTape)
	r.Leave()
	r.passes(300 * time.Millisecond)
	assert.Same(t, before, r.Study())
	assert.Nil(t, r.stopSaves, "nothing is kept any more")
}

// Work is kept from the first edit on, once for each study.
func TestKeepingBeginsWithTheFirstEdit(t *testing.T) {
	r := newRig(t, 2)
	assert.Nil(t, r.stopSaves, "there is nothing to keep")
	r.GoToStep(StepEdge)
	r.GoToFrame(2)
	r.Slide("Soften", study.Moved, softened(1))
	assert.Nil(t, r.stopSaves, "nor while something is dragged")
	r.Slide("Soften", study.Done, softened(1))
	assert.NotNil(t, r.stopSaves)
	r.Leave()
	assert.Nil(t, r.stopSaves)
	r.begin(writeScene(t, 1) + "/tape.0001.png")
	assert.Nil(t, r.stopSaves)
	r.NewMatte()
	assert.NotNil(t, r.stopSaves)

	again := newRig(t, 1)
	again.Slide("Soften", study.Moved, softened(1))
	again.Undo()
	again.Redo()
	assert.Equal(t, 1.0, again.soften())
	assert.NotNil(t, again.stopSaves, "a drag that was undone and done again is work too")
}

// changedElsewhere saves a study with another program's hand, and tells its mattes.
func changedElsewhere(t *testing.T, path string) int {
	t.Helper()
	s, err := study.Load(path)
	require.NoError(t, err)
	s.AddMatte("theirs", selection.HSL)
	require.NoError(t, study.Save(path, s))
	return len(s.Mattes)
}

func mattesIn(t *testing.T, path string) int {
	t.Helper()
	s, err := study.Load(path)
	require.NoError(t, err)
	return len(s.Mattes)
}

// openedWithEdit is a rig with a saved study that has an unsaved edit.
func openedWithEdit(t *testing.T) (*rig, string) {
	t.Helper()
	r := newRig(t, 2)
	path := filepath.Join(t.TempDir(), "a"+study.Ending)
	require.NoError(t, r.SaveTo(path))
	r.open(path)
	r.Edit("Soften", softened(4))
	return r, path
}

// A file that another program has changed is not written over unasked; mine is kept in
// its place where I say so.
func TestMineIsKeptWhereISaySo(t *testing.T) {
	r, path := openedWithEdit(t)
	theirs := changedElsewhere(t, path)
	require.ErrorIs(t, r.Save(), study.ErrChanged)
	assert.True(t, r.Unsaved())
	assert.Equal(t, theirs, mattesIn(t, path))
	require.NoError(t, r.KeepMine())
	assert.False(t, r.Unsaved())
	assert.Equal(t, theirs-1, mattesIn(t, path))
	r.Edit("Soften", softened(5))
	require.NoError(t, r.Save())
}

// Theirs is taken as one edit, and mine comes back by Undo.
func TestTheirsIsTakenAsOneEdit(t *testing.T) {
	r, path := openedWithEdit(t)
	theirs := changedElsewhere(t, path)
	require.NoError(t, r.TakeTheirs())
	assert.Len(t, r.Study().Mattes, theirs)
	assert.False(t, r.Unsaved())
	assert.Equal(t, "Take what the file has", r.labels()[0])
	r.Undo()
	assert.Len(t, r.Study().Mattes, theirs-1)
	assert.Equal(t, 4.0, r.soften())
	assert.True(t, r.Unsaved())
	require.NoError(t, r.Save())
	assert.Equal(t, theirs-1, mattesIn(t, path))
}

// What the file has of other footage is not taken: the desk has no such frames.
func TestTheirsOfOtherFootageIsNotTaken(t *testing.T) {
	r, path := openedWithEdit(t)
	s, err := study.Load(path)
	require.NoError(t, err)
	s.Clip.Count++
	require.NoError(t, study.Save(path, s))
	assert.EqualError(t, r.TakeTheirs(), "desk: not taken, for it is of other footage, or reads it in another way; open it anew: "+path)
	assert.Equal(t, 4.0, r.soften())
	assert.ErrorIs(t, r.Save(), study.ErrChanged)
}

// A change while the footage is being opened counts too.
func TestAChangeWhileOpeningIsFound(t *testing.T) {
	r, path := openedWithEdit(t)
	w, err := work.Open(context.Background(), path)
	require.NoError(t, err)
	changedElsewhere(t, path)
	r.begins(w)
	r.Edit("Soften", softened(6))
	assert.ErrorIs(t, r.Save(), study.ErrChanged)
}

// Unsaved work of a window that is open is not offered to another, which says whose it is.
func TestWorkOfAnOpenWindowIsNotOffered(t *testing.T) {
	r, path := openedWithEdit(t)
	require.NoError(t, r.Session.Autosave())
	second := newIdleRig(t)
	left := second.open(path)
	require.NotNil(t, left)
	require.NotNil(t, left.InUse)
	assert.Equal(t, os.Getpid(), left.InUse.PID)
	second.Edit("Soften", softened(7))
	require.NoError(t, second.Session.Autosave())
	second.Leave()
	kept, err := study.Load(study.AutosavePath(path))
	require.NoError(t, err)
	assert.Equal(t, 4.0, kept.Mattes[0].Edge.Soften.At(1))
	r.Session.AutosaveTo("") // the first ends without closing
	left = newIdleRig(t).open(path)
	require.NotNil(t, left)
	assert.Nil(t, left.InUse)
}

// A picture that was just opened has no work to lose; what was restored of one has.
func TestAnUntouchedPictureIsNotUnsaved(t *testing.T) {
	r := newIdleRig(t)
	r.begin(writeScene(t, 1) + "/tape.0001.png")
	assert.False(t, r.Unsaved())
	r.NewMatte()
	assert.True(t, r.Unsaved())
	r.Undo()
	assert.False(t, r.Unsaved())
	r.Redo()
	picture := r.Study().Clip.Path
	require.NoError(t, r.Session.Autosave())
	r.Session.AutosaveTo("") // the program ends without closing
	next := newIdleRig(t)
	left := next.open(picture)
	require.NotNil(t, left)
	assert.False(t, next.Unsaved())
	next.restore(left)
	assert.True(t, next.Unsaved(), "or closing would lose it")
}
