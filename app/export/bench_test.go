package export

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/klauspost/compress/flate"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// finishedMatte is like the matte of a figure over sand: two thirds of it 0,
// a figure of 1 with edges from 2 to 20 px soft, half-tones where the water
// lies over it, and patches where a pick lets the picture's noise through.
func finishedMatte(w, h int) colour.Plane {
	rnd := rand.New(rand.NewPCG(7, 11))
	p := colour.NewPlane(w, h)
	scale := 1080 / float64(h)
	for y := range h {
		row := p.Row(y)
		for x := range row {
			fx, fy := float64(x)*scale, float64(y)*scale
			body := hills(fx, fy, 310)
			soft := 0.01 + 0.05*max(0, hills(fx+9000, fy, 500))
			v := smooth((body - 0.12) / soft)
			if speckle := hills(fx, fy+5000, 260); speckle > 0.42 {
				v += (0.05 + 0.1*v) * rnd.NormFloat64() * min(1, (speckle-0.42)*8)
			}
			row[x] = float32(min(max(v, 0), 1))
		}
	}
	return soften(p)
}

// hills is a smooth field over the plane, about in [-1,1], of a wavelength.
func hills(x, y, wave float64) float64 {
	k := 2 * math.Pi / wave
	v := math.Sin(k*(x+0.3*y)) + math.Sin(k*(0.62*y-0.41*x)+1.3) + math.Sin(k*1.73*(0.5*x+0.9*y)+4.1)
	return (v + 0.25*math.Sin(k*5.1*(x-0.2*y)) + 0.25*math.Sin(k*6.3*(y+0.4*x))) / 3
}

func smooth(u float64) float64 {
	u = min(max(u, 0), 1)
	return u * u * (3 - 2*u)
}

// soften is the binomial filter 1 4 6 4 1 both ways.
func soften(p colour.Plane) colour.Plane {
	across := func(src colour.Plane) colour.Plane {
		dst := colour.NewPlane(src.H, src.W) // turned over
		for y := range src.H {
			row := src.Row(y)
			for x := range row {
				at := func(dx int) float32 { return row[min(max(x+dx, 0), src.W-1)] }
				dst.Row(x)[y] = (at(-2) + at(2) + 4*(at(-1)+at(1)) + 6*at(0)) / 16
			}
		}
		return dst
	}
	return across(across(p))
}

// standard makes image/png's picture of p.
func standard(p colour.Plane, depth int) image.Image {
	if depth == 8 {
		return p.Gray(nil)
	}
	m := image.NewGray16(image.Rect(0, 0, p.W, p.H))
	colour.Codes16BE(m.Pix, p.Pix)
	return m
}

var sizes = []struct {
	name string
	w, h int
}{{"1080p", 1920, 1080}, {"4K", 3840, 2160}}

// BenchmarkMatte compares with image/png, whose time leaves out the rounding
// to codes that ours has in it. All on one thread.
func BenchmarkMatte(b *testing.B) {
	for _, size := range sizes {
		p := finishedMatte(size.w, size.h)
		for _, depth := range []int{16, 8} {
			name := fmt.Sprintf("%s/%d", size.name, depth)
			b.Run(name+"/ours", func(b *testing.B) {
				e := Encoder{Workers: 1}
				benchmark(b, func(w io.Writer) error { return e.Grey(context.Background(), w, p, depth) })
			})
			b.Run(name+"/default", func(b *testing.B) {
				m := standard(p, depth)
				benchmark(b, func(w io.Writer) error { return png.Encode(w, m) })
			})
			b.Run(name+"/fastest", func(b *testing.B) {
				m := standard(p, depth)
				e := png.Encoder{CompressionLevel: png.BestSpeed}
				benchmark(b, func(w io.Writer) error { return e.Encode(w, m) })
			})
		}
	}
}

// benchmark runs encode and reports the size of what it writes.
func benchmark(b *testing.B, encode func(io.Writer) error) {
	var buf bytes.Buffer
	b.ReportAllocs()
	least(b, func() {
		buf.Reset()
		require.NoError(b, encode(&buf))
	})
	b.ReportMetric(float64(buf.Len()), "bytes")
}

// least runs do and reports its shortest time, which a busy machine disturbs
// less than the mean.
func least(b *testing.B, do func()) {
	best := time.Duration(math.MaxInt64)
	for b.Loop() {
		start := time.Now()
		do()
		best = min(best, time.Since(start))
	}
	b.ReportMetric(float64(best.Microseconds())/1000, "least-ms")
}

// BenchmarkStages shows where the time of a 16-bit matte of 1080p goes.
func BenchmarkStages(b *testing.B) {
	p := finishedMatte(1920, 1080)
	r := raster{w: p.W, h: p.H, depth: 16, kind: grey}
	fill := func(dst []byte, y int) { codes(dst, 16, p.Row(y)) }
	eachStrip := func(do func(n, y0, y1 int)) {
		for n := 0; n*stripRows < p.H; n++ {
			do(n, n*stripRows, min((n+1)*stripRows, p.H))
		}
	}
	b.Run("codes", func(b *testing.B) {
		row := make([]byte, r.stride())
		least(b, func() {
			for y := range p.H {
				fill(row, y)
			}
		})
	})
	b.Run("codes+filter+sum", func(b *testing.B) {
		var k scratch
		least(b, func() {
			eachStrip(func(_, y0, y1 int) { k.filter(r.stride(), y0, y1, fill) })
		})
	})
	b.Run("deflate", func(b *testing.B) {
		var k scratch
		filtered := map[int][]byte{}
		eachStrip(func(n, y0, y1 int) {
			k.filter(r.stride(), y0, y1, fill)
			filtered[n] = bytes.Clone(k.filtered)
		})
		z, err := flate.NewWriter(nil, level)
		require.NoError(b, err)
		var buf bytes.Buffer
		least(b, func() {
			buf.Reset()
			eachStrip(func(n, _, _ int) {
				z.Reset(&buf)
				z.Write(filtered[n])
				z.Flush()
			})
		})
	})
	b.Run("write", func(b *testing.B) {
		e := Encoder{Workers: 1}
		require.NoError(b, e.Grey(context.Background(), io.Discard, p, 16))
		least(b, func() {
			require.NoError(b, r.write(io.Discard, e.strips))
		})
	})
}

// BenchmarkLevels shows time and size by effort of the compressor.
func BenchmarkLevels(b *testing.B) {
	p := finishedMatte(1920, 1080)
	for _, depth := range []int{16, 8} {
		r := raster{w: p.W, h: p.H, depth: depth, kind: grey}
		var k scratch
		for _, effort := range []int{flate.HuffmanOnly, 0, 1, 2, 3, 4, 5, 6, 7, 9} {
			b.Run(fmt.Sprintf("%d/%d", depth, effort), func(b *testing.B) {
				var buf bytes.Buffer
				least(b, func() {
					buf.Reset()
					for y := 0; y < p.H; y += stripRows {
						k.filter(r.stride(), y, min(y+stripRows, p.H), func(dst []byte, y int) { codes(dst, depth, p.Row(y)) })
						if effort == 0 {
							require.NoError(b, flate.StatelessDeflate(&buf, k.filtered, false, nil))
							continue
						}
						z, err := flate.NewWriter(&buf, effort)
						require.NoError(b, err)
						z.Write(k.filtered)
						z.Flush()
					}
				})
				b.ReportMetric(float64(buf.Len()), "bytes")
			})
		}
	}
}
