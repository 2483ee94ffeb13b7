package batch

import (
	"encoding/json"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/export"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// The mask pictures of a sample are the dabs of its study, on every frame that has
// some, and fits take them.
func TestSampleWritesTheMasksOfAllDabbedFrames(t *testing.T) {
	folder := filepath.Join(t.TempDir(), "scene")
	made := result[sampleReport](t, "sample", folder, "--size", "320x180", "--frames", "5")
	s, err := study.Load(made.Study)
	require.NoError(t, err)
	names := map[int]string{1: "", 3: ".000003", 5: ".000005"}
	for i := range s.Mattes {
		m := &s.Mattes[i]
		require.Equal(t, []int{1, 3, 5}, framesOf(m.Dabs))
		for frame, number := range names {
			for _, kind := range []study.Kind{study.Keep, study.Drop} {
				name := m.Name + number + "." + kind.String() + ".png"
				require.Contains(t, made.Written, name)
				picture, _, err := clip.ReadGrey(t.Context(), filepath.Join(folder, name))
				require.NoError(t, err)
				want := make([]float32, len(picture.Pix))
				for _, d := range m.Dabs {
					if d.Frame == frame && d.Kind == kind {
						for _, p := range render.DiscPixels(d.X, d.Y, d.Radius, picture.W, picture.H) {
							want[p] = 1
						}
					}
				}
				require.Equal(t, want, picture.Pix, name)
			}
		}
	}
	require.Len(t, slices.Compact(slices.Sorted(slices.Values(made.Written))), len(made.Written), "each once")
	for _, name := range made.Written {
		require.FileExists(t, filepath.Join(folder, filepath.FromSlash(name)))
	}
	in := func(name string) string { return filepath.Join(folder, name) }
	fit := result[fitReport](t, "fit", made.Study, "--keep", in("skin.000005.keep.png"), "--drop", in("skin.000005.drop.png"), "--name", "last", "--frame", "5")
	require.Positive(t, fit.Dabs)
}

func framesOf(dabs []study.Dab) (frames []int) {
	for _, d := range dabs {
		frames = append(frames, d.Frame)
	}
	slices.Sort(frames)
	return slices.Compact(frames)
}

// A mask may be drawn on a transparent ground: what is transparent is not sampled, though the
// file has white there.
func TestTransparentPixelsOfMasksAreNotSampled(t *testing.T) {
	b := newBeach(t)
	plain := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "plain")
	mask, _, err := clip.ReadGrey(t.Context(), b.keep)
	require.NoError(t, err)
	white := colour.NewImage(mask.W, mask.H)
	for i := range white.R.Pix {
		white.R.Pix[i], white.G.Pix[i], white.B.Pix[i] = 1, 1, 1
	}
	for _, depth := range []int{8, 16} {
		clear := b.at(fmt.Sprintf("clear%d.png", depth))
		writePNG(t, clear, func(w io.Writer) error {
			return new(export.Encoder).RGBA(t.Context(), w, white, mask, depth)
		})
		got := result[fitReport](t, "fit", plain.Study, "--keep", clear, "--drop", b.drop, "--name", fmt.Sprintf("clear %d", depth))
		require.Equal(t, plain.Dabs, got.Dabs)
		require.Equal(t, plain.Pick, got.Pick)
	}
	nothing := b.at("nothing.png")
	writePNG(t, nothing, func(w io.Writer) error {
		return new(export.Encoder).RGBA(t.Context(), w, white, colour.NewPlane(mask.W, mask.H), 8)
	})
	status, _, stderr := run(t, "fit", b.picture, "--keep", nothing)
	require.Equal(t, failed, status)
	require.Equal(t, "halocline-batch: fit: "+nothing+" has no opaque white pixel, want some on what to keep\n", stderr)
}

// freckled is a copy of a mask picture of the beach with white pixels two apart, each
// alone, from a corner on.
func (b beach) freckled(t *testing.T, name, mask string, x0, y0, columns, n int) string {
	t.Helper()
	m, _, err := clip.ReadGrey(t.Context(), mask)
	require.NoError(t, err)
	for i := range n {
		m.Row(y0 + 2*(i/columns))[x0+2*(i%columns)] = 1
	}
	return writePNG(t, b.at(name), func(w io.Writer) error { return export.EncodeGrey(w, m, 8) })
}

// Specks in wrong places do not change the fit, and both verbs that read mask pictures say
// how many there are.
func TestSpecksOfMasksAreLeftOutAndTold(t *testing.T) {
	b := newBeach(t)
	clean := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "clean")
	require.Nil(t, clean.Strays)
	keep := b.freckled(t, "keep.specks.png", b.keep, 2, 100, 9, 18) // on sand, 5 % of the white pixels
	drop := b.freckled(t, "drop.specks.png", b.drop, 90, 64, 9, 17) // on skin
	for _, verb := range [][]string{
		{"fit", clean.Study, "--keep", keep, "--drop", drop, "--name", "specks"},
		{"separation", b.picture, "--keep", keep, "--drop", drop},
	} {
		status, stdout, stderr := run(t, verb...)
		require.Zero(t, status, stderr)
		require.Contains(t, stderr, "halocline-batch: "+verb[0]+": "+keep+": 18 specks of less than 16 px (18 px in all) are left out\n")
		require.Contains(t, stderr, drop+": 17 specks of less than 16 px (17 px in all) are left out\n")
		var told struct {
			Strays straysReport
			Pick   json.RawMessage
		}
		require.NoError(t, json.Unmarshal([]byte(stdout), &told))
		require.Equal(t, &strayReport{18, 18, false}, told.Strays.Keep)
		require.Equal(t, &strayReport{17, 17, false}, told.Strays.Drop)
	}
	s, err := study.Load(clean.Study)
	require.NoError(t, err)
	require.Equal(t, s.Mattes[0].Pick, s.Mattes[1].Pick)
	require.Len(t, s.Mattes[1].Dabs, 6)
}

// Thousands of single pixels are one dab: they share what light and material there is, and
// are fitted in no time.
func TestManySpecksOfAMaskAreOneDab(t *testing.T) {
	b := newBeach(t)
	keep := b.freckled(t, "many.png", b.keep, 20, 60, 60, 900) // on skin
	begun := time.Now()
	status, stdout, stderr := run(t, "fit", b.picture, "--keep", keep, "--drop", b.drop)
	require.Zero(t, status, stderr)
	require.Less(t, time.Since(begun), 20*time.Second) // each pixel a dab of its own takes minutes
	require.Contains(t, stderr, " are more than a tenth of the white pixels, and count as one dab\n")
	var fit fitReport
	require.NoError(t, json.Unmarshal([]byte(stdout), &fit))
	require.True(t, fit.Strays.Keep.Pooled)
	require.Nil(t, fit.Strays.Drop)
	require.Equal(t, 3+1, fit.Separation.Keep)
}
