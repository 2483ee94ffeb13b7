package batch

import (
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"testing"

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
