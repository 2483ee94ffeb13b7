package selection

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// slowSoften is the definition: the mean under a Gaussian cut at 4 sigma, over
// what takes part. It is done for columns, then for rows, on alpha and on what
// takes part alike.
func slowSoften(src colour.Plane, mask *colour.Plane, sigma float64) colour.Plane {
	reach := int(4*sigma + 0.5)
	weight := make([]float64, reach+1)
	for d := range weight {
		weight[d] = math.Exp(-float64(d*d) / (2 * sigma * sigma))
	}
	blur := func(v []float64, w, h, dx, dy int) []float64 {
		out := make([]float64, len(v))
		for y := range h {
			for x := range w {
				for d := -reach; d <= reach; d++ {
					if px, py := x+d*dx, y+d*dy; px >= 0 && px < w && py >= 0 && py < h {
						out[y*w+x] += weight[max(d, -d)] * v[py*w+px]
					}
				}
			}
		}
		return out
	}
	a, part := make([]float64, len(src.Pix)), make([]float64, len(src.Pix))
	for i, v := range src.Pix {
		if mask == nil || mask.Pix[i] > 0 {
			a[i], part[i] = float64(v), 1
		}
	}
	w, h := src.W, src.H
	a, part = blur(blur(a, w, h, 1, 0), w, h, 0, 1), blur(blur(part, w, h, 1, 0), w, h, 0, 1)
	out := colour.NewPlane(w, h)
	for i, v := range src.Pix {
		out.Pix[i] = v
		if mask == nil || mask.Pix[i] > 0 {
			out.Pix[i] = float32(a[i] / part[i])
		}
	}
	return out
}

func softenBy(t testing.TB, src colour.Plane, mask *colour.Plane, sigma float64) colour.Plane {
	t.Helper()
	return apply(t, src, nil, mask, Edge{Soften: sigma, About: 0.5})
}

func TestEdgeSoftenIsItsDefinition(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 1))
	for range 40 {
		w, h := 1+rng.IntN(60), 1+rng.IntN(60)
		src, mask := edgeMatte(rng, w, h), edgeMask(w, h)
		sigma := 0.1 + 3.9*rng.Float64()
		for _, m := range []*colour.Plane{nil, &mask} {
			worst, at := worstOf(slowSoften(src, m, sigma), softenBy(t, src, m, sigma))
			require.LessOrEqual(t, worst, 1e-6, "%dx%d, sigma %g, pixel %d", w, h, sigma, at)
		}
	}
}

// From sigma 4 on, on averages of squares: hard edges, single pixels, noise and the
// ends of planes and masks.
func TestEdgeSoftenOnSquaresIsNear(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 2))
	const w, h = 120, 90
	half := colour.NewPlane(w, h)
	checks := colour.NewPlane(w, h)
	for i := range half.Pix {
		if i%w >= 70 {
			half.Pix[i] = 1
		}
		if (i%w/5+i/w/5)%2 == 0 {
			checks.Pix[i] = 1
		}
	}
	mask := edgeMask(w, h)
	mask.Row(h / 2)[w-1] = 0 // without its lone pixel
	thin, lone := colour.NewPlane(w, h), colour.NewPlane(w, h)
	for i := range thin.Pix {
		if rng.IntN(200) == 0 || i%w == 80 {
			thin.Pix[i] = 1
		}
		if i%w < 40 || i%w%13 == 0 && i/w%17 == 0 {
			lone.Pix[i] = 1
		}
	}
	sigmas := []float64{4, 5.3, 7.9, 8, 16, 31, 50}
	if testing.Short() {
		sigmas = []float64{4, 8, 32}
	}
	worstAll := map[string]float64{}
	for name, src := range map[string]colour.Plane{"hard edge": half, "checks": checks, "specks": specks(rng, w, h), "matte": edgeMatte(rng, w, h)} {
		for kind, m := range map[string]*colour.Plane{"all": nil, "mask": &mask, "thin": &thin, "lone": &lone} {
			for _, sigma := range sigmas {
				worst, at := worstOf(slowSoften(src, m, sigma), softenBy(t, src, m, sigma))
				worstAll[kind] = max(worstAll[kind], worst)
				limit := 0.0015
				if kind == "thin" || kind == "lone" { // few pixels, far apart, share a mean
					limit = 0.004
				}
				assert.LessOrEqual(t, worst, limit, "%s, %s, sigma %g, (%d,%d)", name, kind, sigma, at%w, at/w)
			}
		}
	}
	t.Logf("worst: %.5v", worstAll)
}

// The kernel is scipy's, which samples the Gaussian in the same way.
func TestEdgeSoftenAgainstTheReference(t *testing.T) {
	byEnd := map[float64]map[int]float64{}
	for _, row := range testdata.Table(t, "gaussian_kernel.csv") {
		v := row.Numbers("sigma", "radius", "t", "weight")
		if byEnd[v[0]] == nil {
			byEnd[v[0]] = map[int]float64{}
		}
		byEnd[v[0]][int(v[2])] = v[3]
		var k kernel
		k.set(v[0])
		require.EqualValues(t, v[1], k.reach(), "sigma %g", v[0])
		require.InDelta(t, v[3], k.weight[int(math.Abs(v[2]))], 1e-7, "sigma %g at %g", v[0], v[2])
	}
	for _, row := range testdata.Table(t, "gaussian_filter.csv") {
		sigma, y := row.Number("sigma"), int(row.Number("row"))
		want := row.NumbersFrom("c0")
		if row.Text("image") == "impulse" {
			src := colour.NewPlane(31, 31)
			src.Row(15)[15] = 1
			for x, v := range want {
				require.InDelta(t, v, softenBy(t, src, nil, sigma).At(11+x, 11+y), 1e-7)
			}
			continue
		}
		src := colour.NewPlane(9, 9) // zeros outside, there; here the outside takes no part
		for i := range src.Pix {
			src.Pix[i] = float32(i % 9 / 4 / max(1, i%9/4))
		}
		got := softenBy(t, src, nil, sigma)
		for x, v := range want {
			inside := 0.
			for d, weight := range byEnd[sigma] {
				if x+d >= 0 && x+d < 9 {
					inside += weight
				}
			}
			require.InDelta(t, v/inside, got.At(x, y), 1e-6, "hard edge at %d", x)
		}
	}
}

// A hard edge, softened, is 2.5631 sigma wide between alpha 0.1 and 0.9,
// twice the 0.9 quantile of the normal distribution (a value of any table of
// it). On pixels, a hard edge of samples under a sampled Gaussian has a variance
// smaller by 1/12, which is 2 % of the width at sigma 1.5 and 4 % at 1.
func TestEdgeSoftenReadBack(t *testing.T) {
	for _, sigma := range []float64{1, 1.2, 1.5, 2, 3, 3.99, 4, 6, 7.99, 8, 12, 16, 31, 32, 63, 64, 100, 128, 200} {
		w := int(12*sigma) + 40
		src := colour.NewPlane(w, 70)
		for y := range src.H {
			for x := w / 2; x < w; x++ {
				src.Row(y)[x] = 1
			}
		}
		row := softenBy(t, src, nil, sigma).Row(35)
		crossing := func(level float64) float64 { // between pixels along a normal distribution
			for x := 1; x < w; x++ {
				if float64(row[x]) >= level {
					a, b := quantile(float64(row[x-1])), quantile(float64(row[x]))
					return float64(x) - (b-quantile(level))/(b-a)
				}
			}
			return math.NaN()
		}
		width := crossing(0.9) - crossing(0.1)
		assert.InEpsilon(t, 2.5631*math.Sqrt(sigma*sigma-1./12), width, 0.005, "sigma %g", sigma)
		if sigma >= 1.5 {
			assert.InEpsilon(t, 2.5631*sigma, width, 0.02, "sigma %g", sigma)
		}
		assert.InDelta(t, float64(w/2)-0.5, crossing(0.5), 0.02*sigma, "sigma %g", sigma)
		for x := 1; x < w; x++ {
			require.GreaterOrEqual(t, row[x], row[x-1]-1e-6, "sigma %g", sigma)
		}
	}
}

// quantile returns the normal distribution's quantile of p.
func quantile(p float64) float64 { return math.Sqrt2 * math.Erfinv(2*p-1) }

// A keyframed sigma may pass the values where the squares change.
func TestEdgeSoftenIsContinuousInItsSetting(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 3))
	src := edgeMatte(rng, 140, 120)
	for _, sigma := range []float64{4, 8, 16, 32} {
		worst, _ := worstOf(softenBy(t, src, nil, sigma*(1-1e-6)), softenBy(t, src, nil, sigma))
		t.Logf("sigma %g: %.5f", sigma, worst)
		assert.LessOrEqual(t, worst, 0.001, "sigma %g", sigma)
	}
}
