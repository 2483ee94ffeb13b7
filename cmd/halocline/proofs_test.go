//go:build unix

package main_test

import (
	"encoding/csv"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// TestProofsWithMouseAndKeyboard tunes a trial on the sample, sweeps its softness,
// sorts, uses one, undoes that, keeps a proof, goes back to it, and writes sheet and
// figures.
func TestProofsWithMouseAndKeyboard(t *testing.T) {
	window, _ := programs(t)
	s := newScreen(t, image.Pt(1280, 800))
	s.start(window)
	folder := t.TempDir()

	// A trial, by its rows.
	s.key("ctrl+5")
	s.appears("row", "Lightness")
	rail := func(name string, by int) {
		row := s.where("row", name)
		at := image.Pt(row.x+row.w*50/100, row.y+row.h/2)
		s.drag(at, at.Add(image.Pt(by, 0)))
		s.await("did ")
		s.await("found")
	}
	rail("Lightness", 20)
	rail("Blue", 20)

	// The sheet sweeps softness. The arrows choose, the figures sort.
	s.click(s.where("button", "Proofs").middle())
	s.await("proofs worked out")
	s.appears("proof", "soften 12 px")
	shown := s.picture()
	s.click(s.where("proof", "soften 12 px").middle())
	s.until("what is chosen is seen", func() bool { return differ(shown, s.picture(), shown.Bounds()) > 500 })
	s.click(s.where("select", "Sort: as they are").middle())
	s.key("Down", "Down", "Down", "Down", "Return") // edge width
	s.appears("select", "Sort: edge width")

	// Sheet and figures.
	write := func(button, name string) string {
		path := filepath.Join(folder, name)
		s.click(s.where("button", button).middle())
		s.appears("button", "Back")
		s.key("ctrl+a")
		s.typeText(path)
		s.key("Return")
		require.Equal(t, path, s.await("wrote"))
		s.await("settled")
		return path
	}
	table := write("Figures as CSV", "figures.csv")
	sheet := write("Sheet as PNG", "sheet.png")
	f, err := os.Open(table)
	require.NoError(t, err)
	defer f.Close()
	lines, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(lines), 7)
	column := map[string]int{}
	for i, name := range lines[0] {
		column[name] = i
	}
	for i, line := range lines[1:] {
		for _, name := range []string{"rim (dE00)", "bleed (dE00)", "misfit (dE00)"} {
			_, err := strconv.ParseFloat(line[column[name]], 64)
			require.NoError(t, err, "there is a trial")
		}
		width, err := strconv.ParseFloat(line[column["edge width (px)"]], 64)
		require.NoError(t, err)
		if i > 0 {
			before, _ := strconv.ParseFloat(lines[i][column["edge width (px)"]], 64)
			require.GreaterOrEqual(t, width, before, "in the sheet's order")
		}
	}
	m, err := os.Open(sheet)
	require.NoError(t, err)
	defer m.Close()
	picture, err := png.Decode(m)
	require.NoError(t, err)
	require.Greater(t, picture.Bounds().Dx(), 1400)

	// One is used, and that is undone.
	s.click(s.where("proof", "soften 12 px").middle()) // it is chosen already: the grid has the keyboard
	s.key("Return")
	assert.Equal(t, "Use soften 12 px", s.await("did"))
	s.await("found")
	s.key("ctrl+z")
	s.await("travelled")
	s.await("found")

	// A proof is kept; after a change it is gone back to.
	s.key("ctrl+shift+p")
	assert.Equal(t, "Keep as proof", s.await("did"))
	s.await("found")
	s.key("ctrl+4")
	s.appears("row", "Soften")
	rail("Soften", 60)
	s.key("ctrl+p")
	s.await("proofs worked out 2")
	s.appears("proof", "proof 1")
	s.click(s.where("proof", "proof 1").middle())
	s.await("settled")
	s.click(s.where("button", "Use this one").middle())
	assert.Equal(t, "Use proof 1", s.await("did"))
	s.await("found")

	s.key("ctrl+s")
	s.appears("button", "Save")
	s.replaceText(s.where("entry", ""), folder)
	s.key("Tab", "Tab", "ctrl+a")
	s.typeText("reef.halocline")
	s.key("Return")
	path := s.await("saved")
	s.close()
	saved, err := study.Load(path)
	require.NoError(t, err)
	skin := saved.Mattes[0]
	require.Len(t, skin.Proofs, 1)
	assert.Equal(t, skin.Proofs[0].Settings, skin.Settings, "it is the matte's again")
	assert.True(t, skin.Trial.At(saved.Clip.First).Grades())
}
