package mask

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// onGrid rounds points to sixteenths, so that moving them by whole pixels is
// exact in float64.
func onGrid(points []Point) []Point {
	out := make([]Point, len(points))
	for i, p := range points {
		out[i] = Point{math.Round(p.X*16) / 16, math.Round(p.Y*16) / 16}
	}
	return out
}

// feathers are pairs of inner and outer.
var feathers = [][2]float64{{0, 0}, {0.02, 0.01}, {0.3, 0.4}, {1, 0}, {0, 2}, {5, 7}, {60, 20}}

// A shape moved by whole pixels has its weights moved, to the bit.
func TestMovedByWholePixels(t *testing.T) {
	for name, points := range polygons() {
		for _, f := range feathers {
			for _, rounded := range []bool{false, true} {
				s := Shape{Points: onGrid(points), Rounded: rounded, Inner: f[0], Outer: f[1], Opacity: 0.7}
				want := draw(t, s, Whole(48, 40), 1)
				for _, d := range [][2]int{{1, 0}, {-3, 17}, {4001, 2222}, {-100000, 65537}} {
					m := s
					m.Points = moved(s.Points, 1, float64(d[0]), float64(d[1]))
					got := draw(t, m, Region{d[0], d[1], d[0] + 48, d[1] + 40, 1}, 1)
					require.Equal(t, want.Pix, got.Pix, "%s, feather %v, rounded %v, moved by %v", name, f, rounded, d)
				}
			}
		}
	}
}

// A part of a picture has the bits of the whole.
func TestRegions(t *testing.T) {
	for name, points := range polygons() {
		for _, f := range feathers {
			s := Shape{Points: points, Rounded: len(points)%2 == 0, Inner: f[0], Outer: f[1], Opacity: 1}
			for _, factor := range []int{1, 2, 3} {
				whole := draw(t, s, Region{0, 0, 48, 42, factor}, 1)
				for _, at := range [][4]int{{0, 0, 48, 18}, {12, 6, 30, 42}, {42, 24, 48, 30}} {
					part := draw(t, s, Region{at[0], at[1], at[2], at[3], factor}, 1)
					for y := range part.H {
						x0 := at[0] / factor
						require.Equal(t, whole.Row(y + at[1]/factor)[x0:x0+part.W], part.Row(y), "%s, feather %v, factor %d, part %v, row %d", name, f, factor, at, y)
					}
				}
			}
		}
	}
}

func TestSameBitsForAnyWorkers(t *testing.T) {
	for _, f := range feathers {
		s := Shape{Points: blob(60, 300, 200), Rounded: true, Inner: f[0], Outer: f[1], Opacity: 1}
		want := draw(t, s, Whole(300, 200), 1)
		for _, workers := range []int{2, 7} {
			require.Equal(t, want.Pix, draw(t, s, Whole(300, 200), workers).Pix, "feather %v, %d workers", f, workers)
		}
	}
}

// Nothing jumps as a feather opens, nor where it reaches a pixel.
func TestFeatherOpensSmoothly(t *testing.T) {
	for name, points := range polygons() {
		for _, side := range []string{"inner", "outer", "both"} {
			s := Shape{Points: points, Opacity: 1}
			last := draw(t, s, Whole(48, 40), 1)
			most := 0.05
			for _, f := range []float64{0.05, 0.1, 0.95, 0.999, 1.001, 1.05} {
				s.Inner, s.Outer = 0, 0
				if side != "outer" {
					s.Inner = f
				}
				if side != "inner" {
					s.Outer = f
				}
				if side == "both" {
					s.Inner, s.Outer = f/2, f/2
				}
				got := draw(t, s, Whole(48, 40), 1)
				if f == 0.05 || f == 1.001 {
					for i := range got.Pix {
						require.InDelta(t, last.Pix[i], got.Pix[i], most+1e-6, "%s, %s to %v, pixel %d", name, side, f, i)
					}
				}
				last, most = got, 0.008 // 0.002 px of a ramp of slope 1.5, and of the blend
			}
		}
	}
}

// From a pixel of feather on, more of it outward takes no pixel down, more inward
// none up.
func TestMonotoneInFeather(t *testing.T) {
	for name, points := range polygons() {
		for _, base := range []float64{0.5, 1, 4} {
			var outer, inner colour.Plane
			for k, more := range []float64{0.5, 0.7, 1, 3, 10, 40} {
				o := draw(t, Shape{Points: points, Inner: base, Outer: more, Opacity: 1}, Whole(48, 40), 1)
				i := draw(t, Shape{Points: points, Inner: more, Outer: base, Opacity: 1}, Whole(48, 40), 1)
				for at := range o.Pix {
					if k > 0 {
						require.LessOrEqual(t, outer.Pix[at], o.Pix[at]+1e-6, "%s, inner %v, outer %v, pixel %d", name, base, more, at)
						require.GreaterOrEqual(t, inner.Pix[at], i.Pix[at]-1e-6, "%s, outer %v, inner %v, pixel %d", name, base, more, at)
					}
				}
				outer, inner = o, i
			}
		}
	}
}

// An outline in the other direction, or begun elsewhere, is the same outline.
func TestDirectionAndStartDoNotMatter(t *testing.T) {
	for name, points := range polygons() {
		s := Shape{Points: points, Inner: 2, Outer: 2, Opacity: 1}
		want := draw(t, s, Whole(48, 40), 1)
		s.Points = slices.Clone(points)
		slices.Reverse(s.Points)
		assert.InDeltaSlice(t, want.Pix, draw(t, s, Whole(48, 40), 1).Pix, 1e-6, name)
		s.Points = append(slices.Clone(points[2:]), points[:2]...)
		assert.InDeltaSlice(t, want.Pix, draw(t, s, Whole(48, 40), 1).Pix, 1e-6, name)
	}
}

func TestWhatFillsNothing(t *testing.T) {
	for name, points := range map[string][]Point{
		"on one line":    {{5, 5}, {15, 15}, {10, 10}},
		"one place":      {{5, 5}, {5, 5}, {5, 5}},
		"a row":          {{5, 5.5}, {15, 5.5}, {10, 5.5}, {7, 5.5}},
		"there and back": {{2, 3}, {12, 9}, {9, 15}, {12, 9}},
	} {
		for _, f := range feathers {
			for _, rounded := range []bool{false, true} {
				if rounded && name == "there and back" {
					continue // a curve through them has two sides
				}
				p := draw(t, Shape{Points: points, Rounded: rounded, Inner: f[0], Outer: f[1], Opacity: 1}, Whole(20, 20), 1)
				assert.Zero(t, sum(p), "%s, feather %v", name, f)
			}
		}
	}
}

// A corner that is far away leads a side across the picture where it should.
func TestFarCorners(t *testing.T) {
	for _, far := range []float64{1e4, 1e6, 1e9} {
		s := Shape{Points: []Point{{10, 10}, {far, 10}, {far, far}, {10, far}}, Opacity: 1}
		p := draw(t, s, Whole(20, 20), 1)
		assert.Equal(t, 100.0, sum(p), "corners at %v", far)
		s = Shape{Points: []Point{{-far, -far}, {far, far}, {-far, far}}, Inner: 3, Outer: 3, Opacity: 1}
		p = draw(t, s, Whole(20, 20), 1)
		for i := range 20 {
			assert.InDelta(t, 0.5, p.At(i, i), 1e-6, "diagonal to %v", far)
		}
		s = Shape{Points: []Point{{-far, 3}, {far, -7}, {far / 3, far}, {2, -far}, {-far / 7, far}}, Rounded: true, Inner: 3, Outer: 3, Opacity: 1}
		draw(t, s, Whole(20, 20), 1)
	}
}

func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ok := []Point{{1, 1}, {9, 1}, {9, 9}}
	for want, s := range map[string]Shape{
		"mask: polygon has 0 points, want 3 or more":                                     {Opacity: 1},
		"mask: polygon has 2 points, want 3 or more":                                     {Points: ok[:2], Opacity: 1},
		"mask: point 2 is (NaN, 1), want coordinates within 1000000000 pixels of 0":      {Points: []Point{{1, 1}, {nan, 1}, {9, 9}}},
		"mask: point 3 is (9, +Inf), want coordinates within 1000000000 pixels of 0":     {Points: []Point{{1, 1}, {2, 1}, {9, inf}}},
		"mask: point 1 is (-1.1e+09, 1), want coordinates within 1000000000 pixels of 0": {Points: []Point{{-1.1e9, 1}, {2, 1}, {9, 3}}},
		"mask: feather inward is -1, want 0 to 1e+06":                                    {Points: ok, Inner: -1},
		"mask: feather outward is NaN, want 0 to 1e+06":                                  {Points: ok, Outer: nan},
		"mask: opacity is 1.5, want 0 to 1":                                              {Points: ok, Opacity: 1.5},
		"mask: opacity is NaN, want 0 to 1":                                              {Points: ok, Opacity: nan},
	} {
		var p colour.Plane
		assert.EqualError(t, s.Draw(context.Background(), &p, Whole(4, 4), 1), want)
	}
	for want, r := range map[string]Region{
		"mask: proxy factor is 0, want 1 to 1024":                                                                       {0, 0, 4, 4, 0},
		"mask: region is [4,0) x [0,4), want rising bounds, at most 1048576 apart":                                      {4, 0, 0, 4, 1},
		"mask: region is [-9223372036854775808,9223372036854775807) x [0,4), want rising bounds, at most 1048576 apart": {math.MinInt, 0, math.MaxInt, 4, 1},
	} {
		var p colour.Plane
		assert.EqualError(t, Shape{Points: ok, Opacity: 1}.Draw(context.Background(), &p, r, 1), want)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var p colour.Plane
	assert.ErrorIs(t, Shape{Points: ok, Opacity: 1}.Draw(ctx, &p, Whole(4, 4), 1), context.Canceled)
	assert.NoError(t, Shape{Points: ok, Opacity: 1}.Draw(context.Background(), &p, Whole(0, 0), 1))
}

// Outside of its bounds a shape has no weight.
func TestBounds(t *testing.T) {
	for name, points := range polygons() {
		s := Shape{Points: points, Rounded: true, Outer: 3.3, Opacity: 1}
		low, high := s.Bounds()
		p := draw(t, s, Region{-100, -100, 150, 150, 1}, 1)
		for y := range p.H {
			for x := range p.W {
				cx, cy := float64(x)-99.5, float64(y)-99.5
				if cx < low.X || cx > high.X || cy < low.Y || cy > high.Y {
					require.Zero(t, p.At(x, y), "%s at (%v,%v)", name, cx, cy)
				}
			}
		}
	}
}

// A rounded outline never leaves its curve by more than it may.
func TestOutlineKeepsItsTolerance(t *testing.T) {
	for name, points := range polygons() {
		s := Shape{Points: points, Rounded: true, Opacity: 1}
		for _, tolerance := range []float64{1, 0.1, flatness} {
			chain := Outline(s, tolerance)
			chain = append(chain, chain[0])
			for i := range points {
				for k := range 50 {
					at := points[i].plus(s.arc(i).at(float64(k) / 50))
					assert.LessOrEqual(t, farthest([]Point{at}, chain), tolerance+2e-5, "%s, side %d", name, i)
				}
			}
		}
	}
	straight := Shape{Points: []Point{{0.1, 0.2}, {3, 4}, {5, 0}}}
	assert.Equal(t, straight.Points, Outline(straight, 1))
}

// Products of two differences beyond 64 bits.
func TestDetIsExactInSign(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	for range 2000 {
		x, y := rnd.Int64N(1<<58)-1<<57, rnd.Int64N(1<<58)-1<<57
		u := spot{x, y}
		assert.Zero(t, det(u, u))
		assert.Equal(t, float64(x), det(u, spot{0, 1}))
		// x(2y+1) - 2xy = x, and (2x+1)y less: by far under the products' last bit in a float64.
		assert.Equal(t, float64(x), det(u, spot{2 * x, 2*y + 1}), "%d,%d", x, y)
		assert.Equal(t, float64(-y), det(u, spot{2*x + 1, 2 * y}), "%d,%d", x, y)
	}
	assert.Equal(t, float64(1<<57)*float64(1<<57)*2, det(spot{1 << 57, -1 << 57}, spot{1 << 57, 1 << 57}))
}
