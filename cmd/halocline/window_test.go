//go:build unix

package main_test

import (
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// binFolder holds the built programs while the tests run.
var binFolder string

// TestMain gives the programs a folder, which it takes away last.
func TestMain(m *testing.M) {
	os.Exit(withBinFolder(m.Run))
}

func withBinFolder(run func() int) int {
	var err error
	if binFolder, err = os.MkdirTemp("", "halocline-programs"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(binFolder)
	return run()
}

// build builds the window and the command line, once for all tests.
var build = sync.OnceValues(func() ([]byte, error) {
	return exec.Command("go", "build", "-o", binFolder+string(filepath.Separator), "halocline/cmd/halocline", "halocline/cmd/halocline-batch").CombinedOutput()
})

// programs returns the paths of the built window and command line.
func programs(t *testing.T) (window, batch string) {
	t.Helper()
	out, err := build()
	require.NoError(t, err, "%s", out)
	return filepath.Join(binFolder, "halocline"), filepath.Join(binFolder, "halocline-batch")
}

// TestTheWholeJobWithMouseAndKeyboard does on the sample what a user does: tune,
// dab, suggest, draw a mask, bend it, undo and redo, save, open again, export.
// What is exported must be what the command line exports, byte for byte.
func TestTheWholeJobWithMouseAndKeyboard(t *testing.T) {
	window, batch := programs(t)
	s := newScreen(t, image.Pt(1280, 800))
	s.start(window)
	view := s.where("viewer", "")
	frame := image.Rect(view.x, view.y, view.x+view.w, view.y+view.h).Inset(40)
	at := func(u, v float64) image.Point {
		return image.Pt(view.x+int(u*float64(view.w)), view.y+int(v*float64(view.h)))
	}

	s.key("2") // the matte itself
	s.await("shown")
	before := s.picture()
	line := s.where("handle", "hue from")
	s.drag(line.middle(), line.middle().Add(image.Pt(-40, 0)))
	s.await("did Range")
	s.await("found")
	assert.Greater(t, differ(before, s.picture(), frame), 200, "the matte changes with the line")

	s.click(at(0.52, 0.40))
	s.await("did Keep dab")
	s.button(at(0.35, 0.75), 3)
	s.await("did Drop dab")
	s.await("found")
	s.key("ctrl+t")
	s.appears("button", "Take it")
	s.click(s.where("button", "Take it").middle())
	s.await("did Suggest from dabs")

	s.key("ctrl+m")
	for _, p := range [][2]float64{{0.3, 0.3}, {0.7, 0.3}, {0.8, 0.6}, {0.5, 0.8}, {0.2, 0.6}} {
		s.click(at(p[0], p[1]))
	}
	s.key("Return")
	s.await("did New keep mask")
	s.await("found")
	feather := s.where("row", "Feather outward")
	rail := image.Pt(feather.x+feather.w*45/100, feather.y+feather.h/2)
	s.drag(rail, rail.Add(image.Pt(30, 0)))
	s.await("did Feather outward")
	s.await("found")
	turn := s.where("handle", "turn")
	s.drag(turn.middle(), turn.middle().Add(image.Pt(60, 30)))
	s.await("did Rotate mask")
	s.await("found")

	const edits = 7
	for range edits {
		s.key("ctrl+z")
		s.await("travelled")
	}
	for range edits {
		s.key("ctrl+shift+z")
		s.await("travelled")
	}
	s.await("found")

	folder := t.TempDir()
	s.key("ctrl+s")
	s.appears("button", "Save")
	s.replaceText(s.where("entry", ""), folder)
	s.key("Tab", "Tab", "ctrl+a")
	s.typeText("reef.halocline")
	s.key("Return")
	assert.Equal(t, filepath.Join(folder, "reef.halocline"), s.await("saved"))
	s.close()

	s.start(window, filepath.Join(folder, "reef.halocline"))
	s.key("ctrl+e")
	s.appears("button", "Export")
	out := filepath.Join(folder, "by-window")
	s.replaceText(s.where("entry", ""), out)
	s.click(s.where("button", "Export").middle())
	s.await("exported 1")
	s.key("Escape")
	s.close()

	export := exec.Command(batch, "export", filepath.Join(folder, "reef.halocline"), "--matte", "skin", "--out", filepath.Join(folder, "by-batch"))
	text, err := export.CombinedOutput()
	require.NoError(t, err, "%s", text)
	sameFiles(t, out, filepath.Join(folder, "by-batch"))
}

// sameFiles asserts that two folders hold the same pictures.
func sameFiles(t *testing.T, a, b string) {
	t.Helper()
	pictures, err := filepath.Glob(filepath.Join(a, "*", "*.png"))
	require.NoError(t, err)
	require.NotEmpty(t, pictures)
	for _, p := range pictures {
		rel, err := filepath.Rel(a, p)
		require.NoError(t, err)
		want, err := os.ReadFile(filepath.Join(b, rel))
		require.NoError(t, err)
		got, err := os.ReadFile(p)
		require.NoError(t, err)
		assert.True(t, string(want) == string(got), "%s: %s bytes by the window, %s by the command line, want the same", rel, strconv.Itoa(len(got)), strconv.Itoa(len(want)))
	}
}

// TestWithoutADisplay says in one line what to use instead.
func TestWithoutADisplay(t *testing.T) {
	window, _ := programs(t)
	c := exec.Command(window)
	c.Env = append(os.Environ(), "DISPLAY=", "WAYLAND_DISPLAY=", "LANG=en_GB.UTF-8")
	out, err := c.CombinedOutput()
	var exit *exec.ExitError
	require.ErrorAs(t, err, &exit)
	assert.Equal(t, 1, exit.ExitCode())
	assert.Equal(t, "halocline: there is no display to open a window on; the same work without one: halocline-batch demo\n", string(out))
}

// TestADisplayThatCannotBeReached ends in a line too, not in a trace of calls.
func TestADisplayThatCannotBeReached(t *testing.T) {
	window, _ := programs(t)
	c := exec.Command(window)
	c.Env = append(os.Environ(), "DISPLAY=:98765", "WAYLAND_DISPLAY=", "LANG=en_GB.UTF-8", "XDG_CONFIG_HOME="+t.TempDir())
	out, err := c.CombinedOutput()
	var exit *exec.ExitError
	require.ErrorAs(t, err, &exit, "%s", out)
	assert.Equal(t, 1, exit.ExitCode(), "%s", out)
	assert.Contains(t, string(out), "halocline: no window can be opened")
	assert.NotContains(t, string(out), "goroutine")
}
