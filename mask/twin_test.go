package mask

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// The slow twin: a polygon's edge and distances by brute force, in float64.

type twin struct {
	corners []Point
	sides   [][2]Point // of what is filled
}

// twinOf cuts every side at every other, and keeps the pieces that have
// winding 0 on just one side.
func twinOf(corners []Point) twin {
	t := twin{corners: corners}
	for i := range corners {
		a, b := corners[i], corners[(i+1)%len(corners)]
		cuts := []float64{0, 1}
		for j := range corners {
			c, d := corners[j], corners[(j+1)%len(corners)]
			den := (b.X-a.X)*(d.Y-c.Y) - (b.Y-a.Y)*(d.X-c.X)
			if den == 0 {
				continue
			}
			u := ((c.X-a.X)*(d.Y-c.Y) - (c.Y-a.Y)*(d.X-c.X)) / den
			v := ((c.X-a.X)*(b.Y-a.Y) - (c.Y-a.Y)*(b.X-a.X)) / den
			if u > 0 && u < 1 && v >= -1e-9 && v <= 1+1e-9 {
				cuts = append(cuts, u)
			}
		}
		slices.Sort(cuts)
		at := func(u float64) Point { return Point{a.X + u*(b.X-a.X), a.Y + u*(b.Y-a.Y)} }
		for k := range len(cuts) - 1 {
			p, q := at(cuts[k]), at(cuts[k+1])
			n := math.Hypot(q.X-p.X, q.Y-p.Y)
			if n < 1e-7 {
				continue
			}
			m, e := at((cuts[k]+cuts[k+1])/2), min(1e-7, n/1000)
			off := Point{-(q.Y - p.Y) / n * e, (q.X - p.X) / n * e}
			if (t.winding(Point{m.X + off.X, m.Y + off.Y}) == 0) != (t.winding(Point{m.X - off.X, m.Y - off.Y}) == 0) {
				t.sides = append(t.sides, [2]Point{p, q})
			}
		}
	}
	return t
}

// winding counts the sides that a ray to +x crosses, downward less upward.
func (t twin) winding(p Point) int {
	sum := 0
	for i := range t.corners {
		a, b := t.corners[i], t.corners[(i+1)%len(t.corners)]
		if (a.Y <= p.Y) == (b.Y <= p.Y) {
			continue
		}
		if a.X+(p.Y-a.Y)/(b.Y-a.Y)*(b.X-a.X) > p.X {
			if a.Y <= p.Y {
				sum++
			} else {
				sum--
			}
		}
	}
	return sum
}

// distance is the signed distance to the edge, +-infinite where there is none.
func (t twin) distance(p Point) float64 {
	best := math.Inf(1)
	for _, s := range t.sides {
		dx, dy := s[1].X-s[0].X, s[1].Y-s[0].Y
		u := ((p.X-s[0].X)*dx + (p.Y-s[0].Y)*dy) / (dx*dx + dy*dy)
		u = min(max(u, 0), 1)
		best = min(best, math.Hypot(s[0].X+u*dx-p.X, s[0].Y+u*dy-p.Y))
	}
	if t.winding(p) == 0 {
		return -best
	}
	return best
}

func smoothstep(u float64) float64 {
	u = min(max(u, 0), 1)
	return u * u * (3 - 2*u)
}

func draw(t testing.TB, s Shape, r Region, workers int) colour.Plane {
	t.Helper()
	var p colour.Plane
	require.NoError(t, s.Draw(context.Background(), &p, r, workers))
	return p
}

// polygons are awkward outlines about a picture of 48 x 40.
func polygons() map[string][]Point {
	rnd := rand.New(rand.NewPCG(3, 4))
	random := func(n int, size float64) []Point {
		out := make([]Point, n)
		for i := range out {
			out[i] = Point{24 + (rnd.Float64()-0.5)*size, 20 + (rnd.Float64()-0.5)*size}
		}
		return out
	}
	return map[string][]Point{
		"triangle":       {{5.3, 4.1}, {40.7, 9.9}, {20.2, 35.6}},
		"clockwise":      {{20.2, 35.6}, {40.7, 9.9}, {5.3, 4.1}},
		"rectangle":      {{8, 8}, {40, 8}, {40, 30}, {8, 30}},
		"thin":           {{3, 20.2}, {45, 20.4}, {45, 20.5}, {3, 20.3}},
		"arrow":          {{5, 5}, {43, 5}, {43, 35}, {24, 12}, {5, 35}},
		"bow tie":        {{6, 6}, {42, 34}, {42, 6}, {6, 34}},
		"pentagram":      {{24, 2}, {35.7, 38.2}, {4.9, 15.8}, {43, 15.8}, {12.3, 38.2}},
		"twice around":   {{8, 8}, {40, 8}, {40, 32}, {8, 32}, {8, 8}, {16, 14}, {32, 14}, {32, 26}, {16, 26}, {16, 14}},
		"hole":           {{8, 8}, {40, 8}, {40, 32}, {8, 32}, {8, 8}, {16, 14}, {16, 26}, {32, 26}, {32, 14}, {16, 14}},
		"there and back": {{10, 10}, {30, 10}, {30, 30}, {45, 35}, {30, 30}, {10, 30}},
		"half outside":   {{-30, 10}, {20, -25}, {30, 60}},
		"around it all":  {{-100, -90}, {300, -80}, {200, 500}, {-120, 300}},
		"outside":        {{60, 10}, {90, 10}, {80, 60}},
		"edge outside":   {{-5, -5}, {-1, -5}, {-1, 50}, {-5, 50}},
		"random 7":       random(7, 50),
		"random 12":      random(12, 70),
		"random 30":      random(30, 44),
	}
}

// The definition, pixel by pixel: smoothstep of the distance to the edge.
func TestFeatherAgainstTwin(t *testing.T) {
	const w, h = 48, 40
	for name, points := range polygons() {
		for _, f := range [][2]float64{{2, 3}, {0, 1.5}, {4, 0}, {0.5, 0.5}, {30, 40}} {
			for _, factor := range []int{1, 3} {
				s := Shape{Points: points, Inner: f[0] * float64(factor), Outer: f[1] * float64(factor), Opacity: 1}
				got := draw(t, s, Region{0, 0, w, h, factor}, 1)
				tw := twinOf(points)
				for y := range got.H {
					for x := range got.W {
						d := tw.distance(Point{(float64(x) + 0.5) * float64(factor), (float64(y) + 0.5) * float64(factor)})
						want := smoothstep((d + s.Outer) / (s.Inner + s.Outer))
						// 1e-3 pixel of distance, by the ramp's steepest slope.
						require.InDelta(t, want, got.At(x, y), 1e-3*1.5/(s.Inner+s.Outer), "%s, feather %v, factor %d, pixel (%d,%d), distance %v", name, f, factor, x, y, d)
					}
				}
			}
		}
	}
}

// No feather: the share of the pixel, against 400 lines through it.
func TestCoverageAgainstTwin(t *testing.T) {
	const w, h = 48, 40
	for name, points := range polygons() {
		for _, factor := range []int{1, 4} {
			got := draw(t, Shape{Points: points, Opacity: 1}, Region{0, 0, w, h, factor}, 1)
			tw := twinOf(points)
			f := float64(factor)
			for y := range got.H {
				for x := range got.W {
					far := math.Abs(tw.distance(Point{(float64(x) + 0.5) * f, (float64(y) + 0.5) * f})) > f
					want := 0.0
					if !far {
						want = sampled{points, f}.coverage(float64(x)*f, float64(y)*f)
					} else if tw.winding(Point{(float64(x) + 0.5) * f, (float64(y) + 0.5) * f}) != 0 {
						want = 1
					}
					require.InDelta(t, want, got.At(x, y), 2e-3, "%s, factor %d, pixel (%d,%d)", name, factor, x, y)
				}
			}
		}
	}
}

// sampled measures a pixel along 400 lines, exactly on each.
type sampled struct {
	corners []Point
	size    float64
}

func (s sampled) coverage(x, y float64) float64 {
	const lines = 400
	sum := 0.0
	for k := range lines {
		at := y + (float64(k)+0.5)/lines*s.size
		type crossing struct {
			x    float64
			turn int
		}
		var all []crossing
		for i := range s.corners {
			a, b := s.corners[i], s.corners[(i+1)%len(s.corners)]
			if (a.Y <= at) == (b.Y <= at) {
				continue
			}
			turn := 1
			if a.Y > at {
				turn = -1
			}
			all = append(all, crossing{min(max(a.X+(at-a.Y)/(b.Y-a.Y)*(b.X-a.X), x), x+s.size), turn})
		}
		slices.SortFunc(all, func(a, b crossing) int { return int(math.Copysign(1, a.x-b.x)) })
		winding := 0
		for i, c := range all {
			if winding != 0 {
				sum += c.x - all[i-1].x
			}
			winding += c.turn
		}
	}
	return sum / lines / s.size
}
