package guided

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The compiler works constants out exactly and rounds them once.
func TestEpsIsRoundedOnce(t *testing.T) {
	assert.Equal(t, 0.02*0.02*guideOne*guideOne, Windows{Eps: 0.02 * 0.02}.eps())
	assert.Equal(t, 1e-4*guideOne*guideOne, Windows{Eps: 1e-4}.eps())
	assert.Equal(t, 1e-2*guideOne*guideOne, Windows{Eps: 1e-2}.eps())
	assert.InEpsilon(t, 3e-4*guideOne*guideOne, Windows{Eps: 3e-4}.eps(), 1e-15)
}

func TestCoefficientsHaveRoom(t *testing.T) {
	for eps, want := range map[float64]float64{MinEps: 64, 1e-4: 64, 0.02 * 0.02: 32, 1e-3: 16, 1: 2} {
		assert.Equal(t, want, Windows{Eps: eps}.coefZero(), "eps %g", eps)
	}
}

// The sums fit where every sample is the largest.
func TestSumsFit(t *testing.T) {
	const whole = boxUnit * boxUnit * (2*MaxRadius + 2) * (2*MaxRadius + 2) // of a window that counts shares
	most := 2 * Windows{Eps: MinEps}.coefZero() * coefOne
	assert.Less(t, whole*guideOne*guideOne*1., float64(1<<63), "products")
	assert.Less(t, whole*most, float64(1<<63), "coefficients")
	assert.LessOrEqual(t, 16*guideOne*guideOne*1., float64(1<<32-1), "products of a cell")
	assert.LessOrEqual(t, 16*most, float64(1<<32-1), "coefficients of a cell")
}
