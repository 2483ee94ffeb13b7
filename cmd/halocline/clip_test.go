//go:build unix

package main_test

import (
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// drawnFrames is how many frames of the scene a made movie goes through, forth and back:
// without a jump, and without a second of work for each of its frames.
const drawnFrames = 12

// madeMovie is a movie of so many times drawnFrames frames, of the demo scene forth and
// back, at 25 a second.
func madeMovie(t *testing.T, batch string, turns int) string {
	t.Helper()
	ffmpeg, err := exec.LookPath("ffmpeg")
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ffmpeg is missing: sh .ci/setup test")
		}
		t.Skip("ffmpeg is missing: sh .ci/setup test installs it")
	}
	folder := t.TempDir()
	out, err := exec.Command(batch, "sample", folder, "--size", "480x270", "--frames", fmt.Sprint(drawnFrames)).CombinedOutput()
	require.NoError(t, err, "%s", out)
	movie := filepath.Join(folder, "dive.mp4")
	make := exec.Command(ffmpeg, "-loglevel", "error", "-framerate", "25", "-start_number", "1", "-i", filepath.Join(folder, "frames", "%06d.png"),
		"-vf", fmt.Sprintf("split[forth][again];[again]reverse[back];[forth][back]concat,loop=loop=-1:size=%d", 2*drawnFrames),
		"-frames:v", fmt.Sprint(turns*drawnFrames),
		"-c:v", "libx264", "-preset", "veryfast", "-crf", "16", "-g", "24", "-bf", "2", "-pix_fmt", "yuv420p", movie)
	out, err = make.CombinedOutput()
	require.NoError(t, err, "%s", out)
	return movie
}

// goTo goes to a frame by its number.
func (s *screen) goTo(frame int) {
	s.key("ctrl+j")
	s.appears("button", "Go")
	s.typeText(fmt.Sprint(frame)) // over the number that is marked
	s.key("Return")
	s.await("found")
	s.await("settled")
}

// judged waits until the clip is judged, and returns its worst frame and how bad
// that is.
func (s *screen) judged() (frame int, badness float64) {
	var of int
	_, err := fmt.Sscan(s.await("judged"), &of, &frame, &badness)
	require.NoError(s.t, err)
	s.await("settled")
	return frame, badness
}

// TestAClipOverTimeWithMouseAndKeyboard does on a movie what a user does: draw a
// mask, move a vertex elsewhere, which makes a key, look at what lies between,
// play, find the worst frame by the strip, mend it, see the strip improve, export
// a part, and have the files checked.
func TestAClipOverTimeWithMouseAndKeyboard(t *testing.T) {
	window, batch := programs(t)
	movie := madeMovie(t, batch, 4)
	s := newScreen(t, image.Pt(1280, 800))
	s.start(window, movie)
	s.key("ctrl+n")
	s.await("did New matte")
	s.key("ctrl+m")
	view := s.where("viewer", "")
	at := func(u, v float64) image.Point {
		return image.Pt(view.x+int(u*float64(view.w)), view.y+int(v*float64(view.h)))
	}
	for _, p := range [][2]float64{{0.3, 0.3}, {0.7, 0.3}, {0.7, 0.7}, {0.3, 0.7}} {
		s.click(at(p[0], p[1]))
	}
	s.key("Return")
	s.await("did New keep mask")
	s.appears("lane", "keep")
	// As drawn: this mask is about nothing, so that an edge in it would be any.
	tight := s.where("switch", "The line lies on the edge")
	s.replaceText(place{x: tight.x - 70, y: tight.y, w: 20, h: tight.h}, "0")
	s.key("Return")
	s.await("did Edge search")
	s.await("settled")
	s.click(image.Pt(view.x+8, view.y+8)) // the frame has the keyboard again
	s.await("settled")

	centre := func() image.Point { return s.where("handle", "centre").middle() }
	first := centre()
	s.goTo(40)
	s.drag(centre(), centre().Add(image.Pt(80, 0)))
	s.await("did Move mask")
	s.await("settled")
	last := centre()
	assert.InDelta(t, first.X+80, last.X, 4)
	lane := s.where("lane", "keep")
	s.goTo(20)
	assert.InDelta(t, (first.X+last.X)/2, centre().X, 4, "what lies between")

	s.key("space")
	s.await("playing")
	s.await("stopped")

	for _, n := range []int{29, 31} { // hold what is about a key that is far off
		s.goTo(n)
		s.key("a")
		s.await("did Add key")
	}
	s.goTo(30)
	s.drag(centre(), centre().Add(image.Pt(-150, 60)))
	s.await("did Move mask")
	s.await("settled")
	frame, bad := s.judged()
	assert.InDelta(t, 30, frame, 1, "the strip tells where")
	s.goTo(5)
	before := s.picture()
	flag := s.where("flag", "1")
	s.click(flag.middle())
	s.await("found")
	s.await("settled")
	notch := image.Pt(lane.x+lane.w*30/47, lane.y+3)
	s.click(notch)
	s.key("Delete")
	s.await("did Remove key")
	frame, mended := s.judged()
	assert.Less(t, mended, bad, "worst then %d", frame)
	strip := s.where("strip", "")
	assert.Positive(t, differ(before, s.picture(), image.Rect(strip.x, strip.y, strip.x+strip.w, strip.y+strip.h)), "the strip shows it")

	s.goTo(10)
	s.key("ctrl+bracketleft")
	s.goTo(20)
	s.key("ctrl+bracketright")
	s.key("ctrl+e")
	s.appears("button", "Export")
	out := filepath.Join(t.TempDir(), "mattes")
	s.replaceText(s.where("entry", "/"), out)
	s.click(s.where("button", "Export").middle())
	s.await("exported 11")
	s.key("Escape")
	pictures, err := filepath.Glob(filepath.Join(out, "*", "*.png"))
	require.NoError(t, err)
	require.Len(t, pictures, 11)
	for i, p := range pictures {
		assert.True(t, strings.HasSuffix(p, fmt.Sprintf("%06d.png", 10+i)), p)
	}
	text, err := exec.Command(batch, "verify", out).CombinedOutput()
	require.NoError(t, err, "%s", text)
}
