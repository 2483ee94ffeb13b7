package view

import (
	"encoding/binary"
	"image"
	"math"
)

// Clear fills a view with the surround alone.
func Clear(dst *image.RGBA) { fill(dst.Pix, surround) }

// Warp shows what one viewport shows of a picture, src, as another has it, by the
// nearest pixels: what stands in until it is composed. What src does not show is
// the surround; all of it is where they are of pictures of two sizes, or empty.
func Warp(dst *image.RGBA, to Viewport, src *image.RGBA, from Viewport) {
	if to.W != from.W || to.H != from.H || to.Empty() || from.Empty() {
		Clear(dst)
		return
	}
	tox, toy := to.origin()
	fox, foy := from.origin()
	xs := warpAxis(to.VW, tox, to.Zoom, src.Rect.Dx(), fox, from.Zoom)
	ys := warpAxis(to.VH, toy, to.Zoom, src.Rect.Dy(), foy, from.Zoom)
	for y, sy := range ys {
		out := dst.Pix[y*dst.Stride:][:4*len(xs)]
		if sy < 0 {
			fill(out, surround)
			continue
		}
		row := src.Pix[sy*src.Stride:]
		for x, sx := range xs {
			if sx < 0 {
				setGrey(out[4*x:], surround)
				continue
			}
			binary.LittleEndian.PutUint32(out[4*x:], binary.LittleEndian.Uint32(row[4*sx:]))
		}
	}
}

// warpAxis says for each pixel of one view which pixel of another shows the
// same, along one axis; -1 for none.
func warpAxis(n int, to, toZoom float64, count int, from, fromZoom float64) []int {
	at := make([]int, n)
	for i := range at {
		j := math.Floor((float64(i)+0.5-to)/toZoom*fromZoom + from)
		if at[i] = -1; j >= 0 && j < float64(count) {
			at[i] = int(j)
		}
	}
	return at
}
