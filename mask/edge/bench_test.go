package edge

import (
	"image"
	"math"
	"math/rand/v2"
	"runtime"
	"runtime/debug"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
)

// murky is a noisy picture with an ellipse of another colour in it.
func murky(w, h int, cx, cy, rx, ry float64) *colour.Image {
	r := rand.New(rand.NewPCG(3, 4))
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			i := y*w + x
			ground := float32(0.04 * math.Sin(float64(x)/40) * math.Cos(float64(y)/55))
			in := math.Hypot((float64(x)-cx)/rx, (float64(y)-cy)/ry) < 1+0.1*math.Sin(5*math.Atan2(float64(y)-cy, float64(x)-cx))
			rgb := [3]float32{0.3 + ground, 0.45 + ground, 0.45}
			if in {
				rgb = [3]float32{0.42 + 2*ground, 0.45 - ground, 0.4}
			}
			noise := func() float32 { return float32(r.NormFloat64() * 0.015) }
			m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = rgb[0]+noise(), rgb[1]+noise(), rgb[2]+noise()
		}
	}
	return m
}

func ellipse(cx, cy, rx, ry float64, n int) []mask.Point {
	var p []mask.Point
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		p = append(p, mask.Point{X: cx + rx*c, Y: cy + ry*s})
	}
	return p
}

// BenchmarkFind finds the edge in masks of 400 x 600 pixels on 1920 x 1080 and of
// 800 x 1200 on 3840 x 2160, by one and by two workers. It also tells how much memory lives
// at the most, in bytes to a pixel of the crop, but for the picture.
func BenchmarkFind(b *testing.B) {
	for _, c := range []struct {
		name    string
		k       float64
		workers int
	}{{"1080p", 1, 1}, {"2160p", 2, 1}, {"1080p/two", 1, 2}, {"2160p/two", 2, 2}} {
		b.Run(c.name, func(b *testing.B) {
			size := image.Pt(int(1920*c.k), int(1080*c.k))
			shape := mask.Shape{Points: ellipse(900*c.k, 500*c.k, 200*c.k, 300*c.k, 12), Opacity: 1}
			at := Crop(shape, size)
			m := murky(at.Dx(), at.Dy(), 900*c.k-float64(at.Min.X), 500*c.k-float64(at.Min.Y), 165*c.k, 262*c.k)
			find := func() {
				_, err := Find(b.Context(), shape, mask.Search{Depth: 24 * c.k}, m, size, c.workers)
				require.NoError(b, err)
			}
			most := peakOf(find)
			for b.Loop() {
				find()
			}
			b.ReportMetric(float64(most)/float64(at.Dx()*at.Dy()), "peak-B/px")
		})
	}
}

// peakOf returns the most memory that lives while work runs, beside what lived before, in
// bytes, as read every millisecond.
func peakOf(work func()) (most uint64) {
	defer debug.SetGCPercent(debug.SetGCPercent(2))
	var now runtime.MemStats
	runtime.GC()
	runtime.GC() // what pools keep goes with the second
	runtime.ReadMemStats(&now)
	before := now.HeapAlloc
	done := make(chan struct{})
	go func() { defer close(done); work() }()
	for {
		select {
		case <-done:
			return most
		case <-time.After(time.Millisecond):
			runtime.ReadMemStats(&now)
			most = max(most, now.HeapAlloc-min(before, now.HeapAlloc))
		}
	}
}
