package contact

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/app/view"
	"halocline/colour"
)

// Each print is its view at the sheet's size, in rows of three; words stand below.
func TestContactSheet(t *testing.T) {
	shown, matte := colour.NewImage(960, 480), colour.NewPlane(960, 480)
	for y := range 480 {
		for x := range 960 {
			shown.G.Row(y)[x] = 0.5
			if x >= 480 {
				matte.Row(y)[x] = 1
			}
		}
	}
	l := view.Layers{Region: image.Rect(0, 0, 960, 480), Factor: 1, Shown: shown, Matte: &matte}
	sheet, err := Of(t.Context(), Three, []Print{
		{view.Frame, l, "the frame", "as it came"}, {view.Matte, l, "matte", ""}, {view.Cutout, l, "", ""}, {view.Frame, l, "", ""},
	})
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 16+3*496, 16+2*298), sheet.Rect)
	green, white := color.RGBA{0, 128, 0, 255}, color.RGBA{255, 255, 255, 255}
	at := func(column, row, x, y int) color.RGBA { return sheet.RGBAAt(16+column*496+x, 16+row*298+y) }
	assert.Equal(t, green, at(0, 0, 100, 100))
	assert.Equal(t, green, at(0, 1, 479, 239))
	assert.Equal(t, color.RGBA{0, 0, 0, 255}, at(1, 0, 239, 100))
	assert.Equal(t, white, at(1, 0, 240, 100))
	assert.Equal(t, green, at(2, 0, 240, 100))
	assert.Equal(t, color.RGBA{0x2f, 0x2f, 0x2f, 255}, at(2, 0, 0, 1), "dashes of the sheet's own pixels")
	assert.Equal(t, color.RGBA(ink.Window), at(1, 1, 240, 100), "no fifth print")
	lit := 0
	for y := 240; y < 282; y++ {
		for x := range 480 {
			if at(0, 0, x, y).R > 0x80 {
				lit++
			}
		}
	}
	assert.Greater(t, lit, 150, "words")
	l.Matte = nil
	_, err = Of(t.Context(), Three, []Print{{view.Matte, l, "", ""}})
	assert.EqualError(t, err, "view: Matte needs a matte, found none")
}

// A sheet has room for its prints alone: fewer than a row make it narrower, and more than
// memory bears are refused with the number that goes.
func TestSizeOfASheet(t *testing.T) {
	matte := colour.NewPlane(320, 180)
	one := Print{View: view.Matte, Layers: view.Layers{Region: image.Rect(0, 0, 320, 180), Factor: 1, Matte: &matte}}
	sheet, err := Of(t.Context(), Layout{Columns: 5, Width: 320}, []Print{one, one})
	require.NoError(t, err)
	assert.Equal(t, image.Rect(0, 0, 16+2*336, 16+238), sheet.Rect)
	asked := 0
	_, err = Draw(t.Context(), Layout{Columns: 5, Width: 320}, 10_000, func(int) (Print, error) { asked++; return one, nil })
	require.EqualError(t, err, "contact: a sheet of 10000 pictures, want 615 or fewer")
	assert.Equal(t, 1, asked)
	_, err = newSheet(Layout{Columns: 5, Width: 320}, 615, image.Pt(320, 180))
	require.NoError(t, err)
	_, err = newSheet(Layout{Columns: 5, Width: 320}, 616, image.Pt(320, 180))
	require.Error(t, err)
	_, err = Of(t.Context(), Three, nil)
	require.EqualError(t, err, "contact: a sheet of no pictures, want one or more")
}
