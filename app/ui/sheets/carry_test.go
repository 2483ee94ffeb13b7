package sheets

import (
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/app/work"
)

// Of a folder with movies each is a clip; another folder is one itself.
func TestAFolderOfMovies(t *testing.T) {
	wk, err := work.Open(t.Context(), stage.Discs(t, 1))
	require.NoError(t, err)
	s, _ := sheetsOf(t, wk)
	folder := t.TempDir()
	for _, name := range []string{"reef.mov", "wall.mp4", "notes.txt"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), nil, 0o666))
	}
	fyne.DoAndWait(func() {
		k := s.newCarry(nil, nil)
		k.addFolder(folder)
		require.Len(t, k.clips, 2)
		assert.Equal(t, filepath.Join(folder, "reef.mov"), k.clips[0].path)
		k.addFolder(wk.Clip.Path(wk.Clip.First()))
		require.Len(t, k.clips, 3)
	})
	assert.True(t, startsWith(s, "3 clips"))
}

// Three clips: a line for each; one cannot be read, one has a study already; the third's study opens.
func TestCarryInTheWindow(t *testing.T) {
	wk, err := work.Open(t.Context(), stage.Discs(t, 3))
	require.NoError(t, err)
	stage.AddDisc(wk.Study)
	s, h := sheetsOf(t, wk)
	good, taken := stage.Discs(t, 2), stage.Discs(t, 2)
	there := filepath.Join(taken, "disc.halocline")
	require.NoError(t, os.WriteFile(there, []byte("somebody's"), 0o666))
	bad := filepath.Join(t.TempDir(), "notes.txt")
	require.NoError(t, os.WriteFile(bad, []byte("seagrass"), 0o666))

	opened := ""
	var k *carrySheet
	fyne.DoAndWait(func() { k = s.newCarry([]string{".png"}, func(path string) { opened = path }) })
	assert.True(t, h.Button(t, "Carry").Disabled(), "no clip yet")
	fyne.DoAndWait(func() {
		for _, path := range []string{good, bad, taken, good} {
			k.addClip(path)
		}
	})
	require.Len(t, k.clips, 3, "each once")
	assert.True(t, startsWith(s, "3 clips"))
	h.PressOn(t, h.Button(t, "Carry"))
	stage.Eventually(t, "three lines", func() bool {
		return startsWith(s, "disc: light shifted by 0.") && startsWith(s, "notes.txt: ") && startsWith(s, filepath.Base(taken)+": ")
	})
	stage.Eventually(t, "the end", func() bool { return startsWith(s, "2 clips") })
	assert.True(t, startsWith(s, "All picks suit it"))
	text, err := os.ReadFile(there)
	require.NoError(t, err)
	assert.Equal(t, "somebody's", string(text))
	made := filepath.Join(good, "disc.halocline")
	m, err := study.Load(made)
	require.NoError(t, err)
	assert.Equal(t, "disc", m.Mattes[0].Carried.From)

	buttons := stage.Seen(s.win.Canvas(), func(b *look.Button) bool { return b.Label() == "Open" })
	require.Len(t, buttons, 1)
	h.PressOn(t, buttons[0])
	assert.Equal(t, made, opened)
	assert.False(t, s.IsOpen())
}
