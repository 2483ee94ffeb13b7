package mask

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

func (c *Curve) add(x, y float64, w Way) {
	c.X, c.Y, c.Ways = append(c.X, x), append(c.Y, y), append(c.Ways, w)
}

// slopeAt measures the curve's slope inside an interval.
func slopeAt(c Curve, x float64) float64 {
	const e = 1e-6
	return (c.At(x+e) - c.At(x-e)) / (2 * e)
}

// Fritsch and Carlson 1980, RPN14: slopes as printed, and as scipy has them.
func TestSlopesOfRPN14(t *testing.T) {
	var six, five Curve
	rows := testdata.Table(t, "monotone_rpn14_nodes.csv")
	for _, r := range rows {
		six.add(r.Number("x"), r.Number("f"), Curved)
		five.add(r.Number("x"), r.Number("f_printed"), Curved)
	}
	for k, r := range rows {
		printed, pchip := r.Number("d_printed"), r.Number("d_pchip")
		assert.InDelta(t, printed, five.Slope(k), 5e-4*math.Abs(printed)+1e-12, "printed slope at %s", r.Text("x"))
		assert.InDelta(t, pchip, six.Slope(k), 1e-10*math.Abs(pchip)+1e-12, "slope at %s", r.Text("x"))
	}
}

// Fritsch and Carlson 1980, RPN14: the published column and scipy's.
func TestRPN14BetweenItsNodes(t *testing.T) {
	var c, five Curve
	for _, r := range testdata.Table(t, "monotone_rpn14_nodes.csv") {
		c.add(r.Number("x"), r.Number("f"), Curved)
		five.add(r.Number("x"), r.Number("f_printed"), Curved)
	}
	published := 0
	for _, r := range testdata.Table(t, "monotone_rpn14_between.csv") {
		x := r.Number("x")
		assert.InDelta(t, r.Number("y_pchip"), c.At(x), 1e-11, "at %s", r.Text("x"))
		if r.Text("y_printed") != "" {
			published++
			assert.InDelta(t, r.Number("y_printed"), five.At(x), 0.5e-4+1e-9, "published value at %s", r.Text("x"))
		}
		if !slices.Contains(c.X, x) {
			assert.InDelta(t, r.Number("dy_pchip"), slopeAt(c, x), 2e-6, "slope at %s", r.Text("x"))
		}
	}
	assert.Equal(t, 11, published)
}

// Akima 1970 and de Boor 1978, evaluated by scipy.
func TestClassicSets(t *testing.T) {
	rows := testdata.Table(t, "monotone_classic_sets.csv")
	sets := map[string]*Curve{}
	for _, r := range rows {
		if sets[r.Text("set")] == nil {
			sets[r.Text("set")] = &Curve{}
		}
		if r.Text("kind") == "node" {
			sets[r.Text("set")].add(r.Number("x"), r.Number("y"), Curved)
		}
	}
	require.Len(t, sets, 3)
	for _, r := range rows {
		c, x, y, dy := *sets[r.Text("set")], r.Number("x"), r.Number("y"), r.Number("dy")
		assert.InDelta(t, y, c.At(x), 1e-10*math.Abs(y)+1e-12, "%s at %s", r.Text("set"), r.Text("x"))
		if r.Text("kind") == "node" {
			assert.InDelta(t, dy, c.Slope(slices.Index(c.X, x)), 1e-10*math.Abs(dy)+1e-12, "slope of %s at %s", r.Text("set"), r.Text("x"))
		}
	}
}

// Foley et al. 1990, sec. 11.2.
func TestHermiteBasis(t *testing.T) {
	for _, r := range testdata.Table(t, "hermite_basis.csv") {
		u := r.Number("u")
		assert.Equal(t, r.Number("h00"), hermite(u, 1, 0, 0, 0), "h00 at %v", u)
		assert.Equal(t, r.Number("h10"), hermite(u, 0, 1, 0, 0), "h10 at %v", u)
		assert.Equal(t, r.Number("h01"), hermite(u, 0, 0, 1, 0), "h01 at %v", u)
		assert.Equal(t, r.Number("h11"), hermite(u, 0, 0, 0, 1), "h11 at %v", u)
	}
}

func TestWays(t *testing.T) {
	c := Curve{X: []float64{10, 20, 30}, Y: []float64{1, 3, 7}, Ways: []Way{Step, Straight, Curved}}
	for _, tt := range []struct{ x, want float64 }{
		{-5, 1}, {10, 1}, {11, 1}, {19.999, 1}, {20, 3}, {25, 5}, {27.5, 6}, {30, 7}, {99, 7},
	} {
		assert.Equal(t, tt.want, c.At(tt.x), "at %v", tt.x)
	}
	two := Curve{X: []float64{0, 10}, Y: []float64{2, 4}, Ways: []Way{Curved, Curved}}
	assert.InDelta(t, 3.4, two.At(7), 1e-15, "two keys make a line")
	assert.Equal(t, 2.5, Curve{X: []float64{4}, Y: []float64{2.5}, Ways: []Way{Curved}}.At(9))
	assert.Panics(t, func() { Curve{}.At(0) })
	assert.Panics(t, func() { Curve{X: []float64{1}, Y: []float64{1}}.At(0) })
}

func TestWayNames(t *testing.T) {
	for _, w := range []Way{Straight, Step, Curved} {
		got, err := ParseWay(w.String())
		require.NoError(t, err)
		assert.Equal(t, w, got)
	}
	_, err := ParseWay("bouncing")
	assert.EqualError(t, err, `mask: way is "bouncing", want straight, step, curved or follow`)
	assert.Equal(t, "Way(-1)", Way(-1).String())
}

// No way leaves the interval of its two keys, a key is met to the bit, and
// between keys of one direction the curve never turns back.
func TestCurveNeverOvershoots(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		var c Curve
		x := rnd.NormFloat64() * 100
		for range 1 + rnd.IntN(6) {
			c.add(x, math.Round(rnd.NormFloat64()*4)*math.Pow(10, float64(rnd.IntN(12)-6)), Way(rnd.IntN(3)))
			x += math.Ceil(rnd.ExpFloat64() * 20)
		}
		for k := range len(c.X) - 1 {
			require.Equal(t, c.Y[k], c.At(c.X[k]))
			lo, hi := min(c.Y[k], c.Y[k+1]), max(c.Y[k], c.Y[k+1])
			last := c.Y[k]
			for i := 1; i <= 50; i++ {
				v := c.At(c.X[k] + (c.X[k+1]-c.X[k])*float64(i)/50)
				require.True(t, lo <= v && v <= hi, "%v at key %d leaves [%v,%v]: %v", c, k, lo, hi, v)
				toward := (v - last) * (c.Y[k+1] - c.Y[k])
				require.GreaterOrEqual(t, toward, -1e-13*(hi-lo)*(hi-lo), "%v turns back after key %d", c, k)
				last = v
			}
		}
	}
}
