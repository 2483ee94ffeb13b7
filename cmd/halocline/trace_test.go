//go:build unix

package main_test

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"image"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// frameBuffer reads what is on the screen from the file in which the X server
// keeps it: an XWD picture (X11/XWDFile.h) of 32 bits a pixel.
type frameBuffer struct {
	file   *os.File
	first  int64 // of the pixels
	stride int64
}

func (s *screen) frameBuffer() *frameBuffer {
	s.t.Helper()
	file, err := os.Open(filepath.Join(s.home, "Xvfb_screen0"))
	require.NoError(s.t, err)
	s.t.Cleanup(func() { file.Close() })
	head := make([]byte, 100)
	_, err = file.ReadAt(head, 0)
	require.NoError(s.t, err)
	word := func(i int) int64 { return int64(binary.BigEndian.Uint32(head[4*i:])) }
	require.EqualValues(s.t, 32, word(11), "bits a pixel")
	const colour = 12 // bytes of an entry of the colour map
	return &frameBuffer{file, word(0) + word(19)*colour, word(12)}
}

// part reads the pixels of an area.
func (f *frameBuffer) part(t *testing.T, r image.Rectangle) []byte {
	t.Helper()
	out := make([]byte, 0, 4*r.Dx()*r.Dy())
	row := make([]byte, 4*r.Dx())
	for y := r.Min.Y; y < r.Max.Y; y++ {
		_, err := f.file.ReadAt(row, f.first+int64(y)*f.stride+4*int64(r.Min.X))
		require.NoError(t, err)
		out = append(out, row...)
	}
	return out
}

// A traceLine is one line of a trace; times are in milliseconds.
type traceLine struct {
	Render, Drawn, Shown float64
	Factor               int
}

// TestTheTraceTellsOfTheScreen moves a line of the field bit by bit and looks at
// the screen itself: every move that changes pixels of the frame has its line
// in the trace. It logs how long both say it took; it does not judge that, as a
// machine may be busy.
func TestTheTraceTellsOfTheScreen(t *testing.T) {
	window, _ := programs(t)
	s := newScreen(t, image.Pt(1280, 800))
	path := filepath.Join(s.home, "trace")
	s.start(window, "--trace", path)
	s.key("2")
	s.await("settled")
	view := s.where("viewer", "")
	area := image.Rect(view.x+40, view.y+120, view.x+view.w-40, view.y+view.h-160)
	screen := s.frameBuffer()
	line := s.where("handle", "hue from").middle()
	s.move(line)
	s.run("xdotool", "mousedown", "1")
	var seen []float64
	for i := 1; i <= 20; i++ {
		before := screen.part(t, area)
		s.overtake() // a picture from before the move may be told late
		start := time.Now()
		s.move(line.Add(image.Pt(-3*i, 0)))
		s.until("another picture", func() bool { return !bytes.Equal(before, screen.part(t, area)) })
		seen = append(seen, float64(time.Since(start).Microseconds())/1000)
		s.await("shown")
	}
	s.run("xdotool", "mouseup", "1")
	s.await("did Range")
	s.key("alt+F4")
	s.appears("button", "Discard")
	s.click(s.where("button", "Discard").middle())
	s.ended()

	all := readTrace(t, path)
	require.GreaterOrEqual(t, len(all), len(seen), "a line for each move")
	var told []float64
	for _, st := range all {
		assert.Positive(t, st.Shown)
		assert.GreaterOrEqual(t, st.Shown, st.Drawn)
		assert.GreaterOrEqual(t, st.Drawn, st.Render)
		told = append(told, st.Shown)
	}
	slices.Sort(seen)
	slices.Sort(told)
	t.Logf("from the move to new pixels on the screen, xdotool's own time within: median %.0f ms; the trace says %.0f ms", seen[len(seen)/2], told[len(told)/2])
}

func readTrace(t *testing.T, path string) (out []traceLine) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	for line := range bytes.Lines(text) {
		var st traceLine
		require.NoError(t, json.Unmarshal(line, &st), "%s", line)
		out = append(out, st)
	}
	return out
}
