package proof

import (
	"context"
	"errors"
	"math"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A wall is a made clip: red on the left, green on the right, and between them the
// ramp of an error function of a sigma, in mixed light, on which the pick's weight
// is one half in the middle.
type wall struct {
	w, h   int
	sigma  float64 // px; 0: a hard edge between two columns
	left   int     // columns of red
	broken int     // a frame that cannot be read
	spots  [][2]int
	reads  atomic.Int32
}

var (
	red   = [3]float64{0.7, 0.3, 0.3}
	green = [3]float64{0.3, 0.6, 0.3}
)

var errBroken = errors.New("clip: frame is cut short")

func (s *wall) Frame(_ context.Context, n int) (*colour.Image, error) {
	s.reads.Add(1)
	if n == s.broken {
		return nil, errBroken
	}
	m := colour.NewImage(s.w, s.h)
	for y := range s.h {
		for x := range s.w {
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = s.at(x)
		}
	}
	for _, p := range s.spots {
		for y := range 3 {
			for x := range 3 {
				m.R.Row(p[1] + y)[p[0]+x], m.G.Row(p[1] + y)[p[0]+x], m.B.Row(p[1] + y)[p[0]+x] = float32(red[0]), float32(red[1]), float32(red[2])
			}
		}
	}
	return m, nil
}

func (s *wall) at(x int) (r, g, b float32) {
	u := 0.0
	if d := float64(x) + 0.5 - float64(s.left); s.sigma > 0 {
		u = 0.5 * math.Erfc(d/s.sigma/math.Sqrt2)
	} else if d < 0 {
		u = 1
	}
	mix := func(c int) float32 { return float32(green[c] + u*(red[c]-green[c])) }
	return mix(0), mix(1), mix(2)
}

// sheetOn is a sheet on a wall: its red is picked, by a hue range without fades whose
// end lies in the middle of the ramp.
func sheetOn(t testing.TB, s *wall, count int) (*Sheet, *render.Renderer) {
	t.Helper()
	doc := study.New(study.Clip{Path: "wall", First: 1, Count: count})
	m := doc.AddMatte("red", selection.HSL)
	m.Pick.Smooth = false
	half := colour.RGB{R: (red[0] + green[0]) / 2, G: (red[1] + green[1]) / 2, B: 0.3}
	hsl, _ := half.HSL()
	m.Pick.Limits[selection.Hue].Off = false
	m.Pick.Limits[selection.Hue].Fix(selection.Range{From: -20, To: float64(hsl.H)})
	m.Edge.Despeckle = study.Constant(0)
	var frames []int
	for n := range count {
		frames = append(frames, n+1)
	}
	sheet := &Sheet{Study: doc, Matte: m, Items: Items(m, true, nil), Frames: frames[:1], Clip: frames}
	return sheet, render.New(s, 2, render.DefaultCache/16)
}

// swept puts a sweep on a sheet.
func swept(t testing.TB, s *Sheet, text string) *Sweep {
	t.Helper()
	w, err := ParseSweep(&s.Matte.Settings, text)
	require.NoError(t, err)
	s.Items = Items(s.Matte, true, &w)
	return &w
}

// judged returns the figures of a sheet's items.
func judged(t testing.TB, s *Sheet, r *render.Renderer, cache *Cache) []Figures {
	t.Helper()
	all := make([]Figures, len(s.Items))
	require.NoError(t, s.Judge(t.Context(), r, cache, func(i int, f Figures) { all[i] = f }))
	return all
}

// warm is a grade that changes red.
func warm() colour.CDL {
	return colour.CDL{Slope: [3]float64{1.15, 1, 0.9}, Power: [3]float64{0.9, 0.9, 0.9}, Saturation: 1.1}
}
