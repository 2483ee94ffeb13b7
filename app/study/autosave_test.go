package study

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAutosaveAndRecovery(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.halocline")
	s := NewSession(transect(t), "")
	assert.True(t, s.Dirty())
	assert.EqualError(t, s.Save(), "study: it has no file yet, want a name to save it under")
	require.NoError(t, s.Autosave(), "nowhere to keep it: nothing to do")
	require.NoError(t, s.SaveAs(path))
	assert.False(t, s.Dirty())
	require.NoError(t, s.Autosave())
	assert.NoFileExists(t, AutosavePath(path))

	require.NoError(t, s.Edit("expose", expose(1)))
	assert.True(t, s.Dirty())
	require.NoError(t, s.Autosave())
	r, err := Recover(path)
	require.NoError(t, err)
	require.NotNil(t, r)
	assert.Equal(t, s.Study(), r.Study)
	assert.False(t, r.Older)
	assert.WithinDuration(t, time.Now(), r.Time, time.Minute)
	old := time.Now().Add(-time.Hour)
	require.NoError(t, os.Chtimes(AutosavePath(path), old, old))
	require.NoError(t, s.Autosave())
	info, err := os.Stat(AutosavePath(path))
	require.NoError(t, err)
	assert.WithinDuration(t, old, info.ModTime(), time.Minute, "what is kept is not written again")
	require.NoError(t, os.Chtimes(AutosavePath(path), time.Time{}, time.Now()))
	s.AutosaveTo("") // it ends without closing
	r, err = Recover(path)
	require.NoError(t, err)

	// Crash, recover, save.
	again := RecoveredSession(r, path)
	assert.True(t, again.Dirty())
	assert.Equal(t, path, again.Path())
	require.NoError(t, again.Autosave())
	assert.FileExists(t, AutosavePath(path))
	require.NoError(t, again.Save())
	assert.NoFileExists(t, AutosavePath(path))
	r, err = Recover(path)
	assert.NoError(t, err)
	assert.Nil(t, r)
	got, err := Load(path)
	require.NoError(t, err)
	assert.Equal(t, again.Study(), got)
}

func TestAutosaveGoesWhenNothingIsUnsaved(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.halocline")
	s := NewSession(transect(t), "")
	require.NoError(t, s.SaveAs(path))
	require.NoError(t, s.Edit("expose", expose(1)))
	require.NoError(t, s.Autosave())
	require.True(t, s.Undo())
	assert.False(t, s.Dirty(), "undone back to what is saved")
	require.NoError(t, s.Autosave())
	assert.NoFileExists(t, AutosavePath(path))

	require.True(t, s.Redo())
	require.NoError(t, s.Autosave())
	assert.FileExists(t, AutosavePath(path))
	require.NoError(t, s.Close())
	assert.NoFileExists(t, AutosavePath(path))
	require.NoError(t, s.Autosave())
	assert.NoFileExists(t, AutosavePath(path), "a closed session keeps nothing")
}

// Opening a study must not cost the unsaved work that lies beside it.
func TestOpeningLeavesRecoveryAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.halocline")
	require.NoError(t, Save(path, transect(t)))
	require.NoError(t, os.WriteFile(AutosavePath(path), []byte("{"), 0o644))
	s, err := Load(path)
	require.NoError(t, err)
	require.NoError(t, NewSession(s, path).Autosave())
	_, err = Recover(path)
	assert.ErrorContains(t, err, "a.halocline.autosave: line 1, column 2: the file ends in the middle")
	old := time.Now().Add(-time.Hour)
	require.NoError(t, Save(AutosavePath(path), s))
	require.NoError(t, os.Chtimes(AutosavePath(path), old, old))
	r, err := Recover(path)
	require.NoError(t, err)
	assert.True(t, r.Older)
}

func TestAutosaveWithoutAFile(t *testing.T) {
	keep := filepath.Join(t.TempDir(), "untitled.autosave")
	s := NewSession(transect(t), "")
	s.AutosaveTo(keep)
	require.NoError(t, s.Autosave())
	r, err := RecoverFrom(keep)
	require.NoError(t, err)
	assert.Equal(t, s.Study(), r.Study)
	require.NoError(t, s.SaveAs(filepath.Join(t.TempDir(), "a.halocline")))
	assert.NoFileExists(t, keep)
}

func TestAutosaveEvery(t *testing.T) {
	path := filepath.Join(t.TempDir(), "none", "a.halocline")
	s := NewSession(transect(t), path)
	require.NoError(t, s.Edit("expose", expose(1)))
	ctx, cancel := context.WithCancel(context.Background())
	var reported error
	s.AutosaveEvery(ctx, time.Millisecond, func(err error) {
		reported = err
		cancel()
	})
	assert.ErrorContains(t, reported, "its folder takes no new file")
}

// killed is where the writing process below works.
const killed = "HALOCLINE_TEST_KILLED_IN"

// TestWriterToKill is not a test but the process that the next one kills: it
// edits, saves and autosaves as fast as it can.
func TestWriterToKill(t *testing.T) {
	folder := os.Getenv(killed)
	if folder == "" {
		t.Skip("only as a process of TestKilledWriter")
	}
	path := filepath.Join(folder, "a.halocline")
	s := NewSession(big(t), "")
	for i := 0; ; i++ {
		require.NoError(t, s.SaveAs(path))
		require.NoError(t, s.Edit("note", func(d *Study) error {
			d.Mattes[0].Note = strings.Repeat(fmt.Sprint(i, " "), 1+i%5000)
			return nil
		}))
		require.NoError(t, s.Autosave())
	}
}

// big is a study that takes several writes.
func big(t testing.TB) *Study {
	s := transect(t)
	m := s.Mattes[0].Mask(3)
	for f := range 200 {
		m.SetKey(square(100+f, float64(f)/3, float64(f)/7, 90))
	}
	return s
}

// A process killed at any moment (SIGKILL) leaves a study that loads, unsaved
// work that loads or none, and nothing half under a final name.
// HALOCLINE_KILLS sets how often, 20 times by default.
func TestKilledWriter(t *testing.T) {
	kills := 20
	if testing.Short() {
		kills = 3
	}
	if n, err := strconv.Atoi(os.Getenv("HALOCLINE_KILLS")); err == nil {
		kills = n
	}
	r := rand.New(rand.NewPCG(9, 9))
	folder := t.TempDir()
	path := filepath.Join(folder, "a.halocline")
	parts, kept := map[string]bool{}, 0
	for range kills {
		writeAndKill(t, folder, path, time.Duration(r.IntN(40_000))*time.Microsecond)
		_, err := Load(path)
		require.NoError(t, err)
		unsaved, err := Recover(path)
		require.NoError(t, err)
		if unsaved != nil {
			kept++
		}
		entries, err := os.ReadDir(folder)
		require.NoError(t, err)
		now := 0
		for _, e := range entries {
			name := filepath.Join(folder, e.Name())
			part, err := filepath.Match(PartPattern, e.Name())
			require.NoError(t, err)
			switch {
			case name == path || name == AutosavePath(path):
			case name == LockPath(path) || name == LockPath(AutosavePath(path)): // of the killed: the next one takes them over
			case part:
				now++
				parts[e.Name()] = true
			default:
				require.Fail(t, "unexpected file", e.Name())
			}
		}
		require.LessOrEqual(t, now, 2, "a write of the study, and one of the unsaved work: the next removes what is left of the one before")
	}
	t.Logf("%d kills: %d in the middle of a write, %d with unsaved work kept", kills, len(parts), kept)
}

// writeAndKill runs the writing process and kills it some time after its first
// finished save.
func writeAndKill(t *testing.T, folder, path string, after time.Duration) {
	t.Helper()
	os.Remove(path)
	child := exec.Command(os.Args[0], "-test.run=^TestWriterToKill$")
	child.Env = append(os.Environ(), killed+"="+folder)
	require.NoError(t, child.Start())
	for deadline := time.Now().Add(20 * time.Second); ; time.Sleep(time.Millisecond) {
		if _, err := os.Stat(path); err == nil {
			break
		}
		require.True(t, time.Now().Before(deadline), "the writing process never saved")
	}
	time.Sleep(after)
	require.NoError(t, child.Process.Kill())
	require.Error(t, child.Wait(), "the writing process ended by itself")
}

// A session in which work is restored removes what it was restored from as it
// closes; another in which it is restored keeps it again, and a crash loses nothing.
func TestRestoredWorkIsKeptAgain(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a"+Ending)
	work := transect(t)
	require.NoError(t, Save(AutosavePath(path), work))
	r, err := Recover(path)
	require.NoError(t, err)
	require.NoError(t, NewSession(work, path).Close())
	assert.FileExists(t, AutosavePath(path), "a session that has not taken it up leaves it")
	first := RecoveredSession(r, path)
	require.NoError(t, first.Close())
	assert.NoFileExists(t, AutosavePath(path))
	require.NoError(t, RecoveredSession(r, path).Autosave())
	again, err := Recover(path)
	require.NoError(t, err)
	require.NotNil(t, again)
	assert.Equal(t, r.Study, again.Study)
}
