package check

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// slowKernel is the kernel along x as one square of (2 reach + 1)^2.
func slowKernel() (k [][]float64, reach int) {
	const sigma, cut = 1.4, 1e-2
	reach = int(math.Ceil(sigma * math.Sqrt(-2*math.Log(math.Sqrt(2*math.Pi)*sigma*cut))))
	gauss := func(x float64) float64 {
		return math.Exp(-x*x/(2*sigma*sigma)) / (sigma * math.Sqrt(2*math.Pi))
	}
	norm := 0.0
	for i := -reach; i <= reach; i++ {
		var row []float64
		for j := -reach; j <= reach; j++ {
			v := gauss(float64(i)) * float64(-j) * gauss(float64(j)) / (sigma * sigma)
			row = append(row, v)
			norm += v * v
		}
		k = append(k, row)
	}
	for _, row := range k {
		for j := range row {
			row[j] /= math.Sqrt(norm)
		}
	}
	return k, reach
}

// slowAmplitude is the length of the gradient at one pixel.
func slowAmplitude(p colour.Plane, x, y int) float64 {
	k, reach := slowKernel()
	var gx, gy float64
	for i := -reach; i <= reach; i++ {
		for j := -reach; j <= reach; j++ {
			across := p.At(min(max(x+j, 0), p.W-1), min(max(y+i, 0), p.H-1))
			gx += k[i+reach][j+reach] * float64(across)
			gy += k[j+reach][i+reach] * float64(across)
		}
	}
	return math.Hypot(gx, gy)
}

func slowGradientError(a, g colour.Plane, unknown *colour.Plane) (sum float64) {
	for y := range a.H {
		for x := range a.W {
			if unknown == nil || unknown.At(x, y) == 0 {
				sum += math.Pow(slowAmplitude(a, x, y)-slowAmplitude(g, x, y), 2)
			}
		}
	}
	return sum
}

func TestGradientKernel(t *testing.T) {
	_, reach := slowKernel()
	require.Equal(t, gradientReach, reach)
	abs := func(i int) int { return max(i, -i) }
	for _, r := range testdata.Table(t, "gradient_kernel.csv") {
		i, want := int(r.Number("row")), r.NumbersFrom("c0")
		for j := -gradientReach; j <= gradientReach; j++ {
			ours := float64(gradientKernel.bell[abs(i)]) * float64(gradientKernel.slope[abs(j)])
			if j > 0 {
				ours = -ours // the slope is odd, and falls from left to right
			}
			assert.InDelta(t, want[j+gradientReach], ours, 1e-7, "row %d, column %d", i, j)
		}
	}
}

// On a slope of one grey level a pixel the gradient is the same everywhere, and
// the error against nothing its square times the pixels.
func TestGradientOfASlope(t *testing.T) {
	p, none := colour.NewPlane(30, 20), colour.NewPlane(30, 20)
	known := make([]bool, len(p.Pix))
	for i := range p.Pix {
		p.Pix[i] = float32(i%30) / 100
		known[i] = i%30 >= gradientReach && i%30 < 30-gradientReach
	}
	bells, moments := 0.0, 0.0
	for i := -gradientReach; i <= gradientReach; i++ {
		b := float64(gradientKernel.bell[max(i, -i)])
		bells += b
		moments += math.Abs(float64(i)) * float64(gradientKernel.slope[max(i, -i)])
	}
	got, err := gradientError(context.Background(), p, none, known)
	require.NoError(t, err)
	assert.InDelta(t, 22*20*math.Pow(bells*moments/100, 2), got, 1e-5*got)
}
