package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

func publishedCDL(t *testing.T, row testdata.Row) CDL {
	return CDL{
		Slope:      triple(row, "slope_r", "slope_g", "slope_b"),
		Offset:     triple(row, "offset_r", "offset_g", "offset_b"),
		Power:      triple(row, "power_r", "power_g", "power_b"),
		Saturation: row.Number("saturation"),
	}
}

// The American Society of Cinematographers' release 1.2 through an independent
// implementation's figures: see the file. Both forms.
func TestVectorsOfTheColorDecisionList(t *testing.T) {
	for _, row := range testdata.Table(t, "asc_cdl.csv") {
		d, in := publishedCDL(t, row), triple(row, "in_r", "in_g", "in_b")
		want := triple(row, "out_r", "out_g", "out_b")
		got := d.Colour(RGB{in[0], in[1], in[2]})
		requireNear(t, want, got.parts(), 1e-6, "%v", row)
		requireNear(t, triple(row, "calc_r", "calc_g", "calc_b"), got.parts(), 1e-9, "%v", row)

		picture := onePixel(RGB{in[0], in[1], in[2]})
		require.NoError(t, d.Apply(background, picture, picture, 1))
		requireNear(t, want, picture.RGB(0, 0).parts(), 1.1e-6, "fast, %v", row)
	}
}

func onePixel(c RGB) *Image {
	m := NewImage(1, 1)
	m.R.Pix[0], m.G.Pix[0], m.B.Pix[0] = float32(c.R), float32(c.G), float32(c.B)
	return m
}

// testCDLs are grades of every kind, also far ones.
func testCDLs() map[string]CDL {
	return map[string]CDL{
		"lines":      {Slope: [3]float64{1.2, 0.9, 0.7}, Offset: [3]float64{-0.1, 0.02, 0.2}, Power: [3]float64{1, 1, 1}, Saturation: 1},
		"powers":     {Slope: [3]float64{1, 1, 1}, Power: [3]float64{0.45, 1.3, 2.2}, Saturation: 1},
		"far powers": {Slope: [3]float64{1, 1, 1}, Power: [3]float64{0.01, 7.9, 64}, Saturation: 1},
		"saturation": {Slope: [3]float64{1, 1, 1}, Power: [3]float64{1, 1, 1}, Saturation: 1.7},
		"grey":       {Slope: [3]float64{1, 1, 1}, Power: [3]float64{1, 1, 1}},
		"all":        {Slope: [3]float64{1.3, 1, 0.8}, Offset: [3]float64{-0.05, 0, 0.03}, Power: [3]float64{0.8, 1, 1.25}, Saturation: 1.4},
		"strong":     {Slope: [3]float64{4, 3, 0}, Offset: [3]float64{-1, -2, 0.5}, Power: [3]float64{0.5, 5, 3}, Saturation: 4},
	}
}

func TestGradeFollowsTheFormula(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 7))
	src := NewImage(150, 80)
	for c, p := range src.planes() {
		for i := range p.Pix {
			p.Pix[i] = float32(rng.Float64()*1.2 - 0.1)
			if i%5 == 0 { // near black, where powers under 1 are steep
				p.Pix[i] = float32(math.Exp2(-20 * rng.Float64()))
			}
			if i < 9 {
				p.Pix[i] = float32([]float64{0, 1, -0.5, 1.5, 1. / 4096, math.NaN(), math.Inf(1), math.Inf(-1), 0.5}[(i+c)%9])
			}
		}
	}
	for name, d := range testCDLs() {
		var first *Image
		for _, workers := range []int{1, 2, 7} {
			dst := &Image{}
			require.NoError(t, d.Apply(background, dst, src, workers))
			if first == nil {
				first = dst
			}
			require.Equal(t, first, dst, "%s with %d workers", name, workers)
		}
		for i := range src.R.Pix {
			x, y := i%150, i/150
			requireNear(t, d.Colour(src.RGB(x, y)).parts(), first.RGB(x, y).parts(), 1e-6, "%s of %v", name, src.RGB(x, y))
		}
	}
}

func TestNeutralCDLIsTheIdentity(t *testing.T) {
	src := testPicture(40, 30, 0.02, 3)
	src.R.Pix[0], src.G.Pix[0] = -0.25, 1.5
	dst, d := &Image{}, NeutralCDL()
	require.True(t, d.IsNeutral())
	require.NoError(t, d.Apply(background, dst, src, 2))
	assert.Equal(t, src, dst)
	assert.Equal(t, src.RGB(0, 0), d.Colour(src.RGB(0, 0)))
	assert.Equal(t, [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}, d.Jacobian(src.RGB(0, 0)))
	d.Offset[2] = 1e-9
	assert.False(t, d.IsNeutral())
}

// Through a matte: the plain formula, copied bits at 0, the grade at 1.
func TestGradeThroughAMatte(t *testing.T) {
	src := testPicture(64, 48, 0.02, 5)
	src.R.Pix[0] = -0.125 // outside the matte nothing is clamped
	matte, none := NewPlane(64, 48), NewPlane(64, 48)
	for i := range matte.Pix {
		matte.Pix[i] = max(0, min(1, float32(i%64)/32-0.5))
	}
	d := testCDLs()["all"]
	g, err := d.Grade()
	require.NoError(t, err)
	dst, full := &Image{}, &Image{}
	require.NoError(t, g.Through(background, dst, src, matte, 2))
	require.NoError(t, g.Apply(background, full, src, 2))
	for y := range 48 {
		for x := range 64 {
			a, from, to := float64(matte.At(x, y)), src.RGB(x, y).parts(), d.Colour(src.RGB(x, y)).parts()
			for c := range from {
				requireClose(t, from[c]+a*(to[c]-from[c]), dst.RGB(x, y).parts()[c], 1e-6, "(%d,%d)", x, y)
			}
			switch a {
			case 0:
				require.Equal(t, src.RGB(x, y), dst.RGB(x, y))
			case 1:
				require.Equal(t, full.RGB(x, y), dst.RGB(x, y))
			}
		}
	}
	require.NoError(t, g.Through(background, dst, src, none, 2))
	assert.Equal(t, src, dst)
	inPlace := testPicture(64, 48, 0.02, 5)
	inPlace.R.Pix[0] = -0.125
	require.NoError(t, g.Through(background, inPlace, inPlace, matte, 1))
	require.NoError(t, g.Through(background, dst, src, matte, 1))
	assert.Equal(t, dst, inPlace)
	assert.Panics(t, func() { _ = g.Through(background, dst, src, NewPlane(2, 2), 1) })
}

// The derivatives against differences of the definition.
func TestJacobianOfTheCDL(t *testing.T) {
	const increment = 1e-6
	colours := []RGB{{0.3, 0.5, 0.7}, {0.8, 0.2, 0.1}, {0.45, 0.44, 0.43}, {0.02, 0.98, 0.5}}
	for name, d := range testCDLs() {
		for _, c := range colours {
			j := d.Jacobian(c)
			for k := range 3 {
				up, down := c.parts(), c.parts()
				up[k] += increment
				down[k] -= increment
				a, b := d.Colour(RGB{up[0], up[1], up[2]}).parts(), d.Colour(RGB{down[0], down[1], down[2]}).parts()
				for i := range 3 {
					requireClose(t, (a[i]-b[i])/(2*increment), j[i][k], 1e-4*(1+math.Abs(j[i][k])), "%s at %v: d%d/d%d", name, c, i, k)
				}
			}
		}
	}
	assert.Zero(t, testCDLs()["strong"].Jacobian(RGB{0.9, 0.9, 0.9}), "all clamped")
	ends := testCDLs()["powers"].Jacobian(RGB{0, 1, 0.5})
	assert.Zero(t, [2][3]float64(ends[:2]), "on the ends")
	assert.NotZero(t, ends[2][2])
}

func TestCDLSaysWhatIsWrong(t *testing.T) {
	d := CDL{Slope: [3]float64{1, -1, 1}, Offset: [3]float64{0, 0, math.NaN()}, Power: [3]float64{0, 1, 1}, Saturation: -0.5}
	want := "colour: cdl: power of red is 0, want a number over 0\ncolour: cdl: slope of green is -1, want 0 or more\n" +
		"colour: cdl: offset of blue is NaN, want a number\ncolour: cdl: saturation is -0.5, want 0 or more"
	assert.EqualError(t, d.Check(), want)
	src := onePixel(RGB{0.5, 0.5, 0.5})
	assert.EqualError(t, d.Apply(background, src, src, 1), want)
	assert.NoError(t, NeutralCDL().Check())
}
