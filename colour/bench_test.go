package colour

import (
	"fmt"
	"testing"

	"github.com/lucasb-eyer/go-colorful"
)

// Every fast form runs beside its plain twin; the ratio of the two in one run
// is the figure, the milliseconds are only today's machine.

var benchSizes = [][2]int{{1920, 1080}, {3840, 2160}}

// benchSized runs the fast form with one and two workers and the plain one
// once, on both sizes. The plain twin works on 1/16 of the rows; ns/px is
// comparable across all.
func benchSized(b *testing.B, prepare func(src *Image), fast func(src *Image, workers int), plain map[string]func(src *Image)) {
	for _, size := range benchSizes {
		w, h := size[0], size[1]
		src := testPicture(w, h, 0.015, 1)
		if prepare != nil {
			prepare(src)
		}
		for _, workers := range []int{1, 2} {
			b.Run(fmt.Sprintf("%dp/fast-%d", h, workers), func(b *testing.B) {
				for b.Loop() {
					fast(src, workers)
				}
				perPixel(b, w*h)
			})
		}
		part := &Image{cutRows(src.R, h/16), cutRows(src.G, h/16), cutRows(src.B, h/16)}
		for name, run := range plain {
			b.Run(fmt.Sprintf("%dp/%s", h, name), func(b *testing.B) {
				for b.Loop() {
					run(part)
				}
				perPixel(b, w*(h/16))
			})
		}
	}
}

func cutRows(p Plane, rows int) Plane { return Plane{W: p.W, H: rows, Pix: p.Pix[:p.W*rows]} }

func perPixel(b *testing.B, pixels int) {
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(pixels), "ns/px")
}

func BenchmarkSmoothNoise(b *testing.B) {
	var s Smoother
	dst, out := &Image{}, &Image{}
	noise := [3]float64{0.015, 0.015, 0.015}
	benchSized(b, nil,
		func(src *Image, workers int) { _ = s.SmoothNoise(background, dst, src, noise, workers) },
		map[string]func(*Image){"plain": func(src *Image) {
			w, h := src.Size()
			out.Reshape(w, h)
			plainSmoothNoise(out, src, SmoothSigma(noise))
		}})
}

func BenchmarkNoise(b *testing.B) {
	benchSized(b, nil,
		func(src *Image, _ int) { Noise(src) },
		map[string]func(*Image){"plain": func(src *Image) {
			for _, p := range src.planes() {
				slowNoise(p)
			}
		}})
}

// plainChannels is a picture converted pixel by pixel by the definition.
func plainChannels(c *channels, src *Image, definition func(RGB) (Degrees, float64, float64, bool)) {
	w, h := src.Size()
	c.H.Reshape(w, h)
	c.S.Reshape(w, h)
	c.L.Reshape(w, h)
	for i := range src.R.Pix {
		hue, s, l, ok := definition(RGB{float64(src.R.Pix[i]), float64(src.G.Pix[i]), float64(src.B.Pix[i])})
		if !ok {
			hue = NoHue
		}
		c.H.Pix[i], c.S.Pix[i], c.L.Pix[i] = float32(hue), float32(s), float32(l)
	}
}

func BenchmarkHSL(b *testing.B) {
	var c, out channels
	benchSized(b, nil,
		func(src *Image, workers int) { c.from(src, workers, HSLRow) },
		map[string]func(*Image){
			"plain": func(src *Image) { plainChannels(&out, src, defineHSL) },
			"colorful": func(src *Image) {
				plainChannels(&out, src, func(c RGB) (Degrees, float64, float64, bool) {
					h, s, l := colorful.Color(c).Hsl()
					return Degrees(h), s, l, true
				})
			},
		})
}

func BenchmarkLCh(b *testing.B) {
	var c, out channels
	benchSized(b, nil,
		func(src *Image, workers int) { c.from(src, workers, LChRow) },
		map[string]func(*Image){
			"plain": func(src *Image) { plainChannels(&out, src, defineLCh) },
			"colorful": func(src *Image) {
				plainChannels(&out, src, func(c RGB) (Degrees, float64, float64, bool) {
					h, s, l := colorful.Color(c).Hcl()
					return Degrees(h), s, l, true
				})
			},
		})
}

func BenchmarkBase(b *testing.B) {
	base := testBases()["all"]
	curves, err := base.Curves()
	if err != nil {
		b.Fatal(err)
	}
	dst, out := &Image{}, &Image{}
	benchSized(b, nil,
		func(src *Image, workers int) { _ = curves.Apply(background, dst, src, workers) },
		map[string]func(*Image){"plain": func(src *Image) {
			w, h := src.Size()
			out.Reshape(w, h)
			f := base.tones()
			for c, p := range src.planes() {
				into := out.planes()[c].Pix
				for i, v := range p.Pix {
					into[i] = float32(f[c].encoded(float64(v)))
				}
			}
		}})
}

// BenchmarkCurves is what a change of a base's settings costs before the first
// pixel.
func BenchmarkCurves(b *testing.B) {
	for name, base := range testBases() {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := base.Curves(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkGrade(b *testing.B) {
	d := testCDLs()["all"]
	g, err := d.Grade()
	if err != nil {
		b.Fatal(err)
	}
	dst, out := &Image{}, &Image{}
	benchSized(b, nil,
		func(src *Image, workers int) { _ = g.Apply(background, dst, src, workers) },
		map[string]func(*Image){"plain": func(src *Image) {
			w, h := src.Size()
			out.Reshape(w, h)
			for y := range h {
				for x := range w {
					v := d.Colour(src.RGB(x, y))
					i := y*w + x
					out.R.Pix[i], out.G.Pix[i], out.B.Pix[i] = float32(v.R), float32(v.G), float32(v.B)
				}
			}
		}})
}

// BenchmarkGradeTables is what a change of a grade costs before the first pixel.
func BenchmarkGradeTables(b *testing.B) {
	for name, d := range testCDLs() {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if _, err := d.Grade(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkRGBA(b *testing.B) {
	src := testPicture(1920, 1080, 0.01, 1)
	view := src.RGBA(nil)
	for b.Loop() {
		src.RGBA(view)
	}
	perPixel(b, 1920*1080)
}
