package motion

import (
	"bytes"
	"encoding/binary"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// python returns a Python that has OpenCV.
func python(b *testing.B) string {
	b.Helper()
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import cv2").Run() == nil {
			return name
		}
	}
	b.Skip("no Python with OpenCV; sh .ci/setup bench installs it")
	return ""
}

// openCV is the flow by OpenCV's inverse search on one thread, from 8-bit codes, and how
// many ms it took at least.
func openCV(b *testing.B, preset string, from, to colour.Plane, runs int) (at func(x, y int) (dx, dy float32), ms float64) {
	b.Helper()
	var input []byte
	for _, p := range []colour.Plane{from, to} {
		for _, v := range p.Pix {
			input = append(input, byte(min(max(255*v, 0), 255)+0.5))
		}
	}
	run := exec.Command(python(b), "testdata/opencv.py", strconv.Itoa(from.W), strconv.Itoa(from.H), preset, strconv.Itoa(runs))
	var said strings.Builder
	run.Stdin, run.Stderr = bytes.NewReader(input), &said
	out, err := run.Output()
	require.NoError(b, err, said.String())
	ms, err = strconv.ParseFloat(strings.TrimSpace(said.String()), 64)
	require.NoError(b, err)
	require.Len(b, out, 8*from.W*from.H)
	return func(x, y int) (dx, dy float32) {
		i := 8 * (y*from.W + x)
		word := func(i int) float32 { return math.Float32frombits(binary.LittleEndian.Uint32(out[i:])) }
		return word(i), word(i + 4)
	}, ms
}
