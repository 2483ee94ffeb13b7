package check

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

// drawn returns a matte whose alpha at each pixel's centre is of.
func drawn(w, h int, of func(x, y float64) float64) colour.Plane {
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			p.Row(y)[x] = float32(min(max(of(float64(x)+0.5, float64(y)+0.5), 0), 1))
		}
	}
	return p
}

func measured(t *testing.T, p colour.Plane) Figures {
	t.Helper()
	f, err := Measure(t.Context(), p, 2)
	require.NoError(t, err)
	return f
}

// The ways in which an edge may fade, by the signed distance d outward from it,
// and the distance between their alphas 0.9 and 0.1.
var fades = []struct {
	name  string
	alpha func(d, size float64) float64
	width float64 // for size 1
}{
	{"linear", func(d, size float64) float64 { return 0.5 - d/size }, 0.8},
	// The inverse of y = 3u^2 - 2u^3 on [0,1] is u = 1/2 - sin(asin(1-2y)/3), the
	// trigonometric root of the cubic (F. Viete; Abramowitz & Stegun 1964, 3.8.2).
	{"smoothstep", func(d, size float64) float64 {
		u := min(max(0.5-d/size, 0), 1)
		return u * u * (3 - 2*u)
	}, 2 * math.Sin(math.Asin(0.8)/3)},
	// The normal distribution's 0.9 point, 1.28155 (Abramowitz & Stegun 1964,
	// table 26.5).
	{"Gaussian", func(d, size float64) float64 { return math.Erfc(d/size/math.Sqrt2) / 2 }, 2 * 1.28155},
}

func TestEdgeWidthOfADisc(t *testing.T) {
	const radius = 150
	for _, fade := range fades {
		for _, size := range []float64{2.5, 4, 9.3, 20} {
			t.Run(fmt.Sprintf("%s %v", fade.name, size), func(t *testing.T) {
				f := measured(t, drawn(421, 410, func(x, y float64) float64 {
					return fade.alpha(math.Hypot(x-210.3, y-205.1)-radius, size)
				}))
				assert.InEpsilon(t, 2*math.Pi*radius, f.Contour, 0.002, "circumference")
				assert.InEpsilon(t, fade.width*size, f.EdgeWidth, 0.02)
				if fade.name == "linear" { // area under the cone: pi (r^2 + size^2/12)
					assert.InEpsilon(t, math.Pi*(radius*radius+size*size/12)/(421*410), f.Area, 0.0005)
				}
				assert.Zero(t, f.Specks+f.Holes)
			})
		}
	}
}

// Area is in whole pixels. That evens out along an edge, unless it meets all rows
// or columns alike: then whole lines of pixels, 1 or 0.7 px apart, are in or out.
func TestEdgeWidthOfAStraightEdge(t *testing.T) {
	for _, fade := range fades {
		for degrees, tolerance := range map[float64]float64{0: 1, 45: math.Sqrt2, 90: 1, 7: 0.02, 30: 0.02, 71: 0.02, 200: 0.02} {
			sin, cos := math.Sincos(degrees * math.Pi / 180)
			f := measured(t, drawn(400, 400, func(x, y float64) float64 {
				return fade.alpha(cos*(x-200)+sin*(y-200)+0.21, 6)
			}))
			if tolerance < 0.5 {
				tolerance *= fade.width * 6
			}
			assert.InDelta(t, fade.width*6, f.EdgeWidth, tolerance, "%s at %v degrees", fade.name, degrees)
		}
	}
}

// A hard edge has no width, and a contour that is at most as much too long as a
// regular octagon's circumference is longer than its circle's.
func TestHardEdge(t *testing.T) {
	f := measured(t, drawn(300, 300, func(x, y float64) float64 {
		if math.Hypot(x-150, y-150) < 100 {
			return 1
		}
		return 0
	}))
	assert.Zero(t, f.EdgeWidth)
	assert.Greater(t, f.Contour, 2*math.Pi*100*0.99)
	assert.Less(t, f.Contour, 2*math.Pi*100/math.Cos(math.Pi/8)) // 1.082
}

func TestNoEdge(t *testing.T) {
	for alpha, area := range map[float64]float64{0: 0, 0.3: 0.3, 1: 1} {
		f := measured(t, drawn(40, 30, func(x, y float64) float64 { return alpha }))
		assert.InDelta(t, area, f.Area, 1e-7)
		assert.Zero(t, f.Contour, "there is none")
		assert.Zero(t, f.EdgeWidth, "nor a width")
		assert.Zero(t, f.Specks+f.Holes)
	}
	_, err := Measure(t.Context(), colour.Plane{}, 0)
	require.EqualError(t, err, "check: the matte is empty")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = Measure(ctx, colour.NewPlane(9, 9), 0)
	require.ErrorIs(t, err, context.Canceled)
	assert.Zero(t, measured(t, colour.NewPlane(1, 1)))
}

// dots puts squares of side pixels and one alpha on a ground of another.
func dots(sides []int, ground, alpha float32) colour.Plane {
	p := colour.NewPlane(200, 40)
	for i := range p.Pix {
		p.Pix[i] = ground
	}
	x := 3
	for _, side := range sides {
		for dy := range side {
			for dx := range side {
				p.Row(5 + dy)[x+dx] = alpha
			}
		}
		x += side + 2
	}
	return p
}

func TestSpecksAndHoles(t *testing.T) {
	sides := []int{1, 2, 7, 8} // 49 px is a speck, 64 px none
	f := measured(t, dots(sides, 0, 1))
	assert.Equal(t, [2]int{3, 0}, [2]int{f.Specks, f.Holes})
	f = measured(t, dots(sides, 1, 0))
	assert.Equal(t, [2]int{0, 3}, [2]int{f.Specks, f.Holes})
	f = measured(t, dots(sides, 0, 0.11))
	assert.Equal(t, 3, f.Specks)
	f = measured(t, dots(sides, 0, 0.1))
	assert.Zero(t, f.Specks, "0.1 is not above 0.1")
	f = measured(t, dots(sides, 1, 0.9))
	assert.Zero(t, f.Holes, "0.9 is not below 0.9")
	corner := colour.NewPlane(30, 30)
	corner.Row(3)[3], corner.Row(4)[4] = 1, 1
	assert.Equal(t, 2, measured(t, corner).Specks, "corners do not connect")
}

// What despeckling by 50 px takes away whole is what counts as a speck, and what
// is too faint for the one is for the other.
func TestSpecksAreThoseOfDespeckle(t *testing.T) {
	for _, alpha := range []float32{0.1, 0.11, 1} {
		for side := 1; side < 12; side++ {
			p := dots([]int{side}, 0, alpha)
			var out colour.Plane
			require.NoError(t, new(selection.Treatment).Apply(t.Context(), &out, &p, nil, nil, selection.Edge{Despeckle: LargestSpeck, About: 0.5}, 1, 1))
			gone := out.Row(5)[3] == 0
			assert.Equal(t, gone, measured(t, p).Specks == 1, "%v, %d px wide", alpha, side)
			p = dots([]int{side}, 1, 1-alpha)
			require.NoError(t, new(selection.Treatment).Apply(t.Context(), &out, &p, nil, nil, selection.Edge{Despeckle: LargestSpeck, About: 0.5}, 1, 1))
			filled := out.Row(5)[3] == 1
			assert.Equal(t, filled, measured(t, p).Holes == 1, "hole of %v, %d px wide", 1-alpha, side)
		}
	}
}

// slowMeasure is the figures' definition: every pixel flooded from, every cell
// of four pixels looked at side by side.
func slowMeasure(p colour.Plane) (f Figures) {
	edge := 0
	for _, v := range p.Pix {
		f.Area += float64(v) / float64(len(p.Pix))
		if v > 0.1 && v < 0.9 {
			edge++
		}
	}
	for y := range p.H - 1 {
		for x := range p.W - 1 {
			f.Contour += slowCell(p.At(x, y), p.At(x+1, y), p.At(x+1, y+1), p.At(x, y+1))
		}
	}
	if f.Contour > 0 {
		f.EdgeWidth = float64(edge) / f.Contour
	}
	f.Specks = slowSmall(p, func(v float32) bool { return v > 0.1 })
	f.Holes = slowSmall(p, func(v float32) bool { return v < 0.9 })
	return f
}

// slowCell returns the length of the contour between four pixels, clockwise: on
// it crosses each side whose ends differ; with two crossings it goes straight; with
// four it cuts off the corners that the mean of all is not like.
func slowCell(corner ...float32) float64 {
	at := [4][2]float64{{0, 0}, {1, 0}, {1, 1}, {0, 1}}
	mean := 0.0
	var cross [][2]float64
	for i, v := range corner {
		j := (i + 1) % 4
		u := corner[j]
		mean += float64(v) / 4
		if (v >= 0.5) != (u >= 0.5) {
			k := (0.5 - float64(v)) / (float64(u) - float64(v))
			cross = append(cross, [2]float64{at[i][0] + k*(at[j][0]-at[i][0]), at[i][1] + k*(at[j][1]-at[i][1])})
		}
	}
	between := func(i, j int) float64 { return math.Hypot(cross[i][0]-cross[j][0], cross[i][1]-cross[j][1]) }
	switch len(cross) {
	case 2:
		return between(0, 1)
	case 4: // crossings 3 and 0 cut off corner 0
		if (corner[0] >= 0.5) != (mean >= 0.5) {
			return between(3, 0) + between(1, 2)
		}
		return between(0, 1) + between(2, 3)
	}
	return 0
}

func slowSmall(p colour.Plane, is func(float32) bool) (n int) {
	seen := make([]bool, len(p.Pix))
	for i := range p.Pix {
		if seen[i] || !is(p.Pix[i]) {
			continue
		}
		seen[i] = true
		queue := []int{i}
		for k := 0; k < len(queue); k++ {
			x, y := queue[k]%p.W, queue[k]/p.W
			for _, to := range [][2]int{{x - 1, y}, {x + 1, y}, {x, y - 1}, {x, y + 1}} {
				j := to[1]*p.W + to[0]
				if to[0] >= 0 && to[0] < p.W && to[1] >= 0 && to[1] < p.H && !seen[j] && is(p.Pix[j]) {
					seen[j] = true
					queue = append(queue, j)
				}
			}
		}
		if len(queue) < 50 && len(queue) < len(p.Pix) {
			n++
		}
	}
	return n
}

func TestMeasureAgreesWithItsDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 9))
	mattes := map[string]colour.Plane{"clean": shape(160, 90, 0, false), "noisy": shape(160, 90, 0, true), "dots": dots([]int{1, 3, 7, 8}, 0.3, 0.95)}
	for i := range 20 {
		p := random(rnd, 1+rnd.IntN(40), 1+rnd.IntN(40))
		for j := range p.Pix { // plateaus, and exact halves
			p.Pix[j] = float32(math.Round(float64(p.Pix[j])*6)) / 6
		}
		mattes[fmt.Sprintf("random %d", i)] = p
	}
	for name, p := range mattes {
		want, got := slowMeasure(p), measured(t, p)
		assert.InDelta(t, want.Area, got.Area, 1e-9, name)
		assert.InDelta(t, want.Contour, got.Contour, 1e-5*(1+want.Contour), name)
		assert.InDelta(t, want.EdgeWidth, got.EdgeWidth, 1e-5*(1+want.EdgeWidth), name)
		assert.Equal(t, [2]int{want.Specks, want.Holes}, [2]int{got.Specks, got.Holes}, name)
	}
}

func TestMeasureDoesNotDependOnWorkers(t *testing.T) {
	p := shape(300, 170, 0, true)
	want := measured(t, p)
	for _, workers := range []int{1, 7, 0} {
		got, err := Measure(t.Context(), p, workers)
		require.NoError(t, err)
		require.Equal(t, want, got, "%d workers", workers)
	}
}

func TestMeasureClampsOddSamples(t *testing.T) {
	p := drawn(60, 40, func(x, y float64) float64 { return (x - 20) / 10 })
	want := measured(t, p)
	odd := colour.NewPlane(p.W, p.H)
	for i, v := range p.Pix {
		switch odd.Pix[i] = v; v {
		case 0:
			odd.Pix[i] = float32(math.NaN())
		case 1:
			odd.Pix[i] = 7
		}
	}
	require.Equal(t, want, measured(t, odd))
}
