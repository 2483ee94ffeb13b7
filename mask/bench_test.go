package mask

import (
	"context"
	"fmt"
	"image"
	stddraw "image/draw"
	"math"
	"testing"

	"golang.org/x/image/vector"

	"halocline/colour"
)

// blob is a polygon of n points about the middle of a picture, as wavy as a
// figure's outline.
func blob(n, w, h int) []Point {
	out := make([]Point, n)
	for i := range out {
		a := 2 * math.Pi * float64(i) / float64(n)
		r := 0.33 * (1 + 0.2*math.Sin(5*a) + 0.06*math.Sin(17*a))
		out[i] = Point{float64(w)/2 + float64(w)*r*math.Cos(a), float64(h)/2 + float64(h)*r*math.Sin(a)}
	}
	return out
}

var sizes = [][2]int{{1920, 1080}, {3840, 2160}}

func benchDraw(b *testing.B, s Shape, w, h int) {
	var p colour.Plane
	for b.Loop() {
		if err := s.Draw(context.Background(), &p, Whole(w, h), 1); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkPolygon: 200 points without feather, against x/image/vector into
// 8-bit coverage: with a rasteriser kept, with one made each time, and carried
// on into a plane, which is what ours delivers. clear is the floor. With
// -tags noasm it is plain Go as ours is; its assembly has been seen to take
// from a third of that to seven times as much, on one machine.
func BenchmarkPolygon(b *testing.B) {
	for _, size := range sizes {
		w, h := size[0], size[1]
		points := blob(200, w, h)
		z, a, p := vector.NewRasterizer(w, h), image.NewAlpha(image.Rect(0, 0, w, h)), colour.NewPlane(w, h)
		run := func(name string, work func()) {
			b.Run(fmt.Sprintf("%s-%d", name, w), func(b *testing.B) {
				for b.Loop() {
					work()
				}
			})
		}
		run("clear", func() { clear(p.Pix) })
		b.Run(fmt.Sprintf("ours-%d", w), func(b *testing.B) { benchDraw(b, Shape{Points: points, Opacity: 1}, w, h) })
		run("vector", func() { trace(z, points, w, h, a) })
		run("vector-new", func() { trace(vector.NewRasterizer(w, h), points, w, h, a) })
		run("vector-plane", func() {
			trace(z, points, w, h, a)
			for i, v := range a.Pix {
				p.Pix[i] = float32(v) * (1.0 / 255)
			}
		})
	}
}

func trace(z *vector.Rasterizer, points []Point, w, h int, dst *image.Alpha) {
	z.Reset(w, h)
	z.DrawOp = stddraw.Src
	z.MoveTo(float32(points[0].X), float32(points[0].Y))
	for _, p := range points[1:] {
		z.LineTo(float32(p.X), float32(p.Y))
	}
	z.ClosePath()
	z.Draw(dst, dst.Bounds(), image.Opaque, image.Point{})
}

// BenchmarkFeather: the same polygon, and a rounded one of 24 points, against
// the exact distance transform of their pixels, both ways, and the same ramp.
func BenchmarkFeather(b *testing.B) {
	for _, size := range sizes {
		w, h := size[0], size[1]
		scale := float64(w) / 1920
		for _, px := range []float64{8, 40, 300} {
			f := px * scale
			b.Run(fmt.Sprintf("straight200-%g-%d", px, w), func(b *testing.B) {
				benchDraw(b, Shape{Points: blob(200, w, h), Inner: f / 2, Outer: f / 2, Opacity: 1}, w, h)
			})
			b.Run(fmt.Sprintf("rounded24-%g-%d", px, w), func(b *testing.B) {
				benchDraw(b, Shape{Points: blob(24, w, h), Rounded: true, Inner: f / 2, Outer: f / 2, Opacity: 1}, w, h)
			})
		}
		b.Run(fmt.Sprintf("transform-%d", w), func(b *testing.B) {
			var p, out colour.Plane
			if err := (Shape{Points: blob(200, w, h), Opacity: 1}).Draw(context.Background(), &p, Whole(w, h), 1); err != nil {
				b.Fatal(err)
			}
			out.Reshape(w, h)
			tr := newTransform(w, h)
			for b.Loop() {
				tr.feather(out, p, 20, 20)
			}
		})
	}
}
