package motion

import (
	"context"
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// between1 is one direction on one thread, both pictures included, and the ms it took.
func between1(b *testing.B, from, to colour.Plane) (*Flow, float64) {
	begin := time.Now()
	p, err := NewPicture(context.Background(), from, 1)
	require.NoError(b, err)
	q, err := NewPicture(context.Background(), to, 1)
	require.NoError(b, err)
	f, err := Between(context.Background(), p, q, 1)
	require.NoError(b, err)
	return f, 1000 * time.Since(begin).Seconds()
}

// BenchmarkBetween is a turn by one degree that grows by 1 %, with noise as of a camera:
// the mean end-point error in px, the least time, what is allocated for a pixel.
func BenchmarkBetween(b *testing.B) {
	for _, size := range [][2]int{{1920, 1080}, {3840, 2160}} {
		w, h := size[0], size[1]
		m := turn(1, 1.01)
		from, to := pair(m, w, h)
		from, to = noisy(from, 0.015, 1), noisy(to, 0.015, 2)
		b.Run(fmt.Sprintf("%dp/ours", h), func(b *testing.B) {
			b.ReportAllocs()
			var f *Flow
			least := math.Inf(1)
			for b.Loop() {
				var ms float64
				f, ms = between1(b, from, to)
				least = min(least, ms)
			}
			b.ReportMetric(least, "least-ms")
			b.ReportMetric(endPointError(m, w, h, f.At), "px")
		})
		for _, preset := range []string{"fast", "medium"} {
			b.Run(fmt.Sprintf("%dp/opencv-%s", h, preset), func(b *testing.B) {
				at, ms := openCV(b, preset, from, to, 5)
				for b.Loop() {
				}
				b.ReportMetric(ms, "least-ms")
				b.ReportMetric(endPointError(m, w, h, at), "px")
			})
		}
	}
}

// BenchmarkWarps has the errors on the warps of TestWarpsAreFound beside OpenCV's.
func BenchmarkWarps(b *testing.B) {
	const w, h = 480, 360
	for _, c := range warps {
		from, to := pair(c.warp, w, h)
		for _, k := range conditions {
			b.Run(c.name+"/"+k.name, func(b *testing.B) {
				from, to := k.from(from), k.to(to)
				f, _ := between1(b, from, to)
				at, _ := openCV(b, "medium", from, to, 1)
				for b.Loop() {
				}
				b.ReportMetric(endPointError(c.warp, w, h, f.At), "px")
				b.ReportMetric(endPointError(c.warp, w, h, at), "opencv-px")
			})
		}
	}
}
