package stage

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/assets"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A Still gives one picture as every frame.
type Still struct{ Picture *colour.Image }

func (s Still) Frame(context.Context, int) (*colour.Image, error) { return s.Picture, nil }

// Enlarged is the sample frame, its pixels repeated, with noise of its own.
func Enlarged(tb testing.TB, w, h int) *colour.Image {
	tb.Helper()
	src, err := png.Decode(bytes.NewReader(assets.SamplePNG))
	require.NoError(tb, err)
	b := src.Bounds()
	out := colour.NewImage(w, h)
	state := uint32(1)
	for y := range h {
		for x := range w {
			r, g, bl, _ := src.At(x*b.Dx()/w, y*b.Dy()/h).RGBA()
			state = state*1664525 + 1013904223
			n := (float32(state>>16)/65535 - 0.5) * 0.03
			i := y*w + x
			out.R.Pix[i], out.G.Pix[i], out.B.Pix[i] = float32(r)/65535+n, float32(g)/65535+n, float32(bl)/65535+n
		}
	}
	return out
}

// MaskedSample is the study of the sample frame with two feathered masks, as large as
// a frame of w x h asks for, on its skin matte, and a treated edge.
func MaskedSample(tb testing.TB, w, h int) *study.Study {
	tb.Helper()
	wk, _, err := work.Sample(context.Background(), tb.TempDir())
	require.NoError(tb, err)
	s := wk.Study
	m := &s.Mattes[0]
	swimmer := func(dx float64) study.MaskKey {
		k := study.MaskKey{Frame: 1, Opacity: 1, Inner: 4, Outer: 12}
		for _, p := range [][2]float64{{0.1, 0.4}, {0.5, 0.35}, {0.9, 0.45}, {0.8, 0.7}, {0.4, 0.8}, {0.1, 0.75}} {
			k.Points = append(k.Points, mask.Point{X: (p[0] + dx) * float64(w), Y: p[1] * float64(h)})
		}
		return k
	}
	s.AddMask(m, "a", study.Keep, swimmer(0)).Rounded = true
	s.AddMask(m, "b", study.Keep, swimmer(0.05)).Rounded = true
	m.Edge.Soften.Fix(1.2)
	return s
}

// Discs writes frames of 480 x 270 pixels, for a test alone: a red disc, its edge a
// ramp of 8 px, on green, with some red specks. It returns the path to open.
func Discs(t testing.TB, frames int) string {
	t.Helper()
	folder := t.TempDir()
	for n := 1; n <= frames; n++ {
		m := image.NewNRGBA(image.Rect(0, 0, 480, 270))
		for y := range 270 {
			for x := range 480 {
				u := min(max((70-math.Hypot(float64(x-240-2*n), float64(y-135)))/8+0.5, 0), 1)
				if x%60 == 7 && y%50 == 9 {
					u = 1
				}
				m.SetNRGBA(x, y, color.NRGBA{uint8(80 + 110*u), uint8(150 - 70*u), 80, 255})
			}
		}
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("disc.%03d.png", n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	if frames == 1 {
		return filepath.Join(folder, "disc.001.png")
	}
	return folder
}

// AddDisc adds a matte that picks the red of Discs, hard, with dabs of both kinds.
func AddDisc(s *study.Study) *study.Matte {
	m := s.AddMatte("disc", selection.HSL)
	m.Pick.Limits[selection.Hue].Off = false
	m.Pick.Limits[selection.Hue].Fix(selection.Range{From: -20, To: 60})
	m.Edge.Despeckle = study.Constant(0)
	for i, x := range []float64{230, 250, 60, 420} {
		s.AddDab(m, study.Dab{Frame: 1, X: x, Y: 135, Radius: 8, Kind: study.Kind(i / 2)})
	}
	return m
}
