package render

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// flat is a picture of one grey.
type flat struct{ picture *colour.Image }

func (f flat) Frame(context.Context, int) (*colour.Image, error) { return f.picture, nil }

// Grow and soften treat the edge that a mask cuts as they treat the pick's: here the pick
// keeps all, and the mask's hard edge lies at column 60. What they make of it is known: the
// edge moved by the radius, and the integral of a Gaussian (erfc; DLMF 7.2).
func TestGrowAndSoftenReachTheEdgesOfMasks(t *testing.T) {
	const w, h, cut = 120, 64, 60
	grey := colour.NewImage(w, h)
	for i := range grey.R.Pix {
		grey.R.Pix[i], grey.G.Pix[i], grey.B.Pix[i] = 0.5, 0.5, 0.5
	}
	s := study.New(study.Clip{Path: "grey", First: 1, Count: 1})
	m := s.AddMatte("all", selection.LCh)
	m.Edge.Despeckle.Fix(0)
	corners := []mask.Point{{X: -50, Y: -50}, {X: cut, Y: -50}, {X: cut, Y: h + 50}, {X: -50, Y: h + 50}}
	s.AddMask(m, "left half", study.Keep, study.MaskKey{Frame: 1, Opacity: 1, Points: corners})
	across := func(soften, grow float64) []float32 {
		m.Edge.Soften.Fix(soften)
		m.Edge.Grow.Fix(grow)
		p, err := New(flat{grey}, 1, DefaultCache).Matte(t.Context(), Request{Study: s, Settings: &m.Settings, Frame: 1})
		require.NoError(t, err)
		return p.Row(h / 2)
	}
	step := func(edge float64) func(x float64) float64 {
		return func(x float64) float64 {
			if x < edge {
				return 1
			}
			return 0
		}
	}
	soft := func(sigma float64) func(x float64) float64 {
		return func(x float64) float64 { return math.Erfc((x-cut)/(sigma*math.Sqrt2)) / 2 }
	}
	for _, tt := range []struct {
		soften, grow float64
		want         func(x float64) float64
	}{
		{0, 0, step(cut)}, {2, 0, soft(2)}, {8, 0, soft(8)}, {0, -6, step(cut - 6)}, {0, 6, step(cut + 6)},
	} {
		row := across(tt.soften, tt.grow)
		var told []string
		for x := 36; x < 84; x++ {
			assert.InDelta(t, tt.want(float64(x)+0.5), row[x], 0.012, "soften %v, grow %v, column %d", tt.soften, tt.grow, x)
			if x%4 == 0 {
				told = append(told, fmt.Sprintf("%.2f", row[x]))
			}
		}
		t.Logf("soften %v, grow %2v, columns 36, 40 ... 80: %s", tt.soften, tt.grow, strings.Join(told, " "))
	}

	// A drop mask bounds them: nothing is softened or grown into it.
	s.AddMask(m, "right of 50", study.Drop, study.MaskKey{Frame: 1, Opacity: 1, Points: []mask.Point{{X: 50, Y: -50}, {X: 200, Y: -50}, {X: 200, Y: h + 50}, {X: 50, Y: h + 50}}})
	for _, e := range [][2]float64{{8, 0}, {0, 6}, {3, 3}} {
		row := across(e[0], e[1])
		for x := 50; x < w; x++ {
			require.Zero(t, row[x], "column %d", x)
		}
	}
}
