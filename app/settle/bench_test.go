package settle

import (
	"context"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/motion"
	"halocline/colour"
)

// texture is a luma of even detail, moved by (dx,dy).
func texture(w, h int, dx, dy float64) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			u, v := float64(x)-dx, float64(y)-dy
			p.Row(y)[x] = float32(0.5 + 0.15*math.Sin(u/7)*math.Cos(v/9) + 0.1*math.Sin((u+v)/23) + 0.1*math.Cos((u-2*v)/31))
		}
	}
	return p
}

// disc is a matte of a soft disc about a place.
func disc(w, h int, cx, cy, radius, soft float64) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			d := (radius - math.Hypot(float64(x)-cx, float64(y)-cy)) / soft
			p.Row(y)[x] = float32(min(max(d+0.5, 0), 1))
		}
	}
	return p
}

func pictureOf(t testing.TB, luma colour.Plane) *motion.Picture {
	p, err := motion.NewPicture(context.Background(), luma, 0)
	require.NoError(t, err)
	return p
}

func flowOf(t testing.TB, from, to *motion.Picture) *motion.Flow {
	f, err := motion.Between(context.Background(), from, to, 0)
	require.NoError(t, err)
	return f
}

func part(p colour.Plane) motion.Part { return motion.Part{Plane: p, Step: 1} }

// moved is a frame amid two others from which it moved by (dx,dy), and on which a disc moved
// along: its own matte and the sides.
func moved(t testing.TB, w, h int, dx, dy float64) (own motion.Part, sides []Side) {
	at := func(k float64) (*motion.Picture, colour.Plane) {
		return pictureOf(t, texture(w, h, k*dx, k*dy)), disc(w, h, float64(w)/2+k*dx, float64(h)/2+k*dy, float64(h)/4, 6)
	}
	mid, matte := at(0)
	for _, k := range []float64{-1, 1} {
		p, m := at(k)
		sides = append(sides, Side{Matte: part(m), To: flowOf(t, mid, p), Back: flowOf(t, p, mid)})
	}
	return part(matte), sides
}

// BenchmarkSettle is the mean of three mattes of 1080 lines beside the four flows that it
// takes, of which two are found for each frame of a clip: least times on one thread.
func BenchmarkSettle(b *testing.B) {
	const w, h = 1920, 1080
	own, sides := moved(b, w, h, 5, -3)
	b.Run("1080p/mean", func(b *testing.B) {
		var dst colour.Plane
		least := math.Inf(1)
		for b.Loop() {
			begin := time.Now()
			require.NoError(b, Mean(context.Background(), &dst, own, sides, 0.5, 1))
			least = min(least, 1000*time.Since(begin).Seconds())
		}
		b.ReportMetric(least, "least-ms")
	})
	b.Run("1080p/two flows", func(b *testing.B) {
		p, q := pictureOf(b, texture(w, h, 0, 0)), pictureOf(b, texture(w, h, 5, -3))
		least := math.Inf(1)
		for b.Loop() {
			begin := time.Now()
			for _, pair := range [][2]*motion.Picture{{p, q}, {q, p}} {
				_, err := motion.Between(context.Background(), pair[0], pair[1], 1)
				require.NoError(b, err)
			}
			least = min(least, 1000*time.Since(begin).Seconds())
		}
		b.ReportMetric(least, "least-ms")
	})
}
