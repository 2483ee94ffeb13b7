package ink

import (
	"image"
	"image/color"
)

// over blends a colour over the pixel at p[0:4] by a cover of [0,255].
func over(p []uint8, c color.NRGBA, cover uint32) {
	a := (cover*uint32(c.A) + 127) / 255
	b := 255 - a
	p = p[:3:3]
	p[0] = uint8((uint32(p[0])*b + uint32(c.R)*a + 127) / 255)
	p[1] = uint8((uint32(p[1])*b + uint32(c.G)*a + 127) / 255)
	p[2] = uint8((uint32(p[2])*b + uint32(c.B)*a + 127) / 255)
}

// run blends a colour by one cover over the pixels [x0,x1) of row y, all of
// which lie inside dst.
func run(dst *image.RGBA, y, x0, x1 int, c color.NRGBA, cover uint32) {
	if x0 >= x1 {
		return
	}
	row := dst.Pix[dst.PixOffset(x0, y):][:4*(x1-x0)]
	if cover == 255 && c.A == 255 {
		for ; len(row) >= 4; row = row[4:] {
			row[0], row[1], row[2] = c.R, c.G, c.B
		}
		return
	}
	for ; len(row) >= 4; row = row[4:] {
		over(row, c, cover)
	}
}

// Fill fills a rectangle; where its sides part pixels, by their share.
func Fill(dst *image.RGBA, r Rect, fill color.NRGBA) {
	if !known(r.X0+r.X1) || !known(r.Y0+r.Y1) || r.X0 >= r.X1 || r.Y0 >= r.Y1 {
		return
	}
	in := around(dst.Rect, r.X0, r.Y0, r.X1, r.Y1)
	for y := in.Min.Y; y < in.Max.Y; y++ {
		rows := share(r.Y0, r.Y1, y)
		left, right := in.Min.X, in.Max.X
		if left < right && share(r.X0, r.X1, left) < 1 {
			run(dst, y, left, left+1, fill, code(rows*share(r.X0, r.X1, left)))
			left++
		}
		if left < right && share(r.X0, r.X1, right-1) < 1 {
			right--
			run(dst, y, right, right+1, fill, code(rows*share(r.X0, r.X1, right)))
		}
		run(dst, y, left, right, fill, code(rows))
	}
}

// share is how much of [i,i+1) lies in [a,b].
func share(a, b float64, i int) float64 {
	return max(0, min(b, float64(i+1))-max(a, float64(i)))
}

// code is a share of [0,1] in 8 bits.
func code(v float64) uint32 { return uint32(v*255 + 0.5) }
