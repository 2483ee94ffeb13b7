package shot

import (
	"context"
	"math"
	"sync"

	"halocline/app/check"
	"halocline/colour"
)

// How far two colours lie apart, quickly. For two that are close, the square of
// CIEDE2000 is a quadratic form of the difference of their R, G, B. It changes
// slowly over the cube and is kept at the nodes of a grid.

// localDENodes is how many there are along each side. With 33, dE00 of two colours
// up to 10 apart is off by 3 % in the root mean square, which TestLocalDE measures:
// for a limit that is a matter of taste, enough.
const localDENodes = 33

// A localDE is dE00 near one colour: its square as a symmetric 3 x 3 matrix, squares of
// R, G, B, then twice RG, RB, GB.
type localDE [6]float32

func (m *localDE) square(r, g, b float32) float32 {
	return float32(m[0]*float32(r*r)) + float32(m[1]*float32(g*g)) + float32(m[2]*float32(b*b)) +
		float32(m[3]*float32(r*g)) + float32(m[4]*float32(r*b)) + float32(m[5]*float32(g*b))
}

// localDEs is the grid, R slowest.
var localDEs = sync.OnceValue(func() []localDE {
	out := make([]localDE, localDENodes*localDENodes*localDENodes)
	// A context that never ends gives no error.
	_ = colour.EachStrip(context.Background(), 0, len(out), localDENodes, func(from, to int) {
		for i := from; i < to; i++ {
			at := func(n int) float64 { return float64(n%localDENodes) / (localDENodes - 1) }
			out[i] = localDEAt(colour.RGB{R: at(i / localDENodes / localDENodes), G: at(i / localDENodes), B: at(i)})
		}
	})
	return out
})

// localDEAt measures dE00 over a short way in six directions.
func localDEAt(c colour.RGB) (m localDE) {
	const h = 1. / 256
	for _, v := range []*float64{&c.R, &c.G, &c.B} {
		*v = min(max(*v, h/2), 1-h/2) // stay within the cube
	}
	lab := func(r, g, b float64) colour.Lab {
		return colour.RGB{R: c.R + r*h/2, G: c.G + g*h/2, B: c.B + b*h/2}.Lab()
	}
	square := func(r, g, b float64) float64 {
		d := lab(-r, -g, -b).DeltaE(lab(r, g, b)) / h
		return d * d
	}
	r, g, b := square(1, 0, 0), square(0, 1, 0), square(0, 0, 1)
	for i, v := range []float64{r, g, b, square(1, 1, 0) - r - g, square(1, 0, 1) - r - b, square(0, 1, 1) - g - b} {
		m[i] = float32(v)
	}
	return m
}

// localDENear returns the local dE at the node next to a colour.
func localDENear(all []localDE, r, g, b float32) *localDE {
	const n = localDENodes - 1
	node := func(v float32) int { return int(min(max(v, 0), 1)*n + 0.5) }
	return &all[(node(r)*localDENodes+node(g))*localDENodes+node(b)]
}

// noiseAfterBase knows by how much colours change from noise alone.
type noiseAfterBase struct {
	localDEs []localDE
	variance [3]check.NoiseTable // by channel
}

// newNoiseAfterBase takes the noise that a picture has in R, G, B before base to
// what is left of it, or becomes of it, after.
func newNoiseAfterBase(base colour.Base, noise [3]float64) (*noiseAfterBase, error) {
	curves, err := base.Curves()
	if err != nil {
		return nil, err
	}
	n := &noiseAfterBase{localDEs: localDEs()}
	for c := range n.variance {
		n.variance[c] = check.NewNoiseTable(curves, c, noise[c])
	}
	return n, nil
}

// explains reports whether noise alone may have changed one colour to the other:
// whether dE00 is at most 1 plus two sigmas of the difference of two noisy
// colours, whose variance is twice that of one.
func (n *noiseAfterBase) explains(r0, g0, b0, r1, g1, b1 float32) bool {
	m := localDENear(n.localDEs, (r0+r1)/2, (g0+g1)/2, (b0+b1)/2)
	square := m.square(r1-r0, g1-g0, b1-b0)
	if square <= 1 {
		return true
	}
	variance := float32(m[0]*n.variance[0].At((r0+r1)/2)) + float32(m[1]*n.variance[1].At((g0+g1)/2)) +
		float32(m[2]*n.variance[2].At((b0+b1)/2))
	return float64(square) <= sq(1+2*math.Sqrt(2*float64(variance)))
}

func sq(v float64) float64 { return v * v }
