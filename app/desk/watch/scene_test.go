package watch

import (
	"context"
	"fmt"
	"math"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A discSource shows a yellow disc with a soft rim on grey, in memory. A frame that is
// gone cannot be read.
type discSource struct {
	w, h  int
	gone  atomic.Int64 // the number of that frame
	reads atomic.Int64
}

func (s *discSource) Frame(_ context.Context, n int) (*colour.Image, error) {
	s.reads.Add(1)
	if int64(n) == s.gone.Load() {
		return nil, fmt.Errorf("frame %d is gone", n)
	}
	m := colour.NewImage(s.w, s.h)
	for y := range s.h {
		for x := range s.w {
			u := min(max((float64(s.h)/4-math.Hypot(float64(x-s.w/2), float64(y-s.h/2)))/4+0.5, 0), 1)
			grain := 0.01 * float64((x*7+y*13+x*y)%11-5)
			m.R.Row(y)[x] = float32(0.45 + 0.35*u + grain)
			m.G.Row(y)[x] = float32(0.5 + 0.15*u + grain)
			m.B.Row(y)[x] = float32(0.52 - 0.4*u + grain)
		}
	}
	return m, nil
}

// newScene is a study of the disc with a matte that picks it by saturation, and what
// renders it.
func newScene(t testing.TB, frames int) (*study.Study, *render.Renderer, *discSource) {
	t.Helper()
	src := &discSource{w: 160, h: 96}
	src.gone.Store(-1)
	s := study.New(study.Clip{Path: "/disc.mov", Count: frames})
	m := s.AddMatte("disc", selection.HSL)
	m.Pick.Limits[selection.Sat] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.35, To: 1, Before: 0.1})}
	for i, d := range []study.Dab{{X: 80, Y: 48, Radius: 5}, {X: 74, Y: 40, Radius: 4}, {X: 20, Y: 20, Radius: 5, Kind: study.Drop}, {X: 140, Y: 80, Radius: 5, Kind: study.Drop}} {
		s.AddDab(m, d)
		require.Len(t, m.Dabs, i+1)
	}
	return s, render.New(src, 0, render.DefaultCache), src
}

// inquiryOf asks for findings about a study's first matte.
func inquiryOf(s *study.Study, r *render.Renderer, frame int) Inquiry {
	return Inquiry{Renderer: r, Study: s, MatteID: s.Mattes[0].ID, Frame: frame}
}
