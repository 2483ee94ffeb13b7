package sample

import (
	"flag"
	"fmt"
	"testing"
)

var report = flag.Int("report", 0, "print the separation of seeds 1 to this")
var reportFrom = flag.Int("from", 1, "first seed of -report")

func TestReport(t *testing.T) {
	mean := func(v []float64) float64 {
		s := 0.0
		for _, x := range v {
			s += x
		}
		return s / float64(len(v))
	}
	for seed := *reportFrom; seed <= *report; seed++ {
		f, _ := Render(t.Context(), seed, 1, Width, Height, 0)
		s := newScene(seed, Width, Height)
		a, b := cloudsOf(f, f.Image)
		one, ch := bestChannel(&a, &b)
		p, q := cloudsOf(f, based(s, f))
		one2, ch2 := bestChannel(&p, &q)
		fmt.Printf("%2d raw %.3f(%d) plane %.3f | base %.3f(%d) plane %.3f | raw Lab skin %.0f %.1f %.1f sand %.0f %.1f %.1f | base HSL hue %.0f %.0f L %.0f %.0f sat %.2f %.2f\n", seed,
			one, ch, planeArea(&a, &b), one2, ch2, planeArea(&p, &q),
			mean(a[labL]), mean(a[labA]), mean(a[labB]), mean(b[labL]), mean(b[labA]), mean(b[labB]),
			float64(meanHue(p[hslHue])), float64(meanHue(q[hslHue])), mean(p[labL]), mean(q[labL]), mean(p[hslSaturation]), mean(q[hslSaturation]))
	}
}
