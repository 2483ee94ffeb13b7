package study

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A large file's fingerprint, written as the words of Measure have it. The file
// is sparse, so that it takes no room.
func TestLargeFilesAreKnownBySamples(t *testing.T) {
	path := filepath.Join(t.TempDir(), "long.mov")
	f, err := os.Create(path)
	require.NoError(t, err)
	const size = SampledAbove + 12345
	require.NoError(t, f.Truncate(size))
	write := func(at int64, text string) {
		_, err := f.WriteAt([]byte(text), at)
		require.NoError(t, err)
	}
	write(100, "first")
	write(size-5, "final")
	got, err := Measure(t.Context(), path)
	require.NoError(t, err)
	assert.Equal(t, int64(size), got.Size)

	h := sha256.New()
	fmt.Fprintf(h, "sampled %d\n", size)
	piece := make([]byte, 256<<10)
	for i := range 64 {
		at := int64(size-len(piece)) / 63 * int64(i)
		if i == 63 {
			at = size - int64(len(piece))
		}
		_, err := f.ReadAt(piece, at)
		require.NoError(t, err)
		h.Write(piece)
	}
	assert.Equal(t, hex.EncodeToString(h.Sum(nil)), got.SHA256)

	for _, at := range []int64{0, (size - 256<<10) / 63 * 20, size - 1} { // within a sample each
		write(at, "x")
		changed, err := Measure(t.Context(), path)
		require.NoError(t, err)
		assert.NotEqual(t, got, changed)
		got = changed
	}
	require.NoError(t, f.Truncate(SampledAbove))
	require.NoError(t, f.Close())
	whole, err := Measure(t.Context(), path)
	require.NoError(t, err)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	sum := sha256.Sum256(text)
	assert.Equal(t, hex.EncodeToString(sum[:]), whole.SHA256, "up to the border all is read")
}

func TestMatrixAndRangeOfAClip(t *testing.T) {
	s := New(Clip{Path: "/dive.mp4", Count: 3, Rate: [2]int{25, 1}})
	m := s.AddMatte("skin", 0)
	plain := s.Digest(0, m)
	s.Clip.Matrix = "bt601"
	matrix := s.Digest(0, s.Matte(m.ID))
	assert.NotEqual(t, plain, matrix)
	s.Clip.Range = "full"
	assert.NotEqual(t, matrix, s.Digest(0, s.Matte(m.ID)))
	path := filepath.Join(t.TempDir(), "dive.halocline")
	require.NoError(t, Save(path, s))
	again, err := Load(path)
	require.NoError(t, err)
	assert.Equal(t, s.Clip, again.Clip)

	s.Clip.Matrix = "srgb"
	require.ErrorContains(t, s.Validate(), `matrix is "srgb", want one of bt601, bt709, bt2020`)
	s.Clip.Matrix, s.Clip.Range = "", "wide"
	require.ErrorContains(t, s.Validate(), `range is "wide", want limited or full`)
}
