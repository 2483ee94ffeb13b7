package motion

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// uniform is a flow of one motion everywhere.
func uniform(w, h int, dx, dy float32) *Flow {
	f := Still(w, h)
	for i := range f.u {
		f.u[i], f.v[i] = dx, dy
	}
	return f
}

func TestFlowsOneAfterTheOther(t *testing.T) {
	for _, h := range []int{60, 600, 1200} {
		w := 2 * h / 3
		a, b := uniform(w, h, 3, -1), uniform(w, h, 0.5, 2)
		gw, gh, scale := a.Grid()
		in := image.Rect(2, 2, gw-2, gh-2)
		sum := a.Then(b, in)
		dx, dy := sum.At(w/2, h/2)
		assert.InDelta(t, 3.5, dx, 1e-5)
		assert.InDelta(t, 1, dy, 1e-5)
		dx, _ = sum.At(0, 0)
		assert.Greater(t, dx, float32(w), "left out, at %d pixels a node", scale)
		same := a.Then(Still(w, h), image.Rect(0, 0, gw, gh))
		assert.Equal(t, a.u, same.u)
		assert.Equal(t, a.v, same.v)
	}
	// The second motion is the one at the place to which the first leads.
	a, b := uniform(40, 30, 10, 0), Still(40, 30)
	for i := range b.u {
		b.u[i] = float32(i % 40)
	}
	dx, _ := a.Then(b, image.Rect(0, 0, 40, 30)).At(5, 7)
	assert.InDelta(t, 10+15, dx, 1e-5)
	assert.Panics(t, func() { a.Then(uniform(41, 30, 0, 0), image.Rect(0, 0, 1, 1)) })
}

// What is not trusted goes with what is trusted about it, as far as it is not its own.
func TestMotionIsLedFromWhatIsTrusted(t *testing.T) {
	const w, h = 40, 30
	f := Still(w, h)
	own, trust := make([]float32, w*h), make([]float32, w*h)
	for y := range h {
		for x := range w {
			i := y*w + x
			own[i] = 1
			if x < 20 {
				f.u[i], trust[i] = 4, 1
			} else if x < 24 {
				own[i] = 0.25 // at the edge the motion is that of what lies behind: 0
			}
		}
	}
	led := f.Lead(own, trust, 3)
	for _, c := range []struct {
		x    int
		want float64
	}{{10, 4}, {19, 4}, {21, 3}, {23, 3}, {30, 0}} {
		dx, _ := led.At(c.x, 15)
		assert.InDelta(t, c.want, dx, 1e-4, "at %d", c.x)
	}
	for i := range trust {
		trust[i] = 0
	}
	assert.Equal(t, f.u, f.Lead(own, trust, 3).u, "nothing is trusted")
	require.Equal(t, float32(0), f.u[15*w+21], "the flow itself stays")
}
