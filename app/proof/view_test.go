package proof

import (
	"flag"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
)

var update = flag.Bool("update", false, "write the golden pictures anew")

// Where a pixel of the source is one of the picture every view is what it says, to
// the bit; where it is larger, it stays crisp.
func TestPictureOfEachView(t *testing.T) {
	film := &wall{w: 96, h: 64, left: 40}
	sheet, r := sheetOn(t, film, 1)
	require.NoError(t, sheet.Matte.Trial.SetCDL(1, warm()))
	byte8 := func(v float64) uint8 { return colour.Code8(float32(v)) }
	rgb := func(c [3]float64) color.RGBA { return color.RGBA{byte8(c[0]), byte8(c[1]), byte8(c[2]), 255} }
	picture := func(v view.View, region image.Rectangle, w, h int) *image.RGBA {
		m, err := sheet.Picture(t.Context(), r, 0, 1, v, region, w, h)
		require.NoError(t, err)
		require.Equal(t, image.Rect(0, 0, w, h), m.Rect)
		return m
	}
	white, black := color.RGBA{255, 255, 255, 255}, color.RGBA{0, 0, 0, 255}
	m := picture(view.Matte, image.Rectangle{}, 96, 64)
	assert.Equal(t, white, m.RGBAAt(39, 20))
	assert.Equal(t, black, m.RGBAAt(40, 20))
	zoomed := picture(view.Matte, image.Rect(36, 10, 44, 18), 64, 64)
	assert.Equal(t, white, zoomed.RGBAAt(31, 40), "8 x 8 pixels for one")
	assert.Equal(t, black, zoomed.RGBAAt(32, 40))

	cut := picture(view.Cutout, image.Rectangle{}, 96, 64)
	hatch := picture(view.Hatch, image.Rectangle{}, 96, 64)
	grades := picture(view.Trial, image.Rectangle{}, 96, 64)
	dashes, lines := 0, 0
	for y := range 64 {
		for x := range 96 {
			if x < 40 {
				require.Equal(t, rgb(red), cut.RGBAAt(x, y))
				require.Equal(t, rgb(red), hatch.RGBAAt(x, y))
				require.NotEqual(t, rgb(red), grades.RGBAAt(x, y))
				continue
			}
			require.Equal(t, rgb(green), grades.RGBAAt(x, y))
			switch cut.RGBAAt(x, y) {
			case color.RGBA{0x2f, 0x2f, 0x2f, 255}:
				dashes++
			case color.RGBA{0x21, 0x21, 0x21, 255}:
			default:
				require.Fail(t, "a cut-out's ground", "%v at %d, %d", cut.RGBAAt(x, y), x, y)
			}
			if hatch.RGBAAt(x, y) != rgb(green) {
				lines++
			}
		}
	}
	assert.InDelta(t, 64*56/4*5/12, dashes, 20)
	assert.InDelta(t, 64*56/3, lines, 20, "two pixels of six")
	sheet.Matte.Trial.Off = true
	assert.Equal(t, rgb(red), picture(view.Trial, image.Rectangle{}, 96, 64).RGBAAt(10, 10))
}

// A part of another shape lies in the middle of the picture, at its full size, on
// grey; beyond the frame there is nothing to show.
func TestPictureKeepsTheShape(t *testing.T) {
	sheet, r := sheetOn(t, &wall{w: 96, h: 64, left: 96}, 1)
	m, err := sheet.Picture(t.Context(), r, 0, 1, view.Matte, image.Rect(80, 0, 200, 16), 48, 32)
	require.NoError(t, err)
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, m.RGBAAt(24, 16))
	assert.Equal(t, color.RGBA{0x40, 0x40, 0x40, 255}, m.RGBAAt(4, 16), "16 x 16 pixels are shown")
	assert.Equal(t, color.RGBA{255, 255, 255, 255}, m.RGBAAt(9, 0))
	_, err = sheet.Picture(t.Context(), r, 0, 1, view.Matte, image.Rect(96, 0, 120, 16), 48, 32)
	assert.EqualError(t, err, "proof: the part that is shown lies outside the frame, want some of 96 x 64")
}

// The sheet, printed small: an upright edge at three softnesses under a
// trial, on two frames, with the graph.
func TestSheetLooksAsItDid(t *testing.T) {
	film := &wall{w: 640, h: 360, left: 300, sigma: 3}
	sheet, r := sheetOn(t, film, 2)
	require.NoError(t, sheet.Matte.Trial.SetCDL(1, warm()))
	sheet.Frames = []int{1, 2}
	sheet.Study.KeepProof(sheet.Matte, "hard").Note = "as it was picked"
	sheet.Matte.Edge.Soften = study.Constant(3)
	sweep := swept(t, sheet, "soften=0:8:4")
	all := judged(t, sheet, r, new(Cache))
	of := ink.GoType()
	c := Contact{Title: "Proofs of red", About: "wall; frames 1, 2", View: view.Cutout, Sweep: sweep, Chosen: 2, Type: of, Width: 320}
	got, err := sheet.Draw(t.Context(), r, all, c)
	require.NoError(t, err)
	golden(t, "sheet.png", got)

	_, err = (&Sheet{Study: sheet.Study, Matte: sheet.Matte}).Draw(t.Context(), r, nil, c)
	assert.EqualError(t, err, "proof: a sheet of 0 proofs on 0 frames, want one of each or more")
}

// The graph's marks stand where the figures are: by hand, on a plot of 0 to 10 px and
// of 0 to 2.
func TestGraphMarksFigures(t *testing.T) {
	of := ink.GoType()
	dst := image.NewRGBA(image.Rect(0, 0, 256, 264))
	g := Graph{
		Unit: "px", Values: []float64{0, 5, 10}, Rim: []float64{2, 1, 0.5}, Bleed: []float64{0, 1.5, 1.96}, Misfit: []float64{1.8, 1, math.NaN()},
		Least: 2.5, Chosen: math.NaN(), Graded: true,
	}
	require.InDelta(t, 3, g.top(), 1e-9)
	g.Rim[0] = 1.9
	g.Draw(dst, dst.Rect, of, 1)
	// The area is 200 x 200 from (40, 34); the top of the scale is 2.
	at := func(v, y float64) color.NRGBA {
		return color.NRGBA(dst.RGBAAt(40+int(v*20), 34+int(math.Round(200-y*100))))
	}
	assert.Equal(t, ink.Bone, at(5, 1), "a disc covers the misfit's line")
	assert.Equal(t, ink.Bone, at(10-0.01, 0.5))
	assert.Equal(t, ink.Plot, at(5, 1.5), "a square is hollow")
	assert.Equal(t, ink.Plot, at(5, 1.2))
	assert.Equal(t, ink.Accent, color.NRGBA(dst.RGBAAt(90, 230)), "the least misfit")
	assert.Equal(t, ink.Second, at(2.25, 1.44), "misfit")
	Graph{}.Draw(dst, dst.Rect, of, 1)
	assert.Equal(t, ink.Plot, at(5, 1), "nothing is known yet")
}

// golden compares a picture with one of testdata: every sample within 3, as fonts'
// rounding may differ.
func golden(t *testing.T, name string, got *image.RGBA) {
	t.Helper()
	path := filepath.Join("testdata", name)
	write := func(path string) {
		require.NoError(t, os.MkdirAll("testdata", 0o777))
		f, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, got))
		require.NoError(t, f.Close())
	}
	if *update {
		write(path)
	}
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	want, err := png.Decode(f)
	require.NoError(t, err)
	if want.Bounds() != got.Rect {
		write(path + ".got.png")
		t.Fatalf("%s: is %v, want %v; see %s.got.png, or rerun with -update", name, got.Rect, want.Bounds(), path)
	}
	for y := range got.Rect.Dy() {
		for x := range got.Rect.Dx() {
			w, g := color.RGBAModel.Convert(want.At(x, y)).(color.RGBA), got.RGBAAt(x, y)
			for _, d := range []int{int(w.R) - int(g.R), int(w.G) - int(g.G), int(w.B) - int(g.B)} {
				if max(d, -d) > 3 {
					write(path + ".got.png")
					t.Fatalf("%s: pixel (%d,%d) is %v, want %v; see %s.got.png, or rerun with -update", name, x, y, g, w, path)
				}
			}
		}
	}
}
