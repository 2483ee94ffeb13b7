package export

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

type still struct{ picture *colour.Image }

func (s still) Frame(context.Context, int) (*colour.Image, error) { return s.picture, nil }

// halves is a picture whose left half is red and whose right half is blue, and
// a matte of the red with a mask over the upper half.
func halves() (*render.Renderer, *study.Study) {
	const w, h = 40, 20
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			if x < w/2 {
				m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = 0.8, 0.2, 0.2
			} else {
				m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = 0.2, 0.2, 0.8
			}
		}
	}
	s := study.New(study.Clip{Path: "halves.png", First: 1, Count: 1})
	red := s.AddMatte("red", selection.HSL)
	red.Pick.Smooth = false
	red.Pick.Limits[selection.Hue].Off = false
	red.Pick.Limits[selection.Hue].Fix(selection.Range{From: 340, To: 20})
	s.AddMask(red, "upper", study.Keep, study.MaskKey{Frame: 1, Opacity: 1, Points: []mask.Point{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h / 2}, {X: 0, Y: h / 2}}})
	return render.New(still{m}, 1, render.DefaultCache), s
}

func drawn(t *testing.T, k Kind, depth int) image.Image {
	r, s := halves()
	d := drawer{renderer: r, study: s, depth: depth}
	var file bytes.Buffer
	require.NoError(t, d.draw(t.Context(), &file, k, &s.Mattes[0], 1))
	m, err := png.Decode(&file) // not this package's own reader
	require.NoError(t, err)
	return m
}

func TestKinds(t *testing.T) {
	// Places: red above, blue above, red below, blue below.
	places := [4]image.Point{{5, 5}, {30, 5}, {5, 15}, {30, 15}}
	for k, want := range map[Kind][4]uint16{
		Matte: {65535, 0, 0, 0},
		Pick:  {65535, 0, 65535, 0},
		Mask:  {65535, 65535, 0, 0},
	} {
		for depth, kind := range map[int]image.Image{8: &image.Gray{}, 16: &image.Gray16{}} {
			m := drawn(t, k, depth)
			require.IsType(t, kind, m, k)
			for i, p := range places {
				assert.Equal(t, color.Gray16{Y: want[i]}, color.Gray16Model.Convert(m.At(p.X, p.Y)), "%s at %v", k, p)
			}
		}
	}
	cut := drawn(t, Cutout, 16)
	require.IsType(t, &image.NRGBA64{}, cut)
	code := func(v float32) uint16 { return colour.Code16(v) }
	assert.Equal(t, color.NRGBA64{R: code(0.8), G: code(0.2), B: code(0.2), A: 65535}, cut.At(5, 5))
	assert.Equal(t, color.NRGBA64{R: code(0.2), G: code(0.2), B: code(0.8)}, cut.At(30, 15), "colours stay where alpha is 0")
	require.IsType(t, &image.NRGBA{}, drawn(t, Cutout, 8))

	hatch, base := drawn(t, Hatch, 16), drawn(t, Base, 16)
	assert.Equal(t, base.At(5, 5), hatch.At(5, 5))
	differ := 0
	for x := 20; x < 40; x++ {
		if base.At(x, 15) != hatch.At(x, 15) {
			differ++
		}
	}
	assert.InDelta(t, 20*2/6., differ, 1, "a third lies under lines")
	reasons := drawn(t, Reasons, 16)
	r, g, b, _ := reasons.At(30, 15).RGBA()
	assert.True(t, r == g && g == b, "rejected pixels are grey")
}

// The hatch and the reasons in a file are those of the window at 100 %: at 8 bits
// byte by byte, at 16 bits within one code of 255.
func TestDrawnKindsAreTheWindowsViews(t *testing.T) {
	r, s := halves()
	s.Mattes[0].Edge.Soften.Fix(2)
	vp := view.Viewport{W: 40, H: 20, VW: 40, VH: 20, Zoom: 1, X: 20, Y: 10}
	for k, v := range map[Kind]view.View{Hatch: view.Hatch, Reasons: view.Reasons} {
		l, err := view.Render(t.Context(), r, render.Request{Study: s, Settings: &s.Mattes[0].Settings, Frame: 1}, v)
		require.NoError(t, err)
		window := image.NewRGBA(image.Rect(0, 0, 40, 20))
		require.NoError(t, new(view.Composer).Compose(t.Context(), window, vp, v, v, -1, l, 1))
		for _, depth := range []int{8, 16} {
			var file bytes.Buffer
			d := drawer{renderer: r, study: s, depth: depth}
			require.NoError(t, d.draw(t.Context(), &file, k, &s.Mattes[0], 1))
			m, err := png.Decode(&file)
			require.NoError(t, err)
			between := 0 // codes of 255
			for y := range 20 {
				for x := range 40 {
					want, got := window.RGBAAt(x, y), color.RGBA64Model.Convert(m.At(x, y)).(color.RGBA64)
					for i, c := range [3]uint16{got.R, got.G, got.B} {
						w := [3]uint8{want.R, want.G, want.B}[i]
						if depth == 8 {
							require.Equal(t, uint16(w)*257, c, "%s at (%d,%d)", k, x, y)
						}
						require.InDelta(t, float64(w), float64(c)/257, 1, "%s at (%d,%d), %d bits", k, x, y, depth)
						if c%257 != 0 {
							between++
						}
					}
				}
			}
			assert.Equal(t, depth == 16, between > 400, "%s has finer codes than 8 bits: %d", k, between)
		}
	}
}

func TestKindNames(t *testing.T) {
	for _, k := range Kinds {
		got, err := ParseKind(string(k))
		require.NoError(t, err)
		assert.Equal(t, k, got)
	}
	_, err := ParseKind("alpha")
	assert.EqualError(t, err, `export: kind is "alpha", want one of matte, pick, mask, cutout, hatch, reasons, base, trial`)
	assert.Equal(t, "skin", Matte.name("skin"))
	assert.Equal(t, "skin-cutout", Cutout.name("skin"))
	assert.Equal(t, "base", Base.name(""))
	assert.Equal(t, "trial", Trial.name(""))
}
