package check

import (
	"context"
	"encoding/json"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// pair reads the worked example's planes by name.
func pair(t *testing.T) map[string]colour.Plane {
	t.Helper()
	planes := map[string]colour.Plane{}
	for _, r := range testdata.Table(t, "matte_pair_16x16.csv") {
		p, ok := planes[r.Text("image")]
		if !ok {
			p = colour.NewPlane(16, 16)
			planes[r.Text("image")] = p
		}
		row := p.Row(int(r.Number("row")))
		for x, code := range r.NumbersFrom("c0") {
			row[x] = colour.FromCode8(uint8(code))
		}
	}
	return planes
}

// plane is a plane as a literal.
func plane(w, h int, pix ...float32) colour.Plane { return colour.Plane{W: w, H: h, Pix: pix} }

func score(t *testing.T, matte, truth colour.Plane, unknown *colour.Plane) Scores {
	t.Helper()
	s, err := Score(context.Background(), matte, truth, unknown)
	require.NoError(t, err)
	return s
}

// Rhemann et al. 2009, worked with general libraries.
func TestWorkedScores(t *testing.T) {
	planes := pair(t)
	require.Len(t, planes, 4)
	got := map[string]map[string]float64{}
	for _, frame := range []string{"0", "1"} {
		matte, truth := planes["pred_t"+frame], planes["gt_t"+frame]
		certain := colour.NewPlane(16, 16)
		for i, g := range truth.Pix {
			if g == 0 || g == 1 {
				certain.Pix[i] = 1
			}
		}
		for region, leaveOut := range map[string]*colour.Plane{"all": nil, "edge": &certain} {
			s := score(t, matte, truth, leaveOut)
			got[region+frame] = map[string]float64{
				"pixels": float64(s.Pixels), "sad": s.SAD, "mae": s.MAE, "mse": s.MSE,
				"gradient": s.Gradient, "connectivity": s.Connectivity,
			}
		}
	}
	rows := testdata.Table(t, "matte_scores.csv")
	assert.Len(t, rows, 24)
	for _, r := range rows {
		want := r.Number("value")
		assert.InDelta(t, want, got[r.Text("region")+r.Text("frame")][r.Text("score")], 2e-6*want, "%v", r)
	}
}

func TestSetScores(t *testing.T) {
	// Worked by hand: minima 0.5 + 1 + 0 + 0, maxima 1 + 1 + 0.5 + 0.25.
	s := score(t, plane(4, 1, 0.5, 1, 0, 0.25), plane(4, 1, 1, 1, 0.5, 0), nil)
	assert.InDelta(t, 1.5/2.75, *s.IoU, 1e-12)
	// Of three in, two are in by the matte as well; of one out, one is out.
	assert.InDelta(t, (2.0/3+1)/2, *s.BalancedAccuracy, 1e-12)
	assert.InDelta(t, 1.25, s.SAD, 1e-12)
	assert.InDelta(t, 1.25/4, s.MAE, 1e-12)
	assert.InDelta(t, (0.25+0.25+0.0625)/4, s.MSE, 1e-12)
	assert.Empty(t, s.Undefined)

	// On hard sets IoU is Jaccard's index; here 1 of 3.
	s = score(t, plane(4, 1, 1, 1, 0, 0), plane(4, 1, 0, 1, 1, 0), nil)
	assert.InDelta(t, 1.0/3, *s.IoU, 1e-12)
	assert.InDelta(t, 0.5, *s.BalancedAccuracy, 1e-12)
}

func TestPerfectMatte(t *testing.T) {
	truth := pair(t)["gt_t0"]
	s := score(t, truth, truth, nil)
	one := 1.0
	assert.Equal(t, Scores{IoU: &one, BalancedAccuracy: &one, Pixels: 256}, s)
}

func TestUndefinedScores(t *testing.T) {
	black, white := colour.NewPlane(3, 2), plane(3, 2, 1, 1, 1, 1, 1, 1)
	for _, tt := range []struct {
		name         string
		matte, truth colour.Plane
		want         string
	}{
		{"nothing at all", black, black, `{"sad":0,"mse":0,"mae":0,"gradient":0,"connectivity":0,"pixels":6,"undefined":{"balancedAccuracy":"no pixel of the truth is in","iou":"both the matte and the truth are empty"}}`},
		{"truth is empty", white, black, `{"sad":6,"mse":1,"mae":1,"iou":0,"gradient":0,"connectivity":6,"pixels":6,"undefined":{"balancedAccuracy":"no pixel of the truth is in"}}`},
		{"truth is everything", black, white, `{"sad":6,"mse":1,"mae":1,"iou":0,"gradient":0,"connectivity":6,"pixels":6,"undefined":{"balancedAccuracy":"no pixel of the truth is out"}}`},
	} {
		got, err := json.Marshal(score(t, tt.matte, tt.truth, nil))
		require.NoError(t, err, tt.name)
		assert.JSONEq(t, tt.want, string(got), tt.name)
	}
}

func TestOddSamplesAreClamped(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	odd := plane(5, 1, nan, inf, -inf, -3, 1.5)
	kept := append([]float32(nil), odd.Pix...)
	truth := plane(5, 1, 0, 1, 0.25, 0, 1)
	got := score(t, odd, truth, nil)
	assert.Equal(t, score(t, plane(5, 1, 0, 1, 0, 0, 1), truth, nil), got)
	assert.InDelta(t, 0.25, got.SAD, 1e-12)
	assert.Equal(t, kept[1:], odd.Pix[1:], "the matte itself is untouched")
}

func TestScoreErrors(t *testing.T) {
	p, all := colour.NewPlane(3, 2), plane(3, 2, 1, 1, 1, 1, 1, 1)
	other := colour.NewPlane(2, 3)
	ctx := context.Background()
	_, err := Score(ctx, p, other, nil)
	assert.EqualError(t, err, "check: the matte is 3 x 2, its truth 2 x 3")
	_, err = Score(ctx, p, p, &other)
	assert.EqualError(t, err, "check: the matte is 3 x 2, its unknown part 2 x 3")
	_, err = Score(ctx, p, p, &all)
	assert.EqualError(t, err, "check: the truth is known nowhere")
	_, err = Score(ctx, colour.Plane{}, colour.Plane{}, nil)
	assert.EqualError(t, err, "check: the matte is empty")
	ctx, cancel := context.WithCancel(ctx)
	cancel()
	_, err = Score(ctx, p, p, nil)
	assert.ErrorIs(t, err, context.Canceled)
}

// random makes planes like mattes: smooth shapes with noise, many samples at
// the thresholds exactly.
func random(rnd *rand.Rand, w, h int) colour.Plane {
	p := colour.NewPlane(w, h)
	k, phase, noise := 0.1+rnd.Float64(), 7*rnd.Float64(), rnd.Float64()
	for y := range h {
		for x := range w {
			v := 0.5 + math.Sin(k*float64(x)+phase)*math.Cos(k*float64(y)) + noise*rnd.NormFloat64()
			v = min(max(v, 0), 1)
			if rnd.IntN(2) == 0 {
				v = math.Round(v*10) / 10
			}
			p.Row(y)[x] = float32(v)
		}
	}
	return p
}

// slowScores is the definition, pixel by pixel.
func slowScores(a, g colour.Plane, unknown *colour.Plane) (sad, mse, iou, balanced float64) {
	var n, lo, hi float64
	var in, out, bothIn, bothOut float64
	for i := range a.Pix {
		if unknown != nil && unknown.Pix[i] != 0 {
			continue
		}
		va, vg := float64(a.Pix[i]), float64(g.Pix[i])
		n++
		sad += math.Abs(va - vg)
		mse += math.Pow(va-vg, 2)
		lo += math.Min(va, vg)
		hi += math.Max(va, vg)
		if vg >= 0.5 {
			in++
			if va >= 0.5 {
				bothIn++
			}
		} else {
			out++
			if va < 0.5 {
				bothOut++
			}
		}
	}
	return sad, mse / n, lo / hi, (bothIn/in + bothOut/out) / 2
}

func TestScoresAgreeWithTheirDefinition(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 40 {
		w, h := 4+rnd.IntN(40), 4+rnd.IntN(40)
		a, g := random(rnd, w, h), random(rnd, w, h)
		var unknown *colour.Plane
		if rnd.IntN(2) == 0 {
			u := colour.NewPlane(w, h)
			for i := range u.Pix {
				u.Pix[i] = float32(rnd.IntN(3) / 2)
			}
			unknown = &u
		}
		s := score(t, a, g, unknown)
		sad, mse, iou, balanced := slowScores(a, g, unknown)
		require.InDelta(t, sad, s.SAD, 1e-9)
		require.InDelta(t, mse, s.MSE, 1e-12)
		require.InDelta(t, sad/float64(s.Pixels), s.MAE, 1e-12)
		require.InDelta(t, iou, *s.IoU, 1e-12)
		if s.BalancedAccuracy == nil {
			require.True(t, math.IsNaN(balanced))
		} else {
			require.InDelta(t, balanced, *s.BalancedAccuracy, 1e-12)
		}
		gradient := slowGradientError(a, g, unknown)
		require.InDelta(t, gradient, s.Gradient, 1e-5*gradient)
		require.InDelta(t, slowConnectivityError(a, g, unknown), s.Connectivity, 1e-9)
	}
}

func TestScoresDoNotDependOnProcessors(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	a, g := random(rnd, 70, 90), random(rnd, 70, 90)
	want := score(t, a, g, nil)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, n := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(n)
		assert.Equal(t, want, score(t, a, g, nil), "%d processors", n)
	}
}
