package carry

import (
	"fmt"
	"io"
	"math"
	"path/filepath"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/export"
	"halocline/app/scene"
	"halocline/app/scene/staging"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/colour"
)

// Clips of the scene are small: what is asked of them is colour.
const clipW, clipH = 320, 180

// done is a study of the first three frames of a seed, saved in a folder of its own.
func done(t *testing.T, seed int) *work.Work {
	t.Helper()
	folder := t.TempDir()
	take, err := staging.Make(t.Context(), folder, seed, clipW, clipH, 3)
	require.NoError(t, err)
	require.NoError(t, take.SetBase(t.Context()))
	require.NoError(t, take.Fit(t.Context()))
	path := filepath.Join(folder, "transect.halocline")
	require.NoError(t, study.Save(path, take.Study))
	w, err := work.OpenStudy(t.Context(), path)
	require.NoError(t, err)
	return w
}

var drawn sync.Map // of *colour.Image, by seed and frame

// sceneFrame is a frame of a seed's scene.
func sceneFrame(t *testing.T, seed, frame int) *colour.Image {
	t.Helper()
	key := [2]int{seed, frame}
	if m, ok := drawn.Load(key); ok {
		return m.(*colour.Image)
	}
	c, err := scene.NewClip(t.Context(), seed, clipW, clipH)
	require.NoError(t, err)
	f, err := c.Frame(t.Context(), frame, 0)
	require.NoError(t, err)
	drawn.Store(key, f.Image)
	return f.Image
}

// laterFrames are frames of the scene from later in the dive.
var laterFrames = []int{40, 48, 56, 64, 72}

// later writes frames of a seed's scene from later in the dive into a folder, with more metres of
// coastal water between them and the camera: each channel's light falls by exp(-beta d). It returns
// the first file.
func later(t *testing.T, name string, seed int, metres float64) string {
	t.Helper()
	water, err := colour.WaterByName("IB")
	require.NoError(t, err)
	folder := filepath.Join(t.TempDir(), name)
	for i, n := range laterFrames {
		m := deeper(sceneFrame(t, seed, n), water.Beta(), metres)
		path := filepath.Join(folder, fmt.Sprintf("%s.%04d.png", name, 101+i))
		require.NoError(t, export.WriteFile(path, func(w io.Writer) error { return export.EncodeRGB(w, m, 16) }))
	}
	return filepath.Join(folder, name+".0101.png")
}

func deeper(m *colour.Image, beta [3]float64, metres float64) *colour.Image {
	out := colour.NewImage(m.Size())
	for c, p := range []colour.Plane{m.R, m.G, m.B} {
		to := [...]colour.Plane{out.R, out.G, out.B}[c]
		for i, v := range p.Pix {
			to.Pix[i] = float32(colour.Encoded(colour.SRGB.Light(float64(v)) * math.Exp(-beta[c]*metres)))
		}
	}
	return out
}

// to carries a study to a clip.
func to(t *testing.T, taken *Taken, path string, o Options) Result {
	t.Helper()
	w, err := taken.Open(t.Context(), path)
	require.NoError(t, err)
	t.Cleanup(func() { w.Close() })
	r, err := taken.To(t.Context(), w, o)
	require.NoError(t, err)
	return r
}

// Later in the same dive all picks suit; a metre more of water makes those stale that limit what it
// changes. The study that is carried stays as it is.
func TestLightThatShifted(t *testing.T) {
	if testing.Short() {
		t.Skip("frames of the scene take seconds")
	}
	w := done(t, 1)
	before := w.Study.Clone()
	taken, err := Take(t.Context(), w)
	require.NoError(t, err)
	assert.Empty(t, taken.Notices)

	same := to(t, taken, later(t, "same", 1, 0), Options{})
	assert.Less(t, same.Shift, ShiftLimit)
	assert.Empty(t, same.Stale(), same.Line())
	require.Len(t, same.Mattes, 3)
	for _, m := range same.Mattes {
		require.NotNil(t, m.Unlike, m.Name)
		assert.Less(t, *m.Unlike, UnlikeLimit, m.Name)
	}
	assert.Contains(t, same.Line(), "same: light shifted by ")
	assert.Contains(t, same.Line(), "; all picks suit it")

	deep := to(t, taken, later(t, "deep", 1, 1), Options{})
	t.Log(same.Line(), "|", deep.Line())
	assert.Greater(t, deep.Shift, 2*ShiftLimit)
	assert.Len(t, deep.Stale(), 3, deep.Line())
	for _, m := range deep.Stale() {
		assert.True(t, m.Moved.Hue || m.Moved.Lightness, "red goes first, and light goes: %s", m.Moved)
		assert.Equal(t, m.Moved, deep.Work.Study.MatteNamed(m.Name).Carried.Moved)
	}
	assert.Contains(t, deep.Line(), "; to be fitted again: skin (")
	assert.Equal(t, before, w.Study)

	other := to(t, taken, later(t, "other", 4, 0), Options{})
	t.Log(other.Line())
	assert.Greater(t, other.Shift, ShiftLimit, "other water at another depth")
	assert.NotEmpty(t, other.Stale())
}
