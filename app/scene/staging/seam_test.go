package staging

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/seam"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// The experiment: does the softness of least misfit, found without a truth, err
// least against one? Skin of the scene gets a warm, lighter grade through mattes
// of which one is the true one, the others are that made worse in known ways, and
// two are fitted, by the pick alone and by pick and mask. Each is softened by 0 to
// 12 px; the frame graded through it is compared with the one graded through the
// true matte, along the true edge. Seeds 6 to 10 were left out while the figures
// were made.

// seamSoftness is the sweep, in px.
var seamSoftness = []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}

// seamStrengths are those of the grade: half, full and double.
var seamStrengths = []float64{0.5, 1, 2}

const (
	seamConstant = 3.5 // px: what one would always choose instead
	seamBandPx   = 16  // a frame's width / 80
	seamEvery    = 4   // of the band's rows and columns, one is compared
)

// warmGrade is warmer and lighter, as one tries on skin.
func warmGrade(strength float64) colour.CDL {
	power := 1 - 0.08*strength
	return colour.CDL{
		Slope:      [3]float64{1 + 0.12*strength, 1 + 0.03*strength, 1 - 0.08*strength},
		Offset:     [3]float64{0.02 * strength, 0.01 * strength, 0},
		Power:      [3]float64{power, power, power},
		Saturation: 1 + 0.08*strength,
	}
}

// A seamMatte is a matte at any softness.
type seamMatte struct {
	name string
	made bool
	at   func(ctx context.Context, soften float64) (colour.Plane, error)
}

// madeMattes are the true matte and what is made of it.
func madeMattes(t *testing.T, truth colour.Plane, seed int) []seamMatte {
	t.Helper()
	treat := new(selection.Treatment)
	hard, fat := colour.NewPlane(truth.W, truth.H), colour.Plane{}
	for i, v := range truth.Pix {
		hard.Pix[i] = float32(math.Round(float64(v)))
	}
	require.NoError(t, treat.Apply(t.Context(), &fat, &truth, nil, nil, selection.Edge{Grow: 4, About: 0.5}, 1, 0))
	sway := swayer(seed)
	out := []seamMatte{}
	for _, m := range []struct {
		name  string
		plane colour.Plane
	}{
		{"true", truth},
		{"hard", hard},
		{"shifted 2 px", moved(truth, func(x, y float64) (float64, float64) { return x - 2, y })},
		{"fat by 4 px", fat},
		{"wobbling", moved(truth, func(x, y float64) (float64, float64) { return x + 5*sway(x, y), y + 5*sway(y+1000, x) })},
	} {
		out = append(out, seamMatte{m.name, true, func(ctx context.Context, soften float64) (dst colour.Plane, err error) {
			err = treat.Apply(ctx, &dst, &m.plane, nil, nil, selection.Edge{Soften: soften, About: 0.5}, 1, 0)
			return dst, err
		}})
	}
	return out
}

// swayer returns noise in [-1,1] that changes over 16 px: values at the corners of
// squares, blended smoothly.
func swayer(seed int) func(x, y float64) float64 {
	rnd := rand.New(rand.NewPCG(uint64(seed), 9))
	const n = 256
	corners := make([]float64, n*n)
	for i := range corners {
		corners[i] = 2*rnd.Float64() - 1
	}
	return func(x, y float64) float64 {
		x, y = x/16, y/16
		x0, y0 := math.Floor(x), math.Floor(y)
		u, v := x-x0, y-y0
		u, v = u*u*(3-2*u), v*v*(3-2*v)
		at := func(dx, dy float64) float64 { return corners[(int(y0+dy)%n)*n+int(x0+dx)%n] }
		return (at(0, 0)*(1-u)+at(1, 0)*u)*(1-v) + (at(0, 1)*(1-u)+at(1, 1)*u)*v
	}
}

// moved returns a plane that shows at each pixel what p has at from.
func moved(p colour.Plane, from func(x, y float64) (float64, float64)) colour.Plane {
	out := colour.NewPlane(p.W, p.H)
	for i := range out.Pix {
		x, y := from(float64(i%p.W), float64(i/p.W))
		x, y = min(max(x, 0), float64(p.W-1)), min(max(y, 0), float64(p.H-1))
		x0, y0 := min(int(x), p.W-2), min(int(y), p.H-2)
		u, v := float32(x-float64(x0)), float32(y-float64(y0))
		upper := p.At(x0, y0)*(1-u) + p.At(x0+1, y0)*u
		lower := p.At(x0, y0+1)*(1-u) + p.At(x0+1, y0+1)*u
		out.Pix[i] = upper*(1-v) + lower*v
	}
	return out
}

// fittedMattes are those of the take's skin, by its settings and without masks.
func fittedMattes(take *Take) []seamMatte {
	matte := func(masks bool) func(ctx context.Context, soften float64) (colour.Plane, error) {
		return func(ctx context.Context, soften float64) (colour.Plane, error) {
			s := take.Study.Mattes[0].Settings
			s.Edge.Soften = study.Constant(soften)
			if !masks {
				s.Masks = nil
			}
			return take.Renderer.Matte(ctx, render.Request{Study: take.Study, Settings: &s, Frame: take.Study.Clip.First})
		}
	}
	return []seamMatte{{"pick and mask", false, matte(true)}, {"pick alone", false, matte(false)}}
}

// bandOf returns the pixels within seamBandPx of the true edge that are compared.
func bandOf(t *testing.T, truth colour.Plane) (pixels []int) {
	t.Helper()
	edge, near := colour.NewPlane(truth.W, truth.H), colour.Plane{}
	for y := range truth.H {
		for x := range truth.W - 1 {
			if (truth.At(x, y) >= 0.5) != (truth.At(x+1, y) >= 0.5) || y+1 < truth.H && (truth.At(x, y) >= 0.5) != (truth.At(x, y+1) >= 0.5) {
				edge.Row(y)[x] = 1
			}
		}
	}
	require.NoError(t, new(selection.Treatment).Apply(t.Context(), &near, &edge, nil, nil, selection.Edge{Grow: seamBandPx, About: 0.5}, 1, 0))
	for i, v := range near.Pix {
		if v >= 0.5 && i%truth.W%seamEvery == 0 && i/truth.W%seamEvery == 0 {
			pixels = append(pixels, i)
		}
	}
	return pixels
}

// rmsError is the root mean square of the CIEDE2000 difference between the frame
// graded through matte and through the truth.
func rmsError(shown *colour.Image, pixels []int, grade colour.CDL, truth, matte colour.Plane) float64 {
	w, _ := shown.Size()
	sum := 0.0
	for _, i := range pixels {
		c := shown.RGB(i%w, i/w)
		to := grade.Colour(c)
		through := func(alpha float64) colour.Lab {
			return colour.RGB{R: c.R + alpha*(to.R-c.R), G: c.G + alpha*(to.G-c.G), B: c.B + alpha*(to.B-c.B)}.Lab()
		}
		e := through(float64(truth.Pix[i])).DeltaE(through(float64(matte.Pix[i])))
		sum += e * e
	}
	return math.Sqrt(sum / float64(len(pixels)))
}

// A seamCase is one matte under one grade.
type seamCase struct {
	seed     int
	matte    string
	made     bool
	strength float64
	sweep    seam.Sweep
	rms      []float64 // by softness
}

// best returns the softness of least error.
func (c seamCase) best() (softness float64) {
	least := math.Inf(1)
	for i, e := range c.rms {
		if e < least {
			least, softness = e, c.sweep.Softness[i]
		}
	}
	return softness
}

// errorAt returns the error at a softness, between those of the sweep.
func (c seamCase) errorAt(softness float64) float64 {
	i := min(int(softness), len(c.rms)-2)
	return c.rms[i] + (softness-float64(i))*(c.rms[i+1]-c.rms[i])
}

// seamCases runs the experiment on one scene, with noise added to its picture.
func seamCases(t *testing.T, seed int, noise float64) (cases []seamCase) {
	t.Helper()
	ctx := t.Context()
	_, take := stillOf(t, seed)
	shown, err := take.Renderer.Shown(ctx, render.Request{Study: take.Study, Frame: take.Study.Clip.First})
	require.NoError(t, err)
	shown = noisier(shown, noise, seed)
	truth := take.Frame.Skin
	pixels := bandOf(t, truth)
	for _, m := range append(madeMattes(t, truth, seed), fittedMattes(take)...) {
		before, err := m.at(ctx, 0)
		require.NoError(t, err)
		s, err := seam.New(ctx, shown, before, 0, 0)
		require.NoError(t, err)
		var mattes []colour.Plane
		for _, soften := range seamSoftness {
			plane, err := m.at(ctx, soften)
			require.NoError(t, err)
			mattes = append(mattes, plane)
		}
		for _, k := range seamStrengths {
			c := seamCase{seed: seed, matte: m.name, made: m.made, strength: k}
			c.sweep, err = s.Sweep(ctx, seamSoftness, s.Change(warmGrade(k).Colour), 0, func(_ context.Context, soften float64) (colour.Plane, error) {
				return mattes[int(soften)], nil
			})
			require.NoError(t, err)
			for _, plane := range mattes {
				c.rms = append(c.rms, rmsError(shown, pixels, warmGrade(k), truth, plane))
			}
			cases = append(cases, c)
		}
	}
	return cases
}

// noisier returns a picture with noise of that deviation added.
func noisier(m *colour.Image, noise float64, seed int) *colour.Image {
	if noise == 0 {
		return m
	}
	w, h := m.Size()
	out, rnd := colour.NewImage(w, h), rand.New(rand.NewPCG(uint64(seed), 10))
	for i := range out.R.Pix {
		out.R.Pix[i] = m.R.Pix[i] + float32(noise*rnd.NormFloat64())
		out.G.Pix[i] = m.G.Pix[i] + float32(noise*rnd.NormFloat64())
		out.B.Pix[i] = m.B.Pix[i] + float32(noise*rnd.NormFloat64())
	}
	return out
}

// table writes what a case came to over the sweep.
func (c seamCase) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "seed %d, %s, grade x %v: least misfit at %.1f px, least error at %v px\n  soften ", c.seed, c.matte, c.strength, c.sweep.Best, c.best())
	for _, s := range c.sweep.Softness {
		fmt.Fprintf(&b, "%6v", s)
	}
	for _, row := range []struct {
		name string
		of   func(i int) float64
	}{
		{"rim    ", func(i int) float64 { return c.sweep.Figures[i].Rim }},
		{"bleed", func(i int) float64 { return c.sweep.Figures[i].Bleed }},
		{"misfit ", func(i int) float64 { return c.sweep.Figures[i].Misfit }},
		{"error  ", func(i int) float64 { return c.rms[i] }},
	} {
		fmt.Fprintf(&b, "\n  %s", row.name)
		for i := range c.rms {
			fmt.Fprintf(&b, "%6.2f", row.of(i))
		}
	}
	return b.String()
}

// A seamTally sums up cases.
type seamTally struct {
	cases, within              int     // 2 px
	miss, ask, constant        float64 // px: mean distance, the same with its sign, that of the constant
	errs, errConstant, errBest float64 // CIEDE2000: mean error at what is offered, at the constant, and the least
}

func (y *seamTally) add(c seamCase) {
	y.cases++
	if math.Abs(c.sweep.Best-c.best()) <= 2 {
		y.within++
	}
	y.miss += math.Abs(c.sweep.Best - c.best())
	y.ask += c.sweep.Best - c.best()
	y.constant += math.Abs(seamConstant - c.best())
	y.errs += c.errorAt(c.sweep.Best)
	y.errConstant += c.errorAt(seamConstant)
	y.errBest += c.errorAt(c.best())
}

func (y seamTally) share() float64 { return float64(y.within) / float64(y.cases) }

func (y seamTally) String() string {
	n := float64(y.cases)
	return fmt.Sprintf("%3d cases: within 2 px %3.0f %%, off by %.2f px (%+.2f), constant by %.2f px; error %.2f, constant %.2f, least %.2f",
		y.cases, 100*y.share(), y.miss/n, y.ask/n, y.constant/n, y.errs/n, y.errConstant/n, y.errBest/n)
}

func TestSeamLeadsToTheLeastError(t *testing.T) {
	if testing.Short() {
		t.Skip("a long run")
	}
	groups := []seamGroup{{seeds: []int{1}}}
	if os.Getenv("HALOCLINE_ALL") != "" {
		leftOut := []int{6, 7, 8, 9, 10}
		groups = []seamGroup{{seeds: []int{1, 2, 3, 4, 5}}, {seeds: leftOut}, {seeds: leftOut, noise: 0.02}}
	}
	for _, g := range groups {
		made, names, tallies := seamTally{}, []string{}, map[string]*seamTally{}
		for _, seed := range g.seeds {
			for _, c := range seamCases(t, seed, g.noise) {
				if tallies[c.matte] == nil {
					names, tallies[c.matte] = append(names, c.matte), &seamTally{}
				}
				tallies[c.matte].add(c)
				if c.made {
					made.add(c)
				}
				if g.noise == 0 {
					t.Log(c.table())
				}
			}
		}
		for _, name := range names {
			t.Logf("%v %-13s %v", g, name, tallies[name])
		}
		t.Logf("%v all made      %v", g, made)
		assert.GreaterOrEqual(t, made.share(), 0.8, "%v", g)
		assert.Less(t, made.miss, made.constant, "%v", g)
		for _, name := range names {
			assert.Less(t, tallies[name].errs, tallies[name].errConstant, "%v %s", g, name)
		}
	}
}

// A seamGroup is scenes that are summed up together.
type seamGroup struct {
	seeds []int
	noise float64 // added to their pictures
}

func (g seamGroup) String() string { return fmt.Sprintf("seeds %v, noise %v more:", g.seeds, g.noise) }
