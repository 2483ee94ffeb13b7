package selection

import (
	"errors"
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

func lengthOf(n [3]float64) float64 { return math.Sqrt(n[0]*n[0] + n[1]*n[1] + n[2]*n[2]) }

// planeAt is a pick by a plane of a level and two fades.
func planeAt(normal [3]float64, level, drop, keep float64) Pick {
	p := Pick{Model: PlaneModel, Normal: normal}
	p.Limits[Across].Range = LevelRange(level, drop, keep)
	return p
}

func across(v float64) Point { return Point{Hue: colour.NoHue, Across: v} }

// slowPlane is the definition of a pick by plane: a smoothstep 3u^2 - 2u^3 of where a
// colour lies between the far end of the fade on the drop side and that on the keep side.
func slowPlane(p Pick, lab [3]float64) float64 {
	r, v := p.Limits[Across].Range, 0.0
	for i, n := range p.Normal {
		v += n * lab[i]
	}
	low, high := r.From-r.Before, r.From+r.After
	w := 0.0
	switch {
	case v >= high:
		w = 1
	case v > low:
		u := (v - low) / (high - low)
		w = u * u * (3 - 2*u)
	}
	if p.Limits[Across].Inverted {
		return 1 - w
	}
	return w
}

// The named colours of CSS weigh by their published CIELAB (css_colours.csv) as by the
// definition.
func TestPlaneWeighsPublishedColours(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 18))
	rows := testdata.Table(t, "css_colours.csv")
	require.NotEmpty(t, rows)
	some := 0
	for range 50 {
		p := planeAt(randomNormal(rng), 60*rng.Float64(), 5+40*rng.Float64(), 5+40*rng.Float64())
		p.Limits[Across].Inverted = rng.IntN(2) == 0
		for _, row := range rows {
			code, err := strconv.ParseUint(row.Text("hex")[1:], 16, 32)
			require.NoError(t, err)
			c := colour.RGB{R: float64(code>>16) / 255, G: float64(code>>8&255) / 255, B: float64(code&255) / 255}
			want := slowPlane(p, [3]float64(row.Numbers("L65", "a65", "b65")))
			if want > 0.01 && want < 0.99 {
				some++
			}
			require.InDelta(t, want, p.Weight(p.At(c)), 1e-5, "%+v, %v", p, row)
		}
	}
	require.Greater(t, some, 100, "colours on a fade")
}

// From the drop side to the keep side weights never fall; they are 0 up to the end of the
// one fade and 1 from the end of the other, and from the level where there is none.
func TestPlaneWeightsRise(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 18))
	for range 200 {
		p := planeAt(randomNormal(rng), 100*rng.Float64()-50, 30*rng.Float64(), 30*rng.Float64()*float64(rng.IntN(2)))
		r := p.Limits[Across].Range
		last := 0.0
		for v := -120.0; v <= 120; v += 0.25 {
			w := p.Weight(across(v))
			require.GreaterOrEqual(t, w, last)
			last = w
			if v <= r.From-r.Before {
				require.Zero(t, w)
			}
			if v >= r.From+r.After {
				require.Equal(t, 1.0, w)
			}
		}
		require.Equal(t, 1.0, last)
		require.InDelta(t, 0.5, p.Weight(across(r.From+(r.After-r.Before)/2)), 1e-9)
	}
	hard := planeAt([3]float64{1, 0, 0}, 10, 0, 0)
	assert.Equal(t, 0.0, hard.Weight(across(9.999)))
	assert.Equal(t, 1.0, hard.Weight(across(10)))
}

// The zeros of the formula are zeros of the fast form too, not just small.
func TestPlaneHasTrueZeros(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 18))
	src := codesImage(rng, 96, 96)
	zeros := 0
	for range 60 {
		p := planeAt(randomNormal(rng), 80*rng.Float64()-20, 20*rng.Float64(), 0)
		w := new(Weigher)
		w.Set(p)
		var got colour.Plane
		require.NoError(t, matteOf(t.Context(), w, &got, src, 2))
		for k, v := range got.Pix {
			at := p.At(src.RGB(k%96, k/96))[Across]
			if at < p.Limits[Across].From-p.Limits[Across].Before-0.001 {
				zeros++
				require.Zero(t, v, "%+v, at %v", p, at)
			}
			if at > p.Limits[Across].From+0.001 {
				require.Equal(t, float32(1), v, "%+v, at %v", p, at)
			}
		}
	}
	require.Greater(t, zeros, 10000)
}

func TestPlaneExplains(t *testing.T) {
	p := planeAt([3]float64{1, 0, 0}, 16, 4, 0)
	assert.Equal(t, "out: by 4.0 units on the drop side; the level at 11.9 would take it in", p.Explain(across(10)))
	assert.Equal(t, "in: weighs 1.00", p.Explain(across(16)))
	assert.Equal(t, "out: by less than 0.1 units on the drop side; the level at 15.9 would take it in", p.Explain(across(13.99)))
	assert.Equal(t, ByLight, p.Reason(across(10)), "the reason of the one channel that a plane has")
	p.Limits[Across].Inverted = true
	assert.Equal(t, "out: by 6.0 units on the keep side, and all but this is picked", p.Explain(across(20)))
}

// What Explain says of a level is so, and taking a colour in or leaving it out moves the
// level alone.
func TestPlaneTakesInAndLeavesOut(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 18))
	for range 500 {
		p := planeAt(randomNormal(rng), 100*rng.Float64()-50, 20*rng.Float64(), 10*rng.Float64())
		p.Limits[Across].Inverted = rng.IntN(2) == 0
		v := across(120*rng.Float64() - 60)
		in := IncludePoint(p, v)
		require.GreaterOrEqual(t, in.Weight(v), 0.5, "%+v", p)
		out, err := LeaveOut(in, v, nil)
		require.NoError(t, err)
		require.Less(t, out.Weight(v), 0.5)
		for _, q := range []Pick{in, out} {
			q.Limits[Across].Range = q.Limits[Across].atLevel(p.Limits[Across].From)
			require.Equal(t, p, q, "the level alone moves")
		}
	}
	p := planeAt([3]float64{1, 0, 0}, 60, 4, 2)
	dab := []colour.RGB{{R: 0.5, G: 0.5, B: 0.5}}
	wide := IncludeDab(p, dab)
	assert.Equal(t, 1.0, wide.Weight(wide.At(dab[0])))
	assert.InDelta(t, 53.39-2, wide.Limits[Across].From, 0.01, "the keep side's fade ends at the dab's lightness")
	assert.Equal(t, wide, IncludeDab(wide, dab), "what is in moves nothing")
}

// Where no level can do it, it is said.
func TestPlaneTooFarToLeaveOut(t *testing.T) {
	_, err := LeaveOut(planeAt([3]float64{1, 0, 0}, -farthest, 0, 0), across(500), nil)
	require.True(t, errors.Is(err, ErrNoBound))
}
