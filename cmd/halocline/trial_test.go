//go:build unix

package main_test

import (
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seam waits until the trial's seam is known, and returns its figures and the
// softness of least misfit.
func (s *screen) seam() (rim, bleed, misfit, softness float64) {
	s.t.Helper()
	_, err := fmt.Sscan(s.await("seam"), &rim, &bleed, &misfit, &softness)
	require.NoError(s.t, err)
	s.await("settled")
	return rim, bleed, misfit, softness
}

// TestATrialWithMouseAndKeyboard does on the sample what a user does to try a
// grade: turn a control, look at the frame without it as long as a key is held,
// read how its edge shows, soften as is offered, undo, and write the numbers as a
// file, which the command line reads.
func TestATrialWithMouseAndKeyboard(t *testing.T) {
	window, batch := programs(t)
	s := newScreen(t, image.Pt(1280, 800))
	s.start(window)
	view := s.where("viewer", "")
	frame := image.Rect(view.x, view.y, view.x+view.w, view.y+view.h).Inset(40)
	s.key("ctrl+5")
	s.appears("row", "Lightness")
	row := s.where("row", "Lightness")
	knob := image.Pt(row.x+108+(row.w-108-88)/2, row.y+row.h/2)
	s.drag(knob, knob.Add(image.Pt(30, 0)))
	s.await("did Trial: Lightness")
	rim, _, misfit, softness := s.seam()
	assert.Positive(t, rim)
	assert.Positive(t, softness)

	with := s.picture()
	s.run("xdotool", "keydown", "t")
	s.until("the frame without its trial", func() bool { return differ(with, s.picture(), frame) > 500 })
	s.run("xdotool", "keyup", "t")
	s.until("and with it again", func() bool { return differ(with, s.picture(), frame) == 0 })
	s.key("shift+t")
	s.await("settled")
	s.until("the band along the edge", func() bool { return differ(with, s.picture(), frame) > 200 })

	s.click(s.where("button", "Soften").middle())
	s.await("did Soften: least misfit")
	softer, _, less, _ := s.seam()
	assert.Less(t, less, misfit)
	assert.Less(t, softer, rim)
	s.key("ctrl+z")
	s.await("travelled")
	again, _, _, _ := s.seam()
	assert.Equal(t, rim, again)

	folder := t.TempDir()
	s.key("ctrl+5")
	s.appears("button", "Write…")
	s.click(s.where("button", "Write…").middle())
	s.appears("entry", "")
	s.replaceText(s.where("entry", ""), folder)
	s.key("Tab", "Tab", "ctrl+a")
	s.typeText("warm.ccc")
	s.key("Return")
	file := filepath.Join(folder, "warm.ccc")
	s.until("the file", func() bool { _, err := os.Stat(file); return err == nil })
	s.key("ctrl+s")
	s.appears("button", "Save")
	s.replaceText(s.where("entry", ""), folder)
	s.key("Tab", "Tab", "ctrl+a")
	s.typeText("reef.halocline")
	s.key("Return")
	s.await("saved")
	s.close()
	out, err := exec.Command(batch, "cdl", filepath.Join(folder, "reef.halocline"), "--matte", "skin", "--file", file).CombinedOutput()
	require.NoError(t, err, "%s", out)
}
