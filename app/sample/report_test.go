package sample

import (
	"flag"
	"fmt"
	"math"
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
		s, _ := newScene(t.Context(), seed, Width, Height)
		a, b := cloudsOf(f, f.Image)
		one, ch := bestChannel(&a, &b)
		p, q := cloudsOf(f, based(s, f))
		one2, ch2 := bestChannel(&p, &q)
		fmt.Printf("%2d raw %.3f(%d) plane %.3f | base %.3f(%d) plane %.3f | raw Lab skin %.0f %.1f %.1f sand %.0f %.1f %.1f | base HSL hue %.0f %.0f L %.0f %.0f | gain %.2f depth %.1f tR %.2f tG %.2f det %.1f exp %.1f rg %.3f bg %.3f dL %.2f gain %.2f %.2f veil %.2f h %.3f s %.3f\n", seed,
			one, ch, planeArea(&a, &b), one2, ch2, planeArea(&p, &q),
			mean(a[labL]), mean(a[labA]), mean(a[labB]), mean(b[labL]), mean(b[labA]), mean(b[labB]),
			float64(meanHue(p[hslHue])), float64(meanHue(q[hslHue])), mean(p[labL]), mean(q[labL]), s.gains[0], s.water.depth, s.lights.lit[slate].at(2.3)[0]/s.lights.lit[slate][0][0], s.lights.lit[slate].at(2.3)[1]/s.lights.lit[slate][0][1], s.water.detour, s.exposure, rat(s, 0), rat(s, 2), math.Log(level1(s, sand)/level1(s, skin)), s.gains[0], s.gains[2], s.lights.haze.at(2.3)[1]/(s.lights.haze.at(2.3)[1]+s.lights.lit[sand].at(2.3)[1]), oneCh(&a, &b, 0), oneCh(&a, &b, 1))
	}
}

func rat(s *scene, c int) float64 {
	a, b := s.lights.lit[skin].at(2.3), s.lights.lit[sand].at(2.3)
	h := s.lights.haze.at(2.3)
	a, b = a.add(h), b.add(h)
	return a[c] / a[1] / (b[c] / b[1])
}

func level1(s *scene, m material) float64 { return s.lights.lit[m].at(2.3)[1] }
func oneCh(a, b *cloudOf, c int) float64 {
	if c == 0 {
		mid := meanHue(a[0])
		return rocArea(arcs(a[0], mid), arcs(b[0], mid))
	}
	return rocArea(a[c], b[c])
}
