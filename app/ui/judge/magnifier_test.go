package judge

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/check"
	"halocline/app/desk/watch"
	"halocline/colour"
)

// A stretch stands in the middle, the frame's width of it on both sides; what is
// outside the matte is a quarter as light, what is outside the frame black.
func TestMagnified(t *testing.T) {
	const side = watch.PatchSide
	picked, matte := colour.NewImage(2*side, side), colour.NewPlane(2*side, side)
	for y := range side {
		for x := range 2 * side {
			for _, p := range []colour.Plane{picked.R, picked.G, picked.B} {
				p.Row(y)[x] = 0.8
			}
			if x >= side {
				matte.Row(y)[x] = 1
			}
		}
	}
	m := magnified(&watch.Findings{Picked: picked, Matte: &matte}, check.Patch{X: side})
	grey := func(v uint8) color.RGBA { return color.RGBA{v, v, v, 255} }
	assert.Equal(t, 2*side, m.Bounds().Dx())
	assert.Equal(t, grey(51), m.RGBAAt(0, 3), "outside the matte: 255 * 0.8 / 4")
	assert.Equal(t, grey(204), m.RGBAAt(side, 3), "inside: 255 * 0.8")
	assert.Equal(t, grey(0), m.RGBAAt(2*side-1, 3), "beyond the frame")
}
