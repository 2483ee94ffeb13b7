package clip

import (
	"bytes"
	"context"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// needPrograms skips a test where the programs that read movies are missing;
// where CI is set it fails.
func needPrograms(t testing.TB) {
	t.Helper()
	for _, name := range []string{prober, decoder} {
		if _, err := exec.LookPath(name); err != nil {
			if os.Getenv("CI") != "" {
				t.Fatalf("%s is missing", name)
			}
			t.Skipf("%s is not on the PATH", name)
		}
	}
}

// needEncoder does so for a part of ffmpeg that some builds lack.
func needEncoder(t testing.TB, name string) {
	t.Helper()
	needPrograms(t)
	out, err := encoders()
	require.NoError(t, err)
	if !bytes.Contains(out, []byte(" "+name+" ")) {
		if os.Getenv("CI") != "" {
			t.Fatalf("ffmpeg has no encoder %s", name)
		}
		t.Skipf("ffmpeg has no encoder %s", name)
	}
}

var encoders = sync.OnceValues(func() ([]byte, error) { return exec.Command(decoder, "-v", "error", "-encoders").Output() })

// all reports whether the long form of tests is asked for.
func all() bool { return os.Getenv("HALOCLINE_ALL") != "" }

// onlyInAll leaves a case to the long form, where others stand for it.
func onlyInAll(t testing.TB, other bool) {
	t.Helper()
	if other && !all() {
		t.Skip("HALOCLINE_ALL not set")
	}
}

// notInShort leaves out of a short run, such as that with the race detector, what reads
// one movie after another: TestManyReadersOfOneMovie runs the same goroutines.
func notInShort(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("left out by -short: it reads one movie after another")
	}
}

// encode makes a movie of raw pictures written by write.
func encode(t testing.TB, path string, input []string, write func(w io.Writer), output ...string) string {
	t.Helper()
	args := append([]string{"-v", "error", "-y", "-f", "rawvideo"}, input...)
	args = append(append(args, "-i", "pipe:0", "-threads", "2"), output...)
	cmd := exec.Command(decoder, append(args, path)...)
	var said bytes.Buffer
	cmd.Stderr = &said
	in, err := cmd.StdinPipe()
	require.NoError(t, err)
	require.NoError(t, cmd.Start())
	write(in)
	require.NoError(t, in.Close())
	require.NoError(t, cmd.Wait(), said.String())
	return path
}

// Frames of numbered movies: a row of blocks says the number in binary, black
// for 0 and white for 1, the lowest bit on the left; below a picture moves.
const (
	numberBits  = 12
	numberBlock = 16
	numberedW   = numberBits * numberBlock
	numberedH   = 64
)

func numberedFrame(n int, noise *rand.Rand) []byte {
	luma, chroma := numberedW*numberedH, numberedW*numberedH/4
	b := make([]byte, luma+2*chroma)
	for y := range numberedH {
		for x := range numberedW {
			v := byte(40 + (x+3*n)%128 + noise.IntN(30))
			if y < numberBlock {
				v = 16
				if n>>(x/numberBlock)&1 == 1 {
					v = 235
				}
			}
			b[y*numberedW+x] = v
		}
	}
	for i := range 2 * chroma {
		b[luma+i] = 128
	}
	return b
}

// numberedMovie makes a movie of count frames.
func numberedMovie(t testing.TB, name string, count int, output ...string) string {
	t.Helper()
	input := []string{"-pix_fmt", "yuv420p", "-s", pixels(numberedW, numberedH), "-r", "25"}
	input[3] = strings.ReplaceAll(input[3], " ", "")
	return encode(t, filepath.Join(t.TempDir(), name), input, func(w io.Writer) {
		noise := rand.New(rand.NewPCG(1, 2))
		for n := range count {
			_, err := w.Write(numberedFrame(n, noise))
			require.NoError(t, err)
		}
	}, output...)
}

// numberOn reads the number on a picture.
func numberOn(m *colour.Image) (n int) {
	for bit := range numberBits {
		if m.G.At(bit*numberBlock+numberBlock/2, numberBlock/2) > 0.5 {
			n |= 1 << bit
		}
	}
	return n
}

// openTest opens a movie until the test ends.
func openTest(t testing.TB, path string) *Clip {
	t.Helper()
	c, err := Open(path)
	require.NoError(t, err)
	t.Cleanup(func() { require.NoError(t, c.Close()) })
	return c
}

// numberOf reads frame n and returns the number on it.
func numberOf(t testing.TB, c *Clip, n int) int {
	t.Helper()
	m, err := c.Frame(context.Background(), n)
	require.NoError(t, err)
	return numberOn(m)
}

// forget makes a movie begin anew: no frame is kept, no decoder waits.
func forget(c *Clip) {
	r := c.movie.reader
	r.mu.Lock()
	defer r.mu.Unlock()
	r.kept.clear()
	for _, at := range r.cursor {
		if len(at.requests) == 0 {
			r.dismiss(at)
		}
	}
}
