package clip

import (
	"context"
	"fmt"
	"image"
	"image/color"

	"halocline/colour"
)

// A rowReader writes row y of a picture to three rows of a colour.Image. The
// kind of picture is decided once, when the reader is made.
type rowReader func(y int, r, g, b []float32)

// planes converts a decoded picture, as stored, to planes.
func (h *header) planes(ctx context.Context, picture image.Image) (*colour.Image, error) {
	read := h.rows(picture)
	m := colour.NewImage(h.Width, h.Height)
	err := colour.EachBand(ctx, 0, h.Height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			read(y, m.R.Row(y), m.G.Row(y), m.B.Row(y))
		}
	})
	return m, err
}

// plane converts a picture that its decoder gives as grey.
func (h *header) plane(ctx context.Context, picture image.Image) (p colour.Plane, isGrey bool, err error) {
	read := greyRows(picture)
	if read == nil {
		return p, false, nil
	}
	p = colour.NewPlane(h.Width, h.Height)
	err = colour.EachBand(ctx, 0, h.Height, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			read(y, p.Row(y))
		}
	})
	return p, true, err
}

// rows returns the reader for a picture of any type the decoders give.
func (h *header) rows(picture image.Image) rowReader {
	if grey := greyRows(picture); grey != nil {
		return func(y int, r, g, b []float32) {
			grey(y, r)
			copy(g, r)
			copy(b, r)
		}
	}
	switch m := picture.(type) {
	case *pngPicture:
		return m.reader()
	case *image.Paletted:
		return palettedRows(m)
	case *image.RGBA:
		if h.multiplied {
			return dividedRows(m)
		}
		return bytes4Rows(m.Pix, m.Stride)
	case *image.NRGBA:
		return bytes4Rows(m.Pix, m.Stride)
	case *image.RGBA64:
		if h.multiplied {
			return divided64Rows(m)
		}
		return bytes8Rows(m.Pix, m.Stride)
	case *image.NRGBA64:
		return bytes8Rows(m.Pix, m.Stride)
	case *image.YCbCr:
		return ycbcrRows(m, h.studio)
	case *image.NYCbCrA:
		return ycbcrRows(&m.YCbCr, h.studio)
	case *image.CMYK:
		return cmykRows(m)
	}
	panic(fmt.Sprintf("clip: a decoder gave a %T", picture)) // the list above is what they have
}

// eight is v/255 for every 8-bit code. Where v/65535 meets it, at v*257, the
// quotients are equal and so are their roundings.
var eight = func() (t [256]float32) {
	for v := range t {
		t[v] = colour.FromCode8(uint8(v))
	}
	return t
}()

// sixteen is v/65535, rounded once, for a code stored high byte first. The
// product in float64 is the quicker form of float32(v)/65535; they agree for
// all 65536 codes, as TestEveryCodeOf16BitsIsKept shows.
func sixteen(high, low byte) float32 {
	return float32(float64(int32(high)<<8|int32(low)) * (1.0 / 65535))
}

// alphaAt is the alpha of a picture's pixel, 1 where it has no alpha.
func alphaAt(picture image.Image, x, y int) float32 {
	if p, ok := picture.(*pngPicture); ok {
		return p.alphaAt(x, y)
	}
	_, _, _, a := picture.At(x, y).RGBA()
	return sixteen(byte(a>>8), byte(a))
}

// greyRows returns the reader of a grey picture, nil for others.
func greyRows(picture image.Image) func(y int, p []float32) {
	switch m := picture.(type) {
	case *pngPicture:
		if m.samples < 3 {
			return m.greyReader()
		}
	case *image.Gray:
		return func(y int, p []float32) {
			for x, v := range m.Pix[y*m.Stride:][:len(p)] {
				p[x] = eight[v]
			}
		}
	case *image.Gray16:
		return func(y int, p []float32) {
			pix := m.Pix[y*m.Stride:][:2*len(p)]
			for x := range p {
				p[x] = sixteen(pix[2*x], pix[2*x+1])
			}
		}
	}
	return nil
}

func bytes4Rows(pix []byte, stride int) rowReader {
	return func(y int, r, g, b []float32) {
		row := pix[y*stride:][:4*len(r)]
		g, b = g[:len(r)], b[:len(r)]
		for x := range r {
			p := row[4*x:][:3]
			r[x], g[x], b[x] = eight[p[0]], eight[p[1]], eight[p[2]]
		}
	}
}

func bytes8Rows(pix []byte, stride int) rowReader {
	return func(y int, r, g, b []float32) {
		row := pix[y*stride:][:8*len(r)]
		g, b = g[:len(r)], b[:len(r)]
		for x := range r {
			p := row[8*x:][:6]
			r[x], g[x], b[x] = sixteen(p[0], p[1]), sixteen(p[2], p[3]), sixteen(p[4], p[5])
		}
	}
}

// divided returns the straight colour of v stored multiplied by alpha a. Under
// alpha 0 colour is what is stored; above alpha it is 1.
func divided(v, a, most float32) float32 {
	switch {
	case a == 0:
		return v / most
	case v >= a:
		return 1
	}
	return v / a
}

func dividedRows(m *image.RGBA) rowReader {
	return func(y int, r, g, b []float32) {
		row := m.Pix[y*m.Stride:][:4*len(r)]
		for x := range r {
			p := row[4*x:][:4]
			a := float32(p[3])
			r[x] = divided(float32(p[0]), a, 255)
			g[x] = divided(float32(p[1]), a, 255)
			b[x] = divided(float32(p[2]), a, 255)
		}
	}
}

func divided64Rows(m *image.RGBA64) rowReader {
	return func(y int, r, g, b []float32) {
		row := m.Pix[y*m.Stride:][:8*len(r)]
		for x := range r {
			p := row[8*x:][:8]
			a := code16(p[6:])
			r[x] = divided(code16(p), a, 65535)
			g[x] = divided(code16(p[2:]), a, 65535)
			b[x] = divided(code16(p[4:]), a, 65535)
		}
	}
}

func code16(p []byte) float32 { return float32(int32(p[0])<<8 | int32(p[1])) }

// palettedRows looks colours up. Indices beyond the palette are black, as PNG asks.
func palettedRows(m *image.Paletted) rowReader {
	var red, green, blue [256]float32
	most := float32(65535)
	if shortMap(m.Palette) {
		most = 255
	}
	for i, c := range m.Palette[:min(len(m.Palette), 256)] {
		switch c := c.(type) {
		case color.NRGBA:
			red[i], green[i], blue[i] = eight[c.R], eight[c.G], eight[c.B]
		case color.RGBA: // opaque
			red[i], green[i], blue[i] = eight[c.R], eight[c.G], eight[c.B]
		case color.RGBA64: // opaque
			red[i], green[i], blue[i] = float32(c.R)/most, float32(c.G)/most, float32(c.B)/most
		}
	}
	return func(y int, r, g, b []float32) {
		g, b = g[:len(r)], b[:len(r)]
		for x, i := range m.Pix[y*m.Stride:][:len(r)] {
			r[x], g[x], b[x] = red[i], green[i], blue[i]
		}
	}
}

// shortMap reports whether a TIFF's map of 16-bit colours has 8-bit ones, as
// some old writers left it: not one is above 255 (common practice, no source).
func shortMap(p color.Palette) bool {
	for _, c := range p {
		if c, ok := c.(color.RGBA64); !ok || c.R|c.G|c.B > 255 {
			return false
		}
	}
	return true
}

// cmykRows multiplies each ink's paper with that of black: what the decoder
// gives is 0 for no ink, whichever way round the file had it.
func cmykRows(m *image.CMYK) rowReader {
	return func(y int, r, g, b []float32) {
		row := m.Pix[y*m.Stride:][:4*len(r)]
		g, b = g[:len(r)], b[:len(r)]
		for x := range r {
			p := row[4*x:][:4]
			k := eight[255-p[3]]
			r[x] = float32(eight[255-p[0]] * k)
			g[x] = float32(eight[255-p[1]] * k)
			b[x] = float32(eight[255-p[2]] * k)
		}
	}
}
