package study

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Unsaved work of a session that has not ended is said to be in use, and stays whatever
// a second session does; that one's lies beside it. Each is found once its own
// has ended without closing.
func TestUnsavedWorkOfALivingSession(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, transect(t)))
	first := spawn(t, "keep", path, true)
	r, err := Recover(path)
	require.NoError(t, err)
	require.NotNil(t, r)
	require.NotNil(t, r.InUse)
	host, _ := os.Hostname()
	assert.Equal(t, first.Process.Pid, r.InUse.PID)
	assert.Equal(t, host, r.InUse.Host)
	kept, err := os.ReadFile(AutosavePath(path))
	require.NoError(t, err)

	study, err := Load(path)
	require.NoError(t, err)
	second := NewSession(study, path)
	require.NoError(t, second.Edit("expose", expose(5)))
	require.NoError(t, second.Autosave())
	now, err := os.ReadFile(AutosavePath(path))
	require.NoError(t, err)
	assert.Equal(t, string(kept), string(now))
	assert.NoFileExists(t, AutosavePath(path)+EarlierEnding)
	assert.Equal(t, 5.0, exposureIn(t, autosaveNumber(AutosavePath(path), 2)))

	second.AutosaveTo("") // it ends without closing
	r, err = Recover(path)
	require.NoError(t, err)
	require.Nil(t, r.InUse, "the second's work is free, whatever the first does")
	assert.Equal(t, 5.0, r.Study.Base.At(1).Exposure)
	require.NoError(t, RecoveredSession(r, path).Close(), "given up")

	first.kill()
	r, err = Recover(path)
	require.NoError(t, err)
	require.NotNil(t, r)
	assert.Nil(t, r.InUse)
	assert.Equal(t, 2.0, r.Study.Base.At(1).Exposure)
	again := RecoveredSession(r, path)
	require.NoError(t, again.Autosave())
	require.NoError(t, again.Save())
	require.NoError(t, again.Close())
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing but the study")
}

// A session that closes or saves does not remove what another process keeps.
func TestClosingLeavesTheOthersWork(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, transect(t)))
	first := spawn(t, "keep", path, true)
	for name, act := range map[string]func(*Session) error{
		"close": (*Session).Close, "save": (*Session).Save,
		"save as": func(s *Session) error { return s.SaveAs(path) },
		"save onto it": func(s *Session) error {
			return NewSession(s.Study(), "").SaveAs(path)
		},
	} {
		s := NewSession(transect(t), path)
		s.LeaveOffered()
		require.NoError(t, act(s), name)
		require.NoError(t, s.Edit("expose", expose(4)))
		require.NoError(t, s.Autosave())
		require.NoError(t, s.Close())
		assert.Equal(t, 2.0, exposureIn(t, AutosavePath(path)), name)
	}
	first.end(t)
	assert.NoFileExists(t, AutosavePath(path))
	assert.NoFileExists(t, LockPath(AutosavePath(path)))
}

// A process that ends in between does not make its work the prey of a session that
// found it in use.
func TestWorkOfOneThatHasJustEndedStays(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, transect(t)))
	first := spawn(t, "keep", path, true)
	s := NewSession(transect(t), path)
	first.kill()
	require.NoError(t, s.Edit("expose", expose(4)))
	require.NoError(t, s.Autosave())
	assert.Equal(t, 2.0, exposureIn(t, AutosavePath(path)))
	require.NoError(t, s.Save())
	require.NoError(t, s.Close())
	r, err := Recover(path)
	require.NoError(t, err)
	require.NotNil(t, r)
	assert.Equal(t, 2.0, r.Study.Base.At(1).Exposure)
}

// A session that was killed before its name was in the lock leaves no place that is
// never used again.
func TestATornMarkIsTakenOver(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, transect(t)))
	writeLock(t, AutosavePath(path), "")
	s := NewSession(transect(t), path)
	require.NoError(t, s.Edit("expose", expose(4)))
	require.NoError(t, s.Autosave())
	assert.Equal(t, 4.0, exposureIn(t, AutosavePath(path)))
	require.NoError(t, s.Close())
	assert.NoFileExists(t, LockPath(AutosavePath(path)))
}

// Work that two sessions restore is written by one of them where it lay, by the other
// beside it.
func TestTwoRestoreTheSameWork(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, transect(t)))
	spawn(t, "keep", path, true).kill()
	r, err := Recover(path)
	require.NoError(t, err)
	one, two := RecoveredSession(r, path), RecoveredSession(r, path)
	require.NoError(t, one.Edit("expose", expose(6)))
	require.NoError(t, two.Edit("expose", expose(7)))
	require.NoError(t, one.Autosave())
	require.NoError(t, two.Autosave())
	assert.Equal(t, 6.0, exposureIn(t, AutosavePath(path)))
	assert.Equal(t, 7.0, exposureIn(t, autosaveNumber(AutosavePath(path), 2)))
	one.AutosaveTo("") // it ends without closing
	require.NoError(t, two.Close())
	assert.Equal(t, 6.0, exposureIn(t, AutosavePath(path)))
}

// An offer that was put aside once is not replaced by the next one.
func TestWorkPutAsideStays(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	require.NoError(t, Save(path, transect(t)))
	aside := AutosavePath(path) + EarlierEnding
	require.NoError(t, os.WriteFile(aside, []byte("earlier"), 0o644))
	spawn(t, "keep", path, true).kill()
	s := NewSession(transect(t), path)
	s.LeaveOffered()
	require.NoError(t, s.Edit("expose", expose(4)))
	require.NoError(t, s.Autosave())
	got, err := os.ReadFile(aside)
	require.NoError(t, err)
	assert.Equal(t, "earlier", string(got))
	assert.Equal(t, 2.0, exposureIn(t, AutosavePath(path)))
}

// Unsaved work without a file of its own has the same rules.
func TestFootageOpenInTwoSessions(t *testing.T) {
	keep := filepath.Join(t.TempDir(), "untitled.autosave")
	one, two := NewSession(transect(t), ""), NewSession(transect(t), "")
	one.AutosaveTo(keep)
	two.AutosaveTo(keep)
	require.NoError(t, one.Edit("expose", expose(1)))
	require.NoError(t, two.Edit("expose", expose(2)))
	require.NoError(t, one.Autosave())
	require.NoError(t, two.Autosave())
	assert.Equal(t, 1.0, exposureIn(t, keep))
	r, err := RecoverFrom(keep)
	require.NoError(t, err)
	require.NotNil(t, r.InUse)
	assert.Equal(t, os.Getpid(), r.InUse.PID)
	two.AutosaveTo("") // it ends without closing
	r, err = RecoverFrom(keep)
	require.NoError(t, err)
	require.Nil(t, r.InUse)
	assert.Equal(t, 2.0, r.Study.Base.At(1).Exposure)
	again := RecoveredSession(r, "")
	again.AutosaveTo(keep) // as a window does
	require.NoError(t, again.Autosave())
	assert.Equal(t, 1.0, exposureIn(t, keep))
	require.NoError(t, again.SaveAs(filepath.Join(t.TempDir(), "a"+Ending)))
	require.NoError(t, one.Close())
	entries, err := os.ReadDir(filepath.Dir(keep))
	require.NoError(t, err)
	assert.Empty(t, entries)
}

// Names that leave no room for an ending: the study is saved, kept and found all the same.
func TestLongNames(t *testing.T) {
	for _, length := range []int{200, 236, 237, 244, 245} {
		path := filepath.Join(t.TempDir(), strings.Repeat("x", length)+Ending)
		require.LessOrEqual(t, len(filepath.Base(path)), longestName)
		s := NewSession(transect(t), "")
		require.NoError(t, s.SaveAs(path), length)
		require.NoError(t, s.Edit("expose", expose(1)))
		require.NoError(t, s.Autosave())
		s.AutosaveTo("") // it ends without closing
		r, err := Recover(path)
		require.NoError(t, err)
		require.NotNil(t, r, length)
		other := NewSession(transect(t), path)
		other.LeaveOffered()
		require.NoError(t, other.Edit("expose", expose(2)))
		require.NoError(t, other.Autosave())
		require.NoError(t, other.Save())
		require.NoError(t, other.Close())
		for _, name := range []string{AutosavePath(path), LockPath(path), LockPath(autosaveNumber(AutosavePath(path), 2)), nextTo(AutosavePath(path), EarlierEnding)} {
			assert.LessOrEqual(t, len(filepath.Base(name)), longestName)
		}
		again := RecoveredSession(r, path)
		require.NoError(t, again.SaveOver())
		assert.Equal(t, 1.0, exposureIn(t, path))
	}
	assert.Equal(t, "/a/b.halocline.autosave", filepath.ToSlash(AutosavePath("/a/b.halocline")), "as it was where there is room")
	a, b := strings.Repeat("x", 250), strings.Repeat("x", 249)+"y"
	assert.NotEqual(t, AutosavePath(a), AutosavePath(b))
}

func TestShortened(t *testing.T) {
	path := filepath.FromSlash("/films/2026/whale shark/day 3/transect.halocline")
	assert.Equal(t, path, Shortened(path, len(path)))
	assert.Equal(t, filepath.FromSlash("/films/2026/wha…/transect.halocline"), Shortened(path, 35))
	assert.Equal(t, filepath.FromSlash("…/transect.halocline"), Shortened(path, 20))
	assert.Equal(t, "transec…alocline", Shortened(path, 16))
	assert.Equal(t, "t…e", Shortened(path, 0))
	assert.Equal(t, filepath.FromSlash("/Tauchgänge/…/ä.png"), Shortened(filepath.FromSlash("/Tauchgänge/größe/ä.png"), 19))
	for n := 3; n < 60; n++ {
		assert.LessOrEqual(t, len([]rune(Shortened(path, n))), n)
	}
}
