package batch

import (
	"bytes"
	"encoding/json"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// needFFmpeg skips a test where ffmpeg is not on the PATH; in CI that is a failure.
func needFFmpeg(t *testing.T) {
	t.Helper()
	if _, err := exec.LookPath("ffmpeg"); err != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("ffmpeg is missing")
		}
		t.Skip("ffmpeg is not on the PATH")
	}
}

// A movie through the verbs: what it is, a base, a fit on one of its frames, an
// export of some.
func TestAMovieThroughTheVerbs(t *testing.T) {
	needFFmpeg(t)
	folder := t.TempDir()
	path := filepath.Join(folder, "dive.mp4")
	out, err := exec.Command("ffmpeg", "-v", "error", "-f", "lavfi", "-i", "testsrc2=s=96x64:r=24000/1001,noise=alls=10", "-frames:v", "12",
		"-pix_fmt", "yuv420p", "-colorspace", "bt709", path).CombinedOutput()
	require.NoError(t, err, string(out))
	run := func(want int, args ...string) string {
		var stdout, stderr bytes.Buffer
		require.Equal(t, want, Run(t.Context(), args, &stdout, &stderr), "%v: %s", args, stderr.String())
		return stdout.String() + stderr.String()
	}

	var info struct {
		Kind        string
		Count, Last int
		Movie       struct {
			Matrix, MatrixFrom, Range, Chroma string
			Rate                              [2]int
		}
	}
	require.NoError(t, json.Unmarshal([]byte(run(0, "info", path)), &info))
	assert.Equal(t, "movie", info.Kind)
	assert.Equal(t, []int{12, 11}, []int{info.Count, info.Last})
	assert.Equal(t, [2]int{24000, 1001}, info.Movie.Rate)
	assert.Equal(t, "4:2:0", info.Movie.Chroma)
	assert.Equal(t, "bt709 tag", info.Movie.Matrix+" "+info.Movie.MatrixFrom)

	document := filepath.Join(folder, "dive.halocline")
	run(0, "base", path, "--exposure", "0.2", "--matrix", "bt601")
	s, err := study.Load(document)
	require.NoError(t, err)
	assert.Equal(t, "bt601", s.Clip.Matrix)
	run(0, "base", document, "--exposure", "0.3", "--matrix", "tagged", "--range", "full")
	s, err = study.Load(document)
	require.NoError(t, err)
	assert.Equal(t, []string{"", "full"}, []string{s.Clip.Matrix, s.Clip.Range})
	assert.Contains(t, run(2, "base", path, "--matrix", "srgb"), `--matrix is "srgb"`)
	assert.Contains(t, run(2, "info", writeGrey(t, folder, 4, 4), "--range", "full"), "they are for movies")

	mask := writeGrey(t, folder, 96, 64)
	run(0, "fit", document, "--keep", mask, "--name", "corner", "--frame", "7")
	run(0, "export", document, "--frames", "3-5", "--out", filepath.Join(folder, "mattes"))
	files, err := filepath.Glob(filepath.Join(folder, "mattes", "*", "*.png"))
	require.NoError(t, err)
	var names []string
	for _, f := range files {
		names = append(names, filepath.Base(f))
	}
	assert.Equal(t, []string{"dive-corner.000003.png", "dive-corner.000004.png", "dive-corner.000005.png"}, names)
}

// writeGrey writes a mask that is white in its upper left quarter.
func writeGrey(t *testing.T, folder string, w, h int) string {
	t.Helper()
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range w * h {
		if i%w < w/2 && i/w < h/2 {
			m.SetGray(i%w, i/w, color.Gray{Y: 255})
		}
	}
	path := filepath.Join(folder, "mask.png")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, png.Encode(f, m))
	require.NoError(t, f.Close())
	return path
}
