package colour

import "image"

// This file is the only place where samples are clamped and rounded to codes.

// Code8 returns v in 8 bits: v*255 rounded half up, clamped to [0,255]; 0 where v
// is not a number.
func Code8(v float32) uint8 {
	if !(v > 0) {
		return 0
	}
	if v >= 1 {
		return 255
	}
	return uint8(float64(v)*255 + 0.5) // the product is exact in float64
}

// Code16 returns v in 16 bits: v*65535 rounded half up, clamped to [0,65535]; 0
// where v is not a number.
func Code16(v float32) uint16 {
	if !(v > 0) {
		return 0
	}
	if v >= 1 {
		return 65535
	}
	return uint16(float64(v)*65535 + 0.5) // the product is exact in float64
}

// Codes8 writes the 8-bit codes of src to dst, which has its length.
func Codes8(dst []uint8, src []float32) {
	dst = dst[:len(src)]
	for i, v := range src {
		dst[i] = Code8(v)
	}
}

// Codes16BE writes the 16-bit codes of src to dst, the high byte first as PNG
// has them; dst has twice its length.
func Codes16BE(dst []uint8, src []float32) {
	dst = dst[:2*len(src)]
	for i, v := range src {
		code := Code16(v)
		dst[2*i], dst[2*i+1] = uint8(code>>8), uint8(code)
	}
}

// FromCode8 is code/255, correctly rounded.
func FromCode8(code uint8) float32 { return float32(code) / 255 }

// FromCode16 is code/65535, correctly rounded.
func FromCode16(code uint16) float32 { return float32(code) / 65535 }

// RGBARow writes a row of R, G, B as opaque 8-bit pixels R, G, B, 255. pix has
// four times the length of r.
func RGBARow(pix []uint8, r, g, b []float32) {
	g, b, pix = g[:len(r)], b[:len(r)], pix[:4*len(r)]
	for x, red := range r {
		p := pix[4*x : 4*x+4 : 4*x+4]
		p[0], p[1], p[2], p[3] = Code8(red), Code8(g[x]), Code8(b[x]), 255
	}
}

// RGBA makes dst an opaque view of m, reusing its memory where that suffices;
// nil makes a new one.
func (m *Image) RGBA(dst *image.RGBA) *image.RGBA {
	w, h := m.Size()
	if dst == nil {
		dst = &image.RGBA{}
	}
	dst.Pix, dst.Stride, dst.Rect = Resized(dst.Pix, 4*w*h), 4*w, image.Rect(0, 0, w, h)
	for y := range h {
		RGBARow(dst.Pix[y*dst.Stride:], m.R.Row(y), m.G.Row(y), m.B.Row(y))
	}
	return dst
}

// Gray makes dst an 8-bit view of p, reusing its memory where that suffices;
// nil makes a new one.
func (p Plane) Gray(dst *image.Gray) *image.Gray {
	if dst == nil {
		dst = &image.Gray{}
	}
	dst.Pix, dst.Stride, dst.Rect = Resized(dst.Pix, p.W*p.H), p.W, image.Rect(0, 0, p.W, p.H)
	Codes8(dst.Pix, p.Pix)
	return dst
}
