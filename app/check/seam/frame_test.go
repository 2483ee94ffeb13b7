package seam

import (
	"context"
	"errors"
	"fmt"
	"image"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A still is a clip of one frame: a red square on green, under noise.
type still struct {
	w, h, left int // left of the square
	sigma      float64
	err        error // why it cannot be read
}

const squareSide, squareTop = 60, 30

func (s *still) Frame(context.Context, int) (*colour.Image, error) {
	rng := rand.New(rand.NewPCG(1, 5))
	m := colour.NewImage(s.w, s.h)
	for y := range s.h {
		for x := range s.w {
			c := [3]float64{0.25, 0.5, 0.3}
			if x >= s.left && x < s.left+squareSide && y >= squareTop && y < squareTop+squareSide {
				c = [3]float64{0.7, 0.3, 0.25}
			}
			for k, p := range []colour.Plane{m.R, m.G, m.B} {
				p.Row(y)[x] = float32(c[k] + s.sigma*rng.NormFloat64())
			}
		}
	}
	return m, s.err
}

// trialled is the still's red with a trial, as a request.
func (s *still) trialled(t *testing.T) (*render.Renderer, render.Request) {
	t.Helper()
	doc := study.New(study.Clip{Path: "still", First: 1, Count: 1, Noise: [3]float64{s.sigma, s.sigma, s.sigma}})
	m := doc.AddMatte("red", selection.HSL)
	m.Pick.Limits[selection.Hue].Off = false
	m.Pick.Limits[selection.Hue].Fix(selection.Range{From: -30, To: 30, Before: 20, After: 20})
	m.Edge.Despeckle = study.Constant(0)
	require.NoError(t, m.Trial.SetCDL(1, warmTrial(1)))
	return render.New(s, 1, render.DefaultCache/16), render.Request{Study: doc, Settings: &m.Settings, Frame: 1}
}

func TestOn(t *testing.T) {
	film := &still{w: 320, h: 180, left: 50, sigma: 0.01}
	r, q := film.trialled(t)
	q.Settings.Edge.Soften = study.Constant(2)
	f, err := On(t.Context(), r, q, 1)
	require.NoError(t, err)

	shown, err := r.Shown(t.Context(), q)
	require.NoError(t, err)
	soft, err := r.Matte(t.Context(), q)
	require.NoError(t, err)
	bare := q
	settings := *q.Settings
	settings.Edge.Soften = study.Constant(0)
	bare.Settings = &settings
	before, err := r.Matte(t.Context(), bare)
	require.NoError(t, err)
	plain := seamOf(t, shown, before)
	change := plain.Change(warmTrial(1).Colour)
	assert.Equal(t, change, f.Trial())
	got, err := f.Judge(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, judgedBy(t, plain, soft, change), got)
	assert.Greater(t, got.Bleed, 5*got.Rim)
	assert.Equal(t, 2., q.Settings.Edge.Soften.At(1), "the settings stay")

	sweep, err := f.Sweep(t.Context(), []float64{0, 0.375, 1.5, 3.375, 6}, 1)
	require.NoError(t, err)
	assert.Less(t, sweep.Best, 0.5, "the square has no blur")

	q.Settings.Trial.Off = true
	off, err := On(t.Context(), r, q, 1)
	require.NoError(t, err)
	none, err := off.Judge(t.Context(), 1)
	require.NoError(t, err)
	assert.Equal(t, Figures{EdgeMismatch: got.EdgeMismatch}, none)
	q.Settings = nil
	_, err = On(t.Context(), r, q, 1)
	assert.EqualError(t, err, "seam: a seam needs a matte's settings")
}

// On proxies and parts the pieces of the outline lie where they do in the source.
func TestOnProxiesAndParts(t *testing.T) {
	film := &still{w: 960, h: 400, left: 300}
	for _, factor := range []int{1, 2, 3} {
		for _, region := range []image.Rectangle{{}, image.Rect(255, 3, 480, 151)} {
			t.Run(fmt.Sprint(factor, region), func(t *testing.T) {
				r, q := film.trialled(t)
				q.Factor, q.Region = factor, region
				f, err := On(t.Context(), r, q, 1)
				require.NoError(t, err)
				assert.InDelta(t, 18, f.factor()*f.distance(f.band.bins()-1), 3)
				pieces, err := f.Along(t.Context())
				require.NoError(t, err)
				require.NotEmpty(t, pieces)
				low, high := [2]float64{1e9, 1e9}, [2]float64{}
				for _, p := range pieces {
					low = [2]float64{math.Min(low[0], float64(p.X0)), math.Min(low[1], float64(p.Y0))}
					high = [2]float64{math.Max(high[0], float64(p.X1)), math.Max(high[1], float64(p.Y1))}
				}
				within := 0.6 * float64(factor)
				assert.InDelta(t, 300, low[0], within)
				assert.InDelta(t, squareTop, low[1], within)
				assert.InDelta(t, 300+squareSide, high[0], within)
				assert.InDelta(t, squareTop+squareSide, high[1], within)
			})
		}
	}
}

// A frame that nothing is selected on has no seam, and says so.
func TestNoneOnAFrame(t *testing.T) {
	film := &still{w: 320, h: 180, left: 1000}
	r, q := film.trialled(t)
	_, err := On(t.Context(), r, q, 1)
	assert.Equal(t, NoneError{"the matte is nowhere one half or more"}, err)
	film.err = errors.New("clip: frame is cut short")
	r, q = film.trialled(t)
	_, err = On(t.Context(), r, q, 1)
	assert.ErrorIs(t, err, film.err)
}

// The seam of a joined matte lies along the edge of the whole: none of what was its own
// edge before is left where the other goes on.
func TestOnAJoinedMatte(t *testing.T) {
	film := &still{w: 320, h: 180, left: 50, sigma: 0.01}
	r, q := film.trialled(t)
	whole, err := On(t.Context(), r, q, 1)
	require.NoError(t, err)
	want, err := whole.Judge(t.Context(), 1)
	require.NoError(t, err)
	outline, err := whole.Along(t.Context())
	require.NoError(t, err)

	doc := q.Study
	part := func(m *study.Matte, x0, x1 float64) {
		doc.AddMask(m, "part", study.Keep, study.MaskKey{Points: []mask.Point{{X: x0, Y: 0}, {X: x1, Y: 0}, {X: x1, Y: 180}, {X: x0, Y: 180}}, Opacity: 1})
	}
	right := doc.AddMatte("right", selection.HSL)
	right.Pick, right.Edge = doc.Mattes[0].Pick, doc.Mattes[0].Edge
	part(right, 80, 320)
	left := &doc.Mattes[0]
	part(left, 0, 80)
	q.Settings = &left.Settings
	alongTheCut := func() (n int) {
		f, err := On(t.Context(), r, q, 1)
		require.NoError(t, err)
		pieces, err := f.Along(t.Context())
		require.NoError(t, err)
		for _, p := range pieces {
			if math.Abs(float64(p.X0)-80) < 2 && p.Y0 > squareTop+5 && p.Y1 < squareTop+squareSide-5 {
				n++
			}
		}
		return n
	}
	assert.Greater(t, alongTheCut(), squareSide/2)
	for _, how := range []study.How{study.Add, study.Touching} {
		left.TakeIn(right.ID, how)
		assert.Zero(t, alongTheCut(), "%v", how)
		f, err := On(t.Context(), r, q, 1)
		require.NoError(t, err)
		got, err := f.Judge(t.Context(), 1)
		require.NoError(t, err)
		assert.Equal(t, want, got, "%v", how)
		pieces, err := f.Along(t.Context())
		require.NoError(t, err)
		assert.Equal(t, outline, pieces, "%v", how)
	}
}
