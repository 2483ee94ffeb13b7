package staging

import (
	"context"
	"encoding/gob"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/scene"
	"halocline/colour"
)

// A strip is frames in memory, counted from 1, with the true matte of what a mask is to follow.
type strip struct {
	frames []*colour.Image
	truths []colour.Plane
}

func (s *strip) count() int { return len(s.frames) }

func (s *strip) size() (w, h int) { return s.frames[0].Size() }

func (s *strip) add(m *colour.Image, truth colour.Plane) {
	s.frames, s.truths = append(s.frames, m), append(s.truths, truth)
}

// truth is that of a frame.
func (s *strip) truth(frame int) colour.Plane { return s.truths[frame-1] }

// Has and Frame make it a source of frames that tells which it has.
func (s *strip) Has(n int) bool { return n >= 1 && n <= s.count() }

func (s *strip) Frame(_ context.Context, n int) (*colour.Image, error) { return s.frames[n-1], nil }

// stripOf is a strip of the volunteer in the scene of a seed, so many pixels wide.
func stripOf(t *testing.T, seed, width, count int, without scene.Effects) *strip {
	t.Helper()
	c, err := scene.NewClip(t.Context(), seed, width, width*scene.Height/scene.Width)
	require.NoError(t, err)
	c = c.Without(without)
	s := new(strip)
	for n := 1; n <= count; n++ {
		s.add(drawn(t, c, n, fmt.Sprintf("%d-%d-%d-%d", seed, width, int(without), n)))
	}
	return s
}

// drawn is a frame and the volunteer's true matte. HALOCLINE_FRAMES=DIR keeps those that were
// drawn in a folder, which must be emptied when the scene changes.
func drawn(t *testing.T, c *scene.Clip, n int, name string) (*colour.Image, colour.Plane) {
	t.Helper()
	folder := os.Getenv("HALOCLINE_FRAMES")
	path := filepath.Join(folder, name)
	if folder != "" {
		if k, ok := readKept(t, path); ok {
			return k.picture(), k.Truth
		}
	}
	f, err := c.Frame(t.Context(), n, 0)
	require.NoError(t, err)
	if folder != "" {
		keepDrawn(t, path, f)
	}
	return f.Image, f.Swimmer
}

// A keptFrame is a frame as it is kept: the codes of red, green and blue, of 8 bits.
type keptFrame struct {
	Codes [3][]byte
	Truth colour.Plane
}

func readKept(t *testing.T, path string) (k keptFrame, ok bool) {
	file, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return k, false
	}
	require.NoError(t, err)
	defer file.Close()
	require.NoError(t, gob.NewDecoder(file).Decode(&k))
	return k, true
}

func keepDrawn(t *testing.T, path string, f *scene.Frame) {
	k := keptFrame{Truth: f.Swimmer}
	for c, p := range []colour.Plane{f.Image.R, f.Image.G, f.Image.B} {
		for _, v := range p.Pix {
			k.Codes[c] = append(k.Codes[c], byte(math.Round(float64(v)*255)))
		}
	}
	file, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, gob.NewEncoder(file).Encode(k))
	require.NoError(t, file.Close())
}

func (k *keptFrame) picture() *colour.Image {
	m := colour.NewImage(k.Truth.W, k.Truth.H)
	for c, p := range []colour.Plane{m.R, m.G, m.B} {
		for i, v := range k.Codes[c] {
			p.Pix[i] = float32(float64(v) / 255)
		}
	}
	return m
}
