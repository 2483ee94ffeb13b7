package clip

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"math"
	"math/rand/v2"
	"testing"

	"halocline/colour"
)

// seaRGBA64 is a smooth picture under noise: it compresses as footage does.
func seaRGBA64(w, h int) *image.RGBA64 {
	m := image.NewRGBA64(image.Rect(0, 0, w, h))
	rng := rand.New(rand.NewPCG(1, 1))
	for y := range h {
		for x := range w {
			p := m.Pix[y*m.Stride+8*x:][:8]
			for c := range 3 {
				v := 20000 + 9000*math.Sin(float64(x+y*(c+1))/90) + 400*rng.NormFloat64()
				p[2*c], p[2*c+1] = byte(uint16(v)>>8), byte(uint16(v))
			}
			p[6], p[7] = 255, 255
		}
	}
	return m
}

func seaRGBA(w, h int) *image.RGBA {
	deep, m := seaRGBA64(w, h), image.NewRGBA(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = deep.Pix[2*i]
	}
	return m
}

// seaYCbCr stays within the cube, as nearly all of a photograph does.
func seaYCbCr(w, h int) *image.YCbCr {
	m, sea := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420), seaRGBA(w, h)
	for i := range m.Y {
		m.Y[i] = sea.Pix[4*i]
	}
	for i := range m.Cb {
		m.Cb[i], m.Cr[i] = 128+sea.Pix[4*i+1]/8, 128-sea.Pix[4*i+2]/8
	}
	return m
}

// BenchmarkPlanes converts decoded pictures: fast, on one worker and on two,
// and the plain way through At. The ratio in one run is the figure; for Y'CbCr
// of 4:2:0 also that to repeated chroma on one worker.
func BenchmarkPlanes(b *testing.B) {
	for _, size := range [][2]int{{1920, 1080}, {3840, 2160}} {
		w, h := size[0], size[1]
		ycbcr := seaYCbCr(w, h)
		for name, m := range map[string]image.Image{"rgb8": seaRGBA(w, h), "rgb16": seaRGBA64(w, h), "ycbcr": ycbcr} {
			head := &header{Info: Info{Width: w, Height: h}}
			b.Run(fmt.Sprintf("%dp/%s/fast", h, name), func(b *testing.B) {
				for b.Loop() {
					_, _ = head.planes(background, m)
				}
			})
			out, read := colour.NewImage(w, h), head.rows(m)
			b.Run(fmt.Sprintf("%dp/%s/fast-1-reused", h, name), func(b *testing.B) {
				for b.Loop() {
					for y := range h {
						read(y, out.R.Row(y), out.G.Row(y), out.B.Row(y))
					}
				}
			})
			if m == image.Image(ycbcr) {
				repeat := repeatedRows(ycbcr, false)
				b.Run(fmt.Sprintf("%dp/%s/repeated-1-reused", h, name), func(b *testing.B) {
					for b.Loop() {
						for y := range h {
							repeat(y, out.R.Row(y), out.G.Row(y), out.B.Row(y))
						}
					}
				})
			}
			b.Run(fmt.Sprintf("%dp/%s/plain", h, name), func(b *testing.B) {
				for b.Loop() {
					plainPlanes(m)
				}
			})
		}
	}
}

// BenchmarkReadPNG reads whole files, against image/png followed by At.
func BenchmarkReadPNG(b *testing.B) {
	for _, size := range [][2]int{{1920, 1080}, {3840, 2160}} {
		w, h := size[0], size[1]
		for name, m := range map[string]image.Image{"rgb8": seaRGBA(w, h), "rgb16": seaRGBA64(w, h)} {
			file := asPNG(m)
			b.Run(fmt.Sprintf("%dp/%s/read", h, name), func(b *testing.B) {
				for b.Loop() {
					_, _, _ = readImage(background, memory(file))
				}
			})
			b.Run(fmt.Sprintf("%dp/%s/decode", h, name), func(b *testing.B) {
				for b.Loop() {
					_, _ = png.Decode(bytes.NewReader(file))
				}
			})
			b.Run(fmt.Sprintf("%dp/%s/plain", h, name), func(b *testing.B) {
				for b.Loop() {
					m, _ := png.Decode(bytes.NewReader(file))
					plainPlanes(m)
				}
			})
		}
	}
}
