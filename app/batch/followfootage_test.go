package batch

import (
	"fmt"
	"io"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/export"
)

// digestsOf are the digests that an export's manifest has, by frame.
func digestsOf(t *testing.T, path, out, kind string) map[int]string {
	all := map[int]string{}
	for _, e := range result[exportReport](t, "export", path, "--out", out, "--kind", kind, "--no-sheet").Files {
		all[e.Frame] = e.Digest
	}
	return all
}

// repaint makes a file's picture a little darker.
func repaint(t *testing.T, path string) {
	t.Helper()
	m, _, err := clip.Read(t.Context(), path)
	require.NoError(t, err)
	for i := range m.G.Pix {
		m.G.Pix[i] *= 0.9
	}
	require.NoError(t, os.Remove(path))
	writePNG(t, path, func(w io.Writer) error { return export.EncodeRGB(w, m, 8) })
}

// A followed frame's picture is made of all frames of its stretch: where one of their files
// has changed, theirs are made again, and no others.
func TestAChangedFrameCondemnsItsStretch(t *testing.T) {
	b := newBeach(t)
	path := drift(t, b, 7)
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(2), "--frame", "2", "--way", "follow")
	result[maskResult](t, "mask", path, "--matte", "skin", "--points", limbAt(5), "--frame", "5", "--way", "straight")
	out := b.at("out")
	mattes, picks := digestsOf(t, path, out, "matte"), digestsOf(t, path, out, "pick")
	require.Len(t, mattes, 7)
	repaint(t, b.at("drift/drift.0004.png"))
	changed := func(before map[int]string, kind string) (frames []int) {
		after := digestsOf(t, path, out, kind)
		for n := 1; n <= 7; n++ {
			if before[n] != after[n] {
				frames = append(frames, n)
			}
		}
		return frames
	}
	require.Equal(t, []int{3, 4}, changed(mattes, "matte"), "those without a key, and its own")
	require.Equal(t, []int{4}, changed(picks, "pick"), "no mask has a part in a pick")
	require.Equal(t, 14, result[verifyReport](t, "verify", out).Good)

	mattes = digestsOf(t, path, out, "matte")
	repaint(t, b.at("drift/drift.0005.png"))
	require.Equal(t, []int{3, 4, 5}, changed(mattes, "matte"), "a key's frame is one of the stretch")
	mattes = digestsOf(t, path, out, "matte")
	repaint(t, b.at("drift/drift.0006.png"))
	require.Equal(t, []int{6}, changed(mattes, "matte"))

	require.NoError(t, os.Remove(b.at("drift/drift.0003.png")))
	status, _, stderr := run(t, "export", path, "--out", out, "--no-sheet", "--frames", "1-2,4-7")
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, fmt.Sprintf("%d of %d files are there", 5, 6), "frame 4 was made again")
}
