//go:build unix

package main_test

import (
	"bytes"
	"encoding/json"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// A shown is a line of a trace: a picture that was shown.
type shown struct {
	Kind              string
	Frame, Factor     int
	Draft             bool
	At, Render, Drawn float64 // ms
	Shown             float64 // ms after At
}

// firsts are the first pictures of a kind that were shown of each frame.
func firsts(t *testing.T, trace []byte, kind string) (all []shown) {
	t.Helper()
	for line := range bytes.Lines(trace) {
		var s shown
		require.NoError(t, json.Unmarshal(line, &s), "%s", line)
		if s.Kind == kind && (len(all) == 0 || all[len(all)-1].At != s.At) {
			all = append(all, s)
		}
	}
	return all
}

// share returns the value below which a share of the pictures lies.
func share(all []shown, of float64, value func(shown) float64) float64 {
	var v []float64
	for _, s := range all {
		v = append(v, value(s))
	}
	slices.Sort(v)
	return v[min(int(of*float64(len(v))), len(v)-1)]
}

// TestFiguresOfTime logs how fast a 1080p H.264 movie plays, is scrubbed and
// gone through frame by frame, by the trace. It judges nothing, takes half a minute, and says
// something on an idle machine alone: HALOCLINE_FIGURES asks for it.
func TestFiguresOfTime(t *testing.T) {
	if os.Getenv("HALOCLINE_FIGURES") == "" {
		t.Skip("HALOCLINE_FIGURES not set")
	}
	window, batch := programs(t)
	folder := t.TempDir()
	out, err := exec.Command(batch, "sample", folder, "--size", "1920x1080", "--frames", "12").CombinedOutput()
	require.NoError(t, err, "%s", out)
	movie := filepath.Join(folder, "dive.mp4")
	out, err = exec.Command("ffmpeg", "-loglevel", "error", "-stream_loop", "15", "-framerate", "25", "-start_number", "1", "-i", filepath.Join(folder, "frames", "%06d.png"),
		"-vf", "noise=alls=6:allf=t", "-c:v", "libx264", "-preset", "veryfast", "-b:v", "20M", "-g", "50", "-bf", "2", "-pix_fmt", "yuv420p", movie).CombinedOutput()
	require.NoError(t, err, "%s", out)
	s := newScreen(t, image.Pt(1280, 800))
	path := filepath.Join(s.home, "trace")
	s.start(window, "--trace", path, movie)
	s.key("ctrl+n")
	s.await("did New matte")
	s.await("found")
	for _, view := range []string{"1", "2", "3"} {
		s.key(view)
		time.Sleep(time.Second)
		s.key("ctrl+Home", "space")
		s.await("playing")
		time.Sleep(5 * time.Second)
		s.key("space")
		s.await("stopped")
		s.await("found")
		s.figures(path, "play", view)
		for range 20 {
			s.key("comma")
			time.Sleep(300 * time.Millisecond)
		}
		s.await("found")
		s.figures(path, "frame", view)
		ruler := s.where("ruler", "")
		s.move(image.Pt(ruler.x, ruler.y+4))
		s.run("xdotool", "mousedown", "1")
		for i := range 80 {
			s.run("xdotool", "mousemove", "--window", s.window, strconv.Itoa(ruler.x+ruler.w*i/100), strconv.Itoa(ruler.y+4))
			time.Sleep(20 * time.Millisecond)
		}
		s.run("xdotool", "mouseup", "1")
		s.await("found")
		s.figures(path, "scrub", view)
	}
}

// figures logs what the trace says of the pictures of a kind, and empties it.
func (s *screen) figures(path, kind, view string) {
	s.t.Helper()
	trace, err := os.ReadFile(path)
	require.NoError(s.t, err)
	all := firsts(s.t, bytes.TrimLeft(trace, "\x00"), kind)
	require.NoError(s.t, os.Truncate(path, 0))
	if len(all) < 2 {
		s.t.Logf("view %s, %s: %d pictures", view, kind, len(all))
		return
	}
	seconds := (all[len(all)-1].At - all[0].At) / 1000
	s.t.Logf("view %s, %s: %d pictures, %.1f a second; shown after median %.0f ms, p95 %.0f ms; rendered median %.0f ms", view, kind, len(all), float64(len(all)-1)/seconds,
		share(all, 0.5, func(s shown) float64 { return s.Shown }), share(all, 0.95, func(s shown) float64 { return s.Shown }), share(all, 0.5, func(s shown) float64 { return s.Drawn }))
}
