package seam

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// slowSeam is the definition of a Seam's curves, pixel by pixel: the nearest
// of all pieces of the contour, and Gaussian windows over all pixels. The matte must
// have no specks.
func slowSeam(picture *colour.Image, before, matte colour.Plane, radius float64) (a, m []float64) {
	var pieces []colour.Segment
	for y := range before.H - 1 {
		colour.ContourRow(before, y, func(_ int, s colour.Segment) { pieces = append(pieces, s) })
	}
	type pixel struct {
		x, y, s float64
		lab     colour.Lab
		alpha   float64
	}
	var all []pixel
	for i, v := range before.Pix {
		x, y := i%before.W, i/before.W
		d := math.Inf(1)
		for _, p := range pieces {
			d = math.Min(d, math.Sqrt(float64(p.Square(float32(x)+0.5, float32(y)+0.5))))
		}
		if v >= 0.5 {
			d = -d
		}
		if math.Abs(d) < 1.5*radius {
			all = append(all, pixel{float64(x), float64(y), d, picture.RGB(x, y).Lab(), float64(matte.Pix[i])})
		}
	}
	reach := int(1.5 * radius)
	a, m = make([]float64, 2*reach), make([]float64, 2*reach)
	weight := make([]float64, 2*reach)
	for _, p := range all {
		var sum [2][4]float64
		for _, q := range all {
			if math.Abs(q.s) < radius/3 {
				continue
			}
			side := 0
			if q.s > 0 {
				side = 1
			}
			sigma := 4 * radius / 3
			k := math.Exp(-((p.x-q.x)*(p.x-q.x) + (p.y-q.y)*(p.y-q.y)) / (2 * sigma * sigma))
			for c, v := range [4]float64{q.lab.L, q.lab.A, q.lab.B, 1} {
				sum[side][c] += k * v
			}
		}
		dot, square := 0.0, 0.0
		for c, v := range [3]float64{p.lab.L, p.lab.A, p.lab.B} {
			outer := sum[1][c] / sum[1][3]
			u := sum[0][c]/sum[0][3] - outer
			dot += (v - outer) * u
			square += u * u
		}
		bin, w := int(math.Floor(p.s))+reach, math.Min(square, 400)
		weight[bin] += w
		a[bin] += w * dot / (square + 1)
		m[bin] += w * p.alpha
	}
	inner, outer, n := 0.0, 0.0, 0.0
	for i := range a {
		a[i] /= weight[i]
		m[i] /= weight[i]
	}
	for i := range a {
		if float64(i)+0.5 < float64(reach)-radius {
			inner += a[i]
			outer += a[len(a)-1-i]
			n++
		}
	}
	for i := range a {
		a[i] = min(max((a[i]-outer/n)/(inner/n-outer/n), 0), 1)
	}
	return a, m
}

// twinRadius is the R of the twin.
const twinRadius = 8

func TestAgainstItsDefinition(t *testing.T) {
	for name, noise := range map[string]float64{"clean": 0, "noisy": 0.03} {
		before := drawn(130, 96, func(x, y float64) float64 {
			return 0.5 - (math.Hypot(x-64.3, y-47)-25-5*math.Sin(x/9)*math.Cos(y/7))/5
		})
		matte := shape(130, 96, 0.2, true)
		picture := mixed(drawn(130, 96, func(x, y float64) float64 { return 0.5 - (math.Hypot(x-64.3, y-47)-26)/4 }), noise)
		s, err := New(t.Context(), picture, before, radiiPerFrame*twinRadius, 2)
		require.NoError(t, err)
		a, m := slowSeam(picture, before, matte, twinRadius)
		assert.InDeltaSlice(t, a, s.picture, 0.01, name)
		got, err := s.curve(t.Context(), matte, 2)
		require.NoError(t, err)
		assert.InDeltaSlice(t, m, got, 0.01, name)
	}
}

// Runs that go are those of small components, whatever lies beside them, first
// specks, then pinholes.
func TestCleaned(t *testing.T) {
	in := inked(
		"#....###",
		"##...#.#",
		".....###",
		".#......",
		"..#...##",
		"......##",
	)
	want := inked(
		".....###",
		".....###",
		".....###",
		"........",
		"......##",
		"......##",
	)
	got := cleaned(in, 4)
	assert.Equal(t, want, got)
	assert.Equal(t, want, cleaned(got, 4))
	whole := inked("##", "##")
	assert.Equal(t, whole, cleaned(whole, 4))
}

// inked is a matte of 1 at # and 0 elsewhere.
func inked(rows ...string) colour.Plane {
	p := colour.NewPlane(len(rows[0]), len(rows))
	for y, row := range rows {
		for x, c := range row {
			if c == '#' {
				p.Row(y)[x] = 1
			}
		}
	}
	return p
}

// What nearest hands on is the nearest piece, or one a small part of a pixel
// farther.
func TestNearestPiece(t *testing.T) {
	o := outlineOf(shape(150, 110, 0, true), 30)
	n := o.nearestOf(o.spansOf(20))
	for i, of := range n.of {
		least := math.Inf(1)
		for _, p := range o.pieces {
			least = math.Min(least, float64(p.Square(float32(i%150)+0.5, float32(i/150)+0.5)))
		}
		if least >= 20*20 {
			continue
		}
		require.NotZero(t, of, "pixel %d", i)
		require.InDelta(t, math.Sqrt(least), math.Sqrt(float64(n.squares[i])), 0.1, "pixel %d", i)
	}
}
