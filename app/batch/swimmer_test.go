package batch

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

func iouOf(t *testing.T, matte, truth colour.Plane, unknown *colour.Plane) float64 {
	s, err := check.Score(t.Context(), matte, truth, unknown)
	require.NoError(t, err)
	return *s.IoU
}

// threeWays is the IoU of a keep mask alone, of the pick alone, and of both with
// the default edge.
type threeWays struct{ mask, pick, both float64 }

func scoreWays(t *testing.T, r *render.Renderer, q render.Request, truth colour.Plane, unknown *colour.Plane) threeWays {
	alone, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	pick, err := r.Pick(t.Context(), q)
	require.NoError(t, err)
	both, err := r.Matte(t.Context(), q)
	require.NoError(t, err)
	return threeWays{iouOf(t, alone, truth, unknown), iouOf(t, pick, truth, unknown), iouOf(t, both, truth, unknown)}
}

func (a threeWays) plus(b threeWays, share float64) threeWays {
	return threeWays{a.mask + b.mask*share, a.pick + b.pick*share, a.both + b.both*share}
}

// A mask and a pick together must do far more than either alone.
func (mean threeWays) check(t *testing.T) {
	assert.GreaterOrEqual(t, mean.both, mean.mask+0.25*(1-mean.mask))
	assert.LessOrEqual(t, mean.pick, mean.both-0.25)
}

// On real pictures the mask is drawn about the label of bare skin.
func TestPickAndMaskOnRealPictures(t *testing.T) {
	folder := openData(t)
	var mean threeWays
	t.Log("skin IoU: mask alone, pick alone, both")
	for _, name := range realPictures {
		s := readReal(t, folder, name)
		w, h := s.raw.Size()
		truth, unknown := colour.NewPlane(w, h), colour.NewPlane(w, h)
		for i, v := range s.label.Pix {
			switch {
			case v > 0.9:
				truth.Pix[i] = 1
			case v > 0.1:
				unknown.Pix[i] = 1
			}
		}
		doc := study.New(study.Clip{Path: name, Count: 1, Noise: colour.Noise(s.raw)})
		m := doc.AddMatte("skin", selection.LCh)
		m.Pick = study.ConstantPick(mustFit(t, s.dabs(), selection.LCh), true)
		addSwimmer(doc, m, truth, 0)
		f := scoreWays(t, render.New(stillSource{s.raw}, 0, render.DefaultCache), render.Request{Study: doc, Settings: &m.Settings}, truth, &unknown)
		t.Logf("%-9s %.3f %.3f %.3f", name, f.mask, f.pick, f.both)
		assert.Greater(t, f.both, f.mask, name)
		assert.Greater(t, f.both, f.pick, name)
		mean = mean.plus(f, 1/float64(len(realPictures)))
	}
	t.Logf("mean      %.3f %.3f %.3f", mean.mask, mean.pick, mean.both)
}

func TestOutlineClearsWhatItGoesAbout(t *testing.T) {
	truth := colour.NewPlane(120, 90)
	for y := range 90 {
		for x := range 120 {
			if (x-40)*(x-40)+(y-30)*(y-30) < 300 || x > 100 && y == 70 {
				truth.Row(y)[x] = 0.4
			}
		}
	}
	points := outlineAbout(truth, 24, 9)
	require.Len(t, points, 24)
	for y := range 90 {
		for x, v := range truth.Row(y) {
			if v == 0 {
				continue
			}
			for _, corner := range []mask.Point{{X: float64(x), Y: float64(y)}, {X: float64(x + 1), Y: float64(y + 1)}} {
				require.GreaterOrEqual(t, clearance(points, corner), 8.0)
			}
		}
	}
	require.Nil(t, outlineAbout(colour.NewPlane(5, 5), 24, 9))
}

// clearance is how far inside a convex polygon a point lies, negative outside.
func clearance(points []mask.Point, p mask.Point) float64 {
	least := math.Inf(1)
	for i, a := range points {
		b := points[(i+1)%len(points)]
		cross := (b.X-a.X)*(p.Y-a.Y) - (b.Y-a.Y)*(p.X-a.X)
		least = min(least, cross/math.Hypot(b.X-a.X, b.Y-a.Y))
	}
	return least
}
