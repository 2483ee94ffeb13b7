package check

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// shape is a matte of soft discs; noisy adds what a pick makes of noise.
func shape(w, h int, grow float64, noisy bool) colour.Plane {
	rnd := rand.New(rand.NewPCG(5, 6))
	p := colour.NewPlane(w, h)
	for y := range h {
		row := p.Row(y)
		for x := range row {
			u, v := float64(x)/float64(h), float64(y)/float64(h)
			d := 0.3 - math.Hypot(u-0.8, v-0.5) + 0.05*math.Sin(20*u)*math.Cos(17*v)
			a := 0.5 + d*40 + grow
			if noisy {
				a += 0.3 * rnd.NormFloat64()
			}
			row[x] = float32(min(max(a, 0), 1))
		}
	}
	return p
}

func BenchmarkScore(b *testing.B) {
	for _, size := range [][2]int{{1920, 1080}, {3840, 2160}} {
		for name, noisy := range map[string]bool{"clean": false, "noisy": true} {
			matte, truth := shape(size[0], size[1], 0.2, noisy), shape(size[0], size[1], 0, false)
			ctx := context.Background()
			b.Run(fmt.Sprintf("%d/%s/all", size[1], name), func(b *testing.B) {
				for b.Loop() {
					_, err := Score(ctx, matte, truth, nil)
					require.NoError(b, err)
				}
			})
			b.Run(fmt.Sprintf("%d/%s/gradient", size[1], name), func(b *testing.B) {
				for b.Loop() {
					gradientError(ctx, matte, truth, nil)
				}
			})
			b.Run(fmt.Sprintf("%d/%s/connectivity", size[1], name), func(b *testing.B) {
				for b.Loop() {
					connectivityError(ctx, matte, truth, nil)
				}
			})
		}
	}
}
