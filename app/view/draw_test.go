package view

import (
	"context"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// What a file of 8 bits has is what the window shows at 100 %, to the byte, on
// every view.
func TestDrawIsComposeAtFullSize(t *testing.T) {
	l := scene(rand.New(rand.NewPCG(31, 32)), image.Rect(0, 0, 173, 131), 1)
	v := Viewport{W: 173, H: 131, VW: 173, VH: 131, Zoom: 1, X: 86.5, Y: 65.5}
	for _, beyond := range [][]bool{nil, l.Beyond} {
		l.Beyond = beyond
		for _, view := range All {
			want := compose(t, new(Composer), v, view, 0, -1, l, 2)
			got, err := Draw(t.Context(), view, l, 8, 2)
			require.NoError(t, err)
			require.Equal(t, want.Pix, got.RGBA(nil).Pix, "%v", view)
		}
	}
}

// At 16 bits a drawing is its definition to two codes of 65535: those of the
// picture, of the weight and of the blend are rounded one after the other. Greys
// that are given of 255 are no coarser than that.
func TestDrawIn16BitsIsItsDefinition(t *testing.T) {
	l := scene(rand.New(rand.NewPCG(33, 34)), image.Rect(0, 0, 120, 90), 1)
	l.Beyond = nil
	v := Viewport{W: 120, H: 90, VW: 120, VH: 90, Zoom: 1, X: 60, Y: 45}
	for _, view := range All {
		got, err := Draw(t.Context(), view, l, 16, 2)
		require.NoError(t, err)
		for y := range 90 {
			for x := range 120 {
				want := twin(l, v, view, x, y)
				for c, p := range []*colour.Plane{&got.R, &got.G, &got.B} {
					clamped := min(max(want[c]/255, 0), 1)
					require.InDelta(t, 65535*clamped, 65535*float64(p.At(x, y)), 2, "%v at (%d,%d)", view, x, y)
				}
			}
		}
	}
}

// All values of a drawing are whole codes, so that a file keeps them as they are.
func TestDrawGivesWholeCodes(t *testing.T) {
	for code := range 1 << 16 {
		require.EqualValues(t, code, colour.Code16(float32(code)/65535))
	}
	l := scene(rand.New(rand.NewPCG(35, 36)), image.Rect(0, 0, 40, 30), 1)
	for depth, full := range map[int]float64{8: 255, 16: 65535} {
		m, err := Draw(t.Context(), Hatch, l, depth, 1)
		require.NoError(t, err)
		finer := 0
		for _, v := range m.G.Pix {
			code := float64(v) * full
			require.InDelta(t, math.Round(code), code, 0.01)
			if int(math.Round(code))%257 != 0 {
				finer++
			}
		}
		if depth == 16 {
			assert.Greater(t, finer, 1000, "of 1200 pixels")
		}
	}
}

// What is in shows as it is, to the last code.
func TestDrawLeavesWhatIsIn(t *testing.T) {
	l := scene(rand.New(rand.NewPCG(37, 38)), image.Rect(0, 0, 60, 50), 1)
	l.Beyond = nil
	frame, err := Draw(t.Context(), Frame, l, 16, 2)
	require.NoError(t, err)
	for _, view := range []View{Hatch, Cutout, Reasons} {
		m, err := Draw(t.Context(), view, l, 16, 2)
		require.NoError(t, err)
		in := 0
		for i, a := range l.Matte.Pix {
			if view != Reasons && a == 1 || view == Reasons && l.Reasons[i] == 0 {
				require.Equal(t, [3]float32{frame.R.Pix[i], frame.G.Pix[i], frame.B.Pix[i]}, [3]float32{m.R.Pix[i], m.G.Pix[i], m.B.Pix[i]}, "%v", view)
				in++
			}
		}
		assert.Greater(t, in, 100)
	}
}

func TestDrawIsTheSameForAnyWorkersAndOnAProxy(t *testing.T) {
	l := scene(rand.New(rand.NewPCG(39, 40)), image.Rect(0, 0, 300, 200), 2)
	for _, view := range All {
		one, err := Draw(t.Context(), view, l, 8, 1)
		require.NoError(t, err)
		seven, err := Draw(t.Context(), view, l, 8, 7)
		require.NoError(t, err)
		require.Equal(t, one.G.Pix, seven.G.Pix)
		require.Equal(t, 150, one.G.W)
	}
}

func TestDrawErrors(t *testing.T) {
	l := scene(rand.New(rand.NewPCG(41, 42)), image.Rect(0, 0, 20, 10), 1)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	for _, view := range []View{Frame, Reasons} {
		_, err := Draw(ctx, view, l, 8, 2)
		assert.ErrorIs(t, err, context.Canceled)
	}
	l.Matte = nil
	_, err := Draw(t.Context(), Hatch, l, 8, 1)
	assert.EqualError(t, err, "view: Hatch needs a matte, found none")
}

func BenchmarkDraw(b *testing.B) {
	l := scene(rand.New(rand.NewPCG(1, 1)), image.Rect(0, 0, 1920, 1080), 1)
	l.Beyond = nil
	for _, view := range []View{Hatch, Reasons} {
		for _, depth := range []int{8, 16} {
			b.Run(fmt.Sprintf("%v/%d bits", view, depth), func(b *testing.B) {
				for b.Loop() {
					if _, err := Draw(b.Context(), view, l, depth, 0); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
