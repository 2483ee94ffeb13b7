package seam

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/selection"
)

// Two flat colours, 25 apart, that stay within the gamut between them.
var (
	innerColour = colour.Lab{L: 60, A: 15, B: 20}
	outerColour = colour.Lab{L: 70, A: 0, B: 0}
)

// mixed returns a picture that goes from outerColour at 0 to innerColour at 1 in
// CIELAB, with noise of that deviation in each channel.
func mixed(share colour.Plane, noise float64) *colour.Image {
	rnd := rand.New(rand.NewPCG(7, 8))
	m := colour.NewImage(share.W, share.H)
	for i, v := range share.Pix {
		k := float64(v)
		c := colour.Lab{
			L: outerColour.L + k*(innerColour.L-outerColour.L),
			A: outerColour.A + k*(innerColour.A-outerColour.A),
			B: outerColour.B + k*(innerColour.B-outerColour.B),
		}.RGB()
		m.R.Pix[i] = float32(c.R + noise*rnd.NormFloat64())
		m.G.Pix[i] = float32(c.G + noise*rnd.NormFloat64())
		m.B.Pix[i] = float32(c.B + noise*rnd.NormFloat64())
	}
	return m
}

// straight is a matte with a straight edge through the middle, turned by degrees,
// that fades linearly over width pixels; width 0 is a hard edge.
func straight(w, h int, degrees, width, shift float64) colour.Plane {
	sin, cos := math.Sincos(degrees * math.Pi / 180)
	return drawn(w, h, func(x, y float64) float64 {
		d := (x-float64(w)/2)*cos + (y-float64(h)/2)*sin - shift
		if width == 0 {
			return math.Round(0.5 - math.Copysign(0.25, d))
		}
		return 0.5 - d/width
	})
}

func seamOf(t *testing.T, picture *colour.Image, before colour.Plane) *Seam {
	t.Helper()
	s, err := New(t.Context(), picture, before, 0, 2)
	require.NoError(t, err)
	return s
}

func judgedBy(t *testing.T, s *Seam, matte colour.Plane, change float64) Figures {
	t.Helper()
	f, err := s.Judge(t.Context(), matte, change, 2)
	require.NoError(t, err)
	return f
}

const (
	seamW = 1280 // R is 16 px, the band goes 24 px to each side
	seamR = 16
)

// A linear fade over V pixels on an edge of the picture that fades over W, both
// centred on it: between the two curves lies an area of |W-V|/8 on each side, and
// (W-V)^2 / 24 max(V,W) of squares. So with the band 1.5 R wide on each side
//
//	rim or bleed = A |W-V| / 6R
//	misfit          = A |W-V| / 6 sqrt(R max(V,W))
func TestStraightEdge(t *testing.T) {
	for _, degrees := range []float64{0, 90, 27} {
		for _, picture := range []float64{2, 4, 8} {
			s := seamOf(t, mixed(straight(seamW, 300, degrees, picture, 0), 0), straight(seamW, 300, degrees, picture, 0))
			change := s.Change(warmTrial(1).Colour)
			require.Greater(t, change, 3.)
			for _, matte := range []float64{2, 4, 8, 16, 24} {
				t.Run(fmt.Sprintf("%v degrees, picture %v px, matte %v px", degrees, picture, matte), func(t *testing.T) {
					f := judgedBy(t, s, straight(seamW, 300, degrees, matte, 0), change)
					off := math.Abs(picture - matte)
					one := change * off / (6 * seamR)
					// Bins of a pixel do not show a corner of a curve.
					within := 0.01 * change / math.Min(picture, matte)
					assert.InDelta(t, change*off/(6*math.Sqrt(seamR*max(picture, matte))), f.Misfit, 4*within, "misfit")
					if matte < picture {
						assert.InDelta(t, one, f.Rim, within, "rim")
						assert.InDelta(t, 0, f.Bleed, within, "bleed")
					} else {
						assert.InDelta(t, one, f.Bleed, within, "bleed")
						assert.InDelta(t, 0, f.Rim, within, "rim")
					}
				})
			}
		}
	}
}

// A hard matte x pixels outside of a hard edge runs over it by x A / 1.5 R, and
// as far within it does the same inside.
func TestShiftedEdge(t *testing.T) {
	for _, shift := range []float64{-4, -2, 2, 4} {
		hard := straight(seamW, 200, 0, 0, 0)
		s := seamOf(t, mixed(hard, 0), straight(seamW, 200, 0, 0, shift))
		change := s.Change(warmTrial(1).Colour)
		f := judgedBy(t, s, straight(seamW, 200, 0, 0, shift), change)
		// The picture has s < 0 where it goes on beyond the matte.
		assert.InDelta(t, change*math.Abs(shift)/(1.5*seamR), f.Rim+f.Bleed, 0.02*change, "shift %v", shift)
		assert.InDelta(t, change*math.Sqrt(math.Abs(shift)/(3*seamR)), f.Misfit, 0.02*change, "shift %v", shift)
	}
}

// Laws: where nothing is graded nothing shows; softer never raises rim nor lowers
// bleed; figures go with the grade's change; the picture's own fade fits it.
func TestLaws(t *testing.T) {
	var treat selection.Treatment
	for _, noise := range []float64{0, 0.02} {
		for _, width := range []float64{0, 3, 8} {
			share := straight(seamW, 300, 12, width, 0)
			s := seamOf(t, mixed(share, noise), share)
			assert.Zero(t, s.Change(colour.NeutralCDL().Colour))
			assert.Equal(t, Figures{EdgeMismatch: judgedBy(t, s, share, 1).EdgeMismatch}, judgedBy(t, s, share, 0))
			last := Figures{Rim: math.Inf(1)}
			for _, soften := range []float64{0, 0.5, 1, 2, 3, 5, 8, 12} {
				m := colour.Plane{}
				require.NoError(t, treat.Apply(t.Context(), &m, &share, nil, nil, selection.Edge{Soften: soften, About: 0.5}, 1, 2))
				f := judgedBy(t, s, m, 5)
				assert.LessOrEqual(t, f.Rim, last.Rim+1e-9, "noise %v, width %v, soften %v", noise, width, soften)
				assert.GreaterOrEqual(t, f.Bleed, last.Bleed-1e-9, "noise %v, width %v, soften %v", noise, width, soften)
				half := judgedBy(t, s, m, 2.5)
				assert.InDelta(t, f.Rim/2, half.Rim, 1e-12)
				assert.InDelta(t, f.Bleed/2, half.Bleed, 1e-12)
				assert.InDelta(t, f.Misfit/2, half.Misfit, 1e-12)
				last = f
			}
			assert.Less(t, judgedBy(t, s, share, 1).Misfit, 0.03, "noise %v, width %v", noise, width)
		}
	}
}

// The softness of least misfit makes a hard matte's edge the picture's: a Gaussian
// edge of that sigma.
func TestSweepFindsTheBlur(t *testing.T) {
	var treat selection.Treatment
	hard := straight(seamW, 300, 12, 0, 0)
	for _, sigma := range []float64{1, 2, 4, 6} {
		share := colour.Plane{}
		require.NoError(t, treat.Apply(t.Context(), &share, &hard, nil, nil, selection.Edge{Soften: sigma, About: 0.5}, 1, 2))
		for _, noise := range []float64{0, 0.02} {
			s := seamOf(t, mixed(share, noise), hard)
			sweep, err := s.Sweep(t.Context(), []float64{0, 1, 2, 3, 4, 6, 9}, 3, 2, softened(&hard))
			require.NoError(t, err)
			assert.InDelta(t, sigma, sweep.Best, 0.15*sigma+0.2, "sigma %v, noise %v", sigma, noise)
		}
	}
}

// softened returns what a sweep calls for a matte's softnesses.
func softened(matte *colour.Plane) func(ctx context.Context, soften float64) (colour.Plane, error) {
	treat := new(selection.Treatment)
	return func(ctx context.Context, soften float64) (dst colour.Plane, err error) {
		err = treat.Apply(ctx, &dst, matte, nil, nil, selection.Edge{Soften: soften, About: 0.5}, 1, 2)
		return dst, err
	}
}

func TestSweepInput(t *testing.T) {
	hard := straight(seamW, 100, 0, 0, 0)
	s := seamOf(t, mixed(hard, 0), hard)
	_, err := s.Sweep(t.Context(), nil, 1, 1, softened(&hard))
	assert.EqualError(t, err, "seam: a sweep needs a softness")
	_, err = s.Sweep(t.Context(), []float64{1, 1}, 1, 1, softened(&hard))
	assert.EqualError(t, err, "seam: a sweep's softness 1 comes after 1, want rising ones")
	one, err := s.Sweep(t.Context(), []float64{2}, 1, 1, softened(&hard))
	require.NoError(t, err)
	assert.Equal(t, 2., one.Best)
}

// Halving the frame halves the softness of least misfit and leaves the figures.
func TestHalfSize(t *testing.T) {
	var figures [2]Figures
	for i, k := range []int{1, 2} {
		share := straight(1920/k, 400/k, 20, 12/float64(k), 0)
		s := seamOf(t, mixed(share, 0), share)
		figures[i] = judgedBy(t, s, straight(1920/k, 400/k, 20, 24/float64(k), 0), 1)
	}
	assert.InDelta(t, figures[0].Bleed, figures[1].Bleed, 0.005)
	assert.InDelta(t, figures[0].Misfit, figures[1].Misfit, 0.005)
}

func TestNone(t *testing.T) {
	edge, flat := straight(640, 300, 0, 2, 0), colour.NewPlane(640, 300)
	full := drawn(640, 300, func(_, _ float64) float64 { return 1 })
	line := drawn(640, 300, func(x, _ float64) float64 { return 1 - math.Abs(x-320.5)/2 })
	speck := drawn(640, 300, func(x, y float64) float64 { return 2 - math.Hypot(x-320.5, y-150.5) })
	for _, c := range []struct {
		name  string
		share colour.Plane
		matte colour.Plane
		want  string
	}{
		{"empty", edge, flat, "the matte is nowhere one half or more"},
		{"full", edge, full, "the matte covers the whole frame"},
		{"speck", edge, speck, "the matte covers nothing but specks"},
		{"flat", flat, edge, "the picture shows no edge along the matte's"},
		{"line", line, line, "no part of the matte or of what is beside it is wider than 5 px"},
	} {
		_, err := New(t.Context(), mixed(c.share, 0), c.matte, 0, 2)
		assert.EqualError(t, err, "seam: there is none: "+c.want, c.name)
		assert.ErrorAs(t, err, new(NoneError), c.name)
	}
}

func TestInput(t *testing.T) {
	edge := straight(640, 300, 0, 2, 0)
	picture := mixed(edge, 0)
	for _, c := range []struct {
		picture *colour.Image
		matte   colour.Plane
		width   float64
		want    string
	}{
		{picture, colour.Plane{}, 0, "seam: the matte is empty"},
		{picture, colour.NewPlane(640, 299), 0, "seam: the matte is 640 x 299, its picture 640 x 300"},
		{picture, edge, 639, "seam: the frame is 639 px wide, want at least the 640 of its part"},
		{picture, edge, math.NaN(), "seam: the frame is NaN px wide, want at least the 640 of its part"},
		{picture, edge, math.Inf(1), "seam: the frame is +Inf px wide, want at least the 640 of its part"},
	} {
		_, err := New(t.Context(), c.picture, c.matte, c.width, 1)
		assert.EqualError(t, err, c.want)
	}
	s := seamOf(t, picture, edge)
	_, err := s.Judge(t.Context(), colour.NewPlane(640, 299), 1, 1)
	assert.EqualError(t, err, "seam: the matte is 640 x 299, its seam's picture 640 x 300")
	_, err = s.Along(t.Context(), colour.NewPlane(1, 1), 1)
	assert.EqualError(t, err, "seam: the matte is 1 x 1, its seam's picture 640 x 300")
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = New(ended, picture, edge, 0, 2)
	assert.ErrorIs(t, err, context.Canceled)
	_, err = s.Judge(ended, edge, 1, 2)
	assert.ErrorIs(t, err, context.Canceled)
}

// Awkward mattes and pictures give figures that are numbers, or no seam.
func TestAwkwardMattes(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	rnd := rand.New(rand.NewPCG(1, 2))
	for _, size := range [][2]int{{1, 1}, {1, 40}, {40, 1}, {2, 2}, {17, 33}, {200, 90}, {640, 64}} {
		w, h := size[0], size[1]
		for name, matte := range map[string]colour.Plane{
			"noise":  drawn(w, h, func(_, _ float64) float64 { return rnd.Float64() }),
			"edge":   straight(w, h, 33, 5, 0),
			"border": drawn(w, h, func(x, _ float64) float64 { return 8 - x }),
			"frame":  drawn(w, h, func(x, y float64) float64 { return min(x, y, float64(w)-x, float64(h)-y) / 4 }),
			"half":   drawn(w, h, func(x, _ float64) float64 { return 0.5 }),
			"checks": drawn(w, h, func(x, y float64) float64 { return float64((int(x/9) + int(y/9)) % 2) }),
		} {
			picture := mixed(matte, 0.05)
			worse := colour.Plane{W: w, H: h, Pix: append([]float32(nil), matte.Pix...)}
			for i := range worse.Pix {
				switch rnd.IntN(9) {
				case 0:
					worse.Pix[i] = nan
				case 1:
					worse.Pix[i], picture.G.Pix[i] = inf, nan
				case 2:
					worse.Pix[i], picture.R.Pix[i] = -inf, inf
				}
			}
			for _, m := range []colour.Plane{matte, worse} {
				s, err := New(t.Context(), picture, m, 0, 2)
				if err != nil {
					require.ErrorAs(t, err, new(NoneError), "%v %s", size, name)
					continue
				}
				change := s.Change(warmTrial(1).Colour)
				pieces, err := s.Along(t.Context(), worse, change)
				require.NoError(t, err)
				figures := []Figures{judgedBy(t, s, m, change), judgedBy(t, s, worse, change)}
				for _, p := range pieces {
					figures = append(figures, p.Figures)
				}
				for _, f := range figures {
					for _, v := range []float64{f.Rim, f.Bleed, f.Misfit, f.EdgeMismatch} {
						require.True(t, v >= 0 && v < 200, "%v %s: %+v", size, name, f)
					}
					require.LessOrEqual(t, f.EdgeMismatch, 1.)
				}
			}
		}
	}
}

// The same figures to the bit for any number of workers.
func TestWorkers(t *testing.T) {
	matte := shape(500, 333, 0, true)
	picture := mixed(shape(500, 333, 0, false), 0.02)
	var want *Seam
	for _, workers := range []int{1, 2, 7, 0} {
		s, err := New(t.Context(), picture, matte, 1000, workers)
		require.NoError(t, err)
		if want == nil {
			want = s
		}
		require.Equal(t, want.picture, s.picture, "%d workers", workers)
		one, err := want.Judge(t.Context(), matte, 3, 1)
		require.NoError(t, err)
		got, err := s.Judge(t.Context(), matte, 3, workers)
		require.NoError(t, err)
		require.Equal(t, one, got, "%d workers", workers)
		require.Equal(t, want.Change(warmTrial(1).Colour), s.Change(warmTrial(1).Colour))
	}
}

// A part of a frame has the curves of the whole where it has all of the band.
func TestPart(t *testing.T) {
	matte := shape(640, 360, 0, false)
	picture := mixed(matte, 0.02)
	whole := seamOf(t, picture, matte)
	const x0, w = 96, 416 // the shape lies within, and so do its local colours
	cut := func(p colour.Plane) colour.Plane {
		q := colour.NewPlane(w, p.H)
		for y := range p.H {
			copy(q.Row(y), p.Row(y)[x0:])
		}
		return q
	}
	part, err := New(t.Context(), &colour.Image{R: cut(picture.R), G: cut(picture.G), B: cut(picture.B)}, cut(matte), 640, 1)
	require.NoError(t, err)
	assert.InDeltaSlice(t, whole.picture, part.picture, 1e-3)
}
