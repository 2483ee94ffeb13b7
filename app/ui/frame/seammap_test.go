package frame

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/seam"
	"halocline/app/desk/watch"
	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
)

func TestBandWidth(t *testing.T) {
	assert.Equal(t, 2.0, bandWidth(0, 0))
	assert.Equal(t, 8.0, bandWidth(2, 4), "3 for each CIEDE2000")
	assert.Equal(t, 24.0, bandWidth(20, 20), "the widest")
	assert.Equal(t, 13.0, bandWidth(10, 20), "all of them in proportion")
	assert.Equal(t, 24.0, bandWidth(30, 20), "beyond the widest")
}

// A disc of radius 1 about a pixel's middle has that pixel and its four neighbours;
// the borders are those four, and the eight beside them.
func TestBordersOfABand(t *testing.T) {
	b := newBandMask(7, 7)
	b.disc(3.5, 3.5, 1)
	at := func(all []int32) (points []image.Point) {
		for _, i := range all {
			points = append(points, image.Pt(int(i)%7, int(i)/7))
		}
		return points
	}
	inside, beside := b.borders()
	assert.ElementsMatch(t, []image.Point{{3, 2}, {2, 3}, {4, 3}, {3, 4}}, at(inside))
	assert.ElementsMatch(t, []image.Point{{3, 1}, {2, 2}, {4, 2}, {1, 3}, {5, 3}, {2, 4}, {4, 4}, {3, 5}}, at(beside))
	assert.True(t, b.contains(0, 6.9))
	assert.False(t, b.contains(7, 3))
	b.disc(-5, 90, 30) // beyond the view, without harm
}

// The map is drawn about the outline where it lies in the view, is named where it is
// widest, and is for pictures of its view alone.
func TestTheSeamMap(t *testing.T) {
	vp := view.Viewport{W: 200, H: 100, VW: 400, VH: 200}.Fit()
	s := &watch.Seam{Widest: 4}
	for x := range 200 {
		p := seam.Piece{X0: float32(x), X1: float32(x + 1), Y0: 50, Y1: 50}
		p.Misfit = 1
		if x == 150 {
			p.Misfit = 4
		}
		s.Along = append(s.Along, p)
	}
	s.Along = append(s.Along, seam.Piece{X0: 900, X1: 901, Y0: 50, Y1: 50})
	pieces := thinned(s.Along, vp, 1)
	assert.Len(t, pieces, 200, "two screen pixels apart: all but the one far off")
	assert.Len(t, thinned(s.Along, vp, 4), 67, "six screen pixels to each")

	m := newSeamMap(seamMapOf{s, vp, 1})
	assert.Equal(t, ink.Pt{X: 301, Y: 100}, m.worst)
	dst := image.NewRGBA(image.Rect(0, 0, 400, 200))
	for i := range dst.Pix {
		dst.Pix[i] = 200
	}
	m.draw(dst)
	bone := color.RGBA{look.Bone.R, look.Bone.G, look.Bone.B, 200}
	plain, rim := color.RGBA{200, 200, 200, 200}, color.RGBA{50, 50, 50, 200}
	column := func(x int) (from, to int) {
		from = -1
		for y := range 200 {
			if dst.RGBAAt(x, y) == bone {
				if from < 0 {
					from = y
				}
				to = y
			}
		}
		return from, to
	}
	from, to := column(100)
	assert.InDelta(t, 5, to-from+1, 1, "2 + 3 a CIEDE2000")
	assert.Equal(t, rim, dst.RGBAAt(100, from-1))
	assert.Equal(t, plain, dst.RGBAAt(100, from-2))
	from, to = column(301)
	assert.InDelta(t, 14, to-from+1, 1)

	small := image.NewRGBA(image.Rect(0, 0, 40, 20))
	m.draw(small)
	assert.Equal(t, make([]uint8, len(small.Pix)), small.Pix)
	require.NotEmpty(t, m.light)
}
