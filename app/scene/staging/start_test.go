package staging

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/app/work"
	"halocline/assets"
	"halocline/colour"
)

var update = flag.Bool("update", false, "write assets/sample.halocline and assets/sample-skin.png anew")

const (
	startStudy = "../../../assets/sample.halocline"
	startSkin  = "../../../assets/sample-skin.png"
)

// Draws of dabs that the window's first study has. Of draws 1 to 59 skinDraw,
// with a fourth dab of otherDraw, is the one under which skin is nearly right, by hue
// and chroma, lit sand comes along, and a mask mends most of that, which is what
// the study is there to show: see TestStartIsNearlyRight. Sand and water have the
// scene's usual dabs.
const (
	skinDraw  = 15
	otherDraw = 6
	usualDraw = 1
)

// makeStart makes the study that the window starts on, and its frame.
func makeStart(t *testing.T) *Take {
	frame, err := reelOf(t, 1).Frame(t.Context(), 1, 0)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), work.SampleName)
	require.NoError(t, os.WriteFile(path, assets.SamplePNG, 0o666))
	w, err := work.Open(t.Context(), path)
	require.NoError(t, err)
	take := &Take{Frame: frame, Study: w.Study, Renderer: w.Renderer}
	require.NoError(t, take.SetBase(t.Context()))
	for _, c := range classes {
		draw := usualDraw
		if c.class == scene.Skin {
			draw = skinDraw
		}
		dabs, err := frame.Dabs(c.class, draw)
		require.NoError(t, err)
		dabs.Drop = dabs.Drop[:dropDabs]
		if c.class == scene.Skin {
			dabs.Keep = append(dabs.Keep, oneMore(t, frame, dabs.Keep))
		}
		take.addDabs(take.Study.AddMatte(c.name, defaultModel), take.Study.Clip.First, dabs)
	}
	require.NoError(t, take.Fit(t.Context()))
	for i := range w.Study.Mattes {
		edge := &w.Study.Mattes[i].Edge
		edge.Despeckle.Set(w.Study.Clip.First, 12)
		edge.Soften.Set(w.Study.Clip.First, 0.8)
	}
	return take
}

// oneMore returns the first disc of skin of another draw that overlaps none.
func oneMore(t *testing.T, frame *scene.Frame, taken []scene.Disc) scene.Disc {
	dabs, err := frame.Dabs(scene.Skin, otherDraw)
	require.NoError(t, err)
	i := slices.IndexFunc(dabs.Keep, func(d scene.Disc) bool {
		return !slices.ContainsFunc(taken, func(o scene.Disc) bool { return math.Hypot(d.X-o.X, d.Y-o.Y) < d.Radius+o.Radius })
	})
	require.GreaterOrEqual(t, i, 0, "no room for a fourth dab")
	return dabs.Keep[i]
}

// The embedded study and true matte are what makeStart gives; numbers of the fit
// may differ by what another processor rounds.
func TestEmbeddedStart(t *testing.T) {
	take := makeStart(t)
	take.Study.Clip.Path = work.SampleName
	if *update {
		require.NoError(t, export.WriteFile(startStudy, func(w io.Writer) error { return study.Encode(w, take.Study) }))
		require.NoError(t, export.WriteFile(startSkin, func(w io.Writer) error { return export.EncodeGrey(w, take.Frame.Skin, 8) }))
		return
	}
	got, err := study.Decode(bytes.NewReader(assets.SampleStudy))
	require.NoError(t, err, "rerun with -update")
	require.Len(t, got.Mattes, len(take.Study.Mattes))
	want := take.Study.Clone()
	for i := range want.Mattes {
		g, w := &got.Mattes[i], &want.Mattes[i]
		for c, l := range w.Pick.At(1).Limits {
			h := g.Pick.At(1).Limits[c]
			assert.InDeltaSlice(t, []float64{l.From, l.To, l.Before, l.After}, []float64{h.From, h.To, h.Before, h.After}, 1e-6, "%s, %d", w.Name, c)
		}
		w.Pick = g.Pick
	}
	require.Equal(t, want, got, "rerun with -update")

	m, err := png.Decode(bytes.NewReader(assets.SampleSkinPNG))
	require.NoError(t, err, "rerun with -update")
	require.IsType(t, &image.Gray{}, m)
	want8 := take.Frame.Skin.Gray(nil)
	require.Equal(t, want8.Rect, m.Bounds())
	require.True(t, bytes.Equal(want8.Pix, m.(*image.Gray).Pix), "rerun with -update")
}

// TestStartIsNearlyRight says how the study stands when the window opens: the skin
// is nearly right, lit sand comes along, and a mask would mend it.
func TestStartIsNearlyRight(t *testing.T) {
	w, truth, err := work.Sample(t.Context(), t.TempDir())
	require.NoError(t, err)
	skin := w.Study.MatteNamed("skin")
	require.NotNil(t, skin)
	assert.Empty(t, skin.Masks)
	keep, drop := 0, 0
	for _, d := range skin.Dabs {
		if d.Kind == study.Keep {
			keep++
		} else {
			drop++
		}
	}
	assert.Equal(t, []int{4, 3}, []int{keep, drop})

	render := func() colour.Plane {
		p, err := w.Renderer.Matte(t.Context(), render.Request{Study: w.Study, Settings: &skin.Settings, Frame: 1})
		require.NoError(t, err)
		return p
	}
	before := render()
	covered, more := 0.0, 0.0
	for i, v := range before.Pix {
		covered += float64(v * truth.Pix[i])
		more += float64(v * (1 - truth.Pix[i]))
	}
	all := 0.0
	for _, v := range truth.Pix {
		all += float64(v)
	}
	assert.Greater(t, covered/all, 0.93, "of the skin")
	assert.Greater(t, more/all, 0.6, "the area that comes along, of the skin's")
	assert.Less(t, more/all, 1.2)

	maskAll(w.Study, skin, truth, 1)
	was, err := check.Score(t.Context(), before, truth, nil)
	require.NoError(t, err)
	is, err := check.Score(t.Context(), render(), truth, nil)
	require.NoError(t, err)
	t.Logf("skin covered %.3f, beside it %.2f of its area; IoU %.3f, with a mask %.3f", covered/all, more/all, *was.IoU, *is.IoU)
	assert.Greater(t, *is.IoU, *was.IoU+0.3)
}
