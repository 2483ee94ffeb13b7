package colour

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

// Source: ITU-R BT.709-6, ITU-R BT.2100-2, Academy S-2016-001, by the vectors of
// source_curves.csv.
func TestTransferAgainstTheStandards(t *testing.T) {
	seen := map[Transfer]int{}
	for _, row := range testdata.Table(t, "source_curves.csv") {
		curve, err := ParseTransfer(row.Text("curve"))
		require.NoError(t, err)
		v := row.Numbers("value", "light")
		got := curve.Light(v[0])
		if curve == HLG { // the table has the standard's scale
			got *= hlgLight(hlgWhite)
		}
		assert.InDelta(t, v[1], got, 1e-8, "%v of %v", curve, v[0])
		seen[curve]++
	}
	assert.Equal(t, map[Transfer]int{BT709: 4, HLG: 3, ACEScct: 3}, seen)
}

// ITU-R BT.2408 (from memory): a grey card of 18 % has an HLG signal of 38 %, a
// white sheet one of 75 %.
func TestHLGGreyCard(t *testing.T) {
	assert.InDelta(t, 1, HLG.Light(0.75), 1e-12)
	assert.InDelta(t, MiddleGrey, HLG.Light(0.38), 0.005)
}

// Source: IEC 61966-2-1:1999, ITU-R BT.709-6 (4.5 x 0.018), ITU-R BT.2100-2 table 5, Academy
// S-2016-001. About its knee a curve bends as nowhere else near.
func TestKneesAreWhereCurvesBend(t *testing.T) {
	for i, printed := range []float64{SRGB: 0.04045, BT709: 0.081, HLG: 0.5, ACEScct: 0.155251141552511} {
		tr := Transfer(i)
		assert.InDelta(t, printed, tr.Knee(), 1e-15, tr)
		bend := func(v float64) float64 { // of the slope's change over a little
			const h = 1e-4
			return math.Abs(tr.slope(v+h)-tr.slope(v)) - math.Abs(tr.slope(v)-tr.slope(v-h))
		}
		assert.Greater(t, math.Abs(bend(printed)), 3*math.Abs(bend(printed+1e-2)), tr)
		assert.Greater(t, math.Abs(bend(printed)), 3*math.Abs(bend(printed-1e-2)), tr)
	}
}

func TestTransferSlopeIsTheDerivative(t *testing.T) {
	for i := range transferNames {
		tr := Transfer(i)
		for v := -0.2; v < 1.2; v += 0.0137 {
			const h = 1e-6
			want := (tr.Light(v+h) - tr.Light(v-h)) / (2 * h)
			assert.InEpsilon(t, want+1, tr.slope(v)+1, 1e-4, "%v at %v", tr, v)
		}
	}
}

func TestTransferIsSmoothAndRises(t *testing.T) {
	for i := range transferNames {
		tr := Transfer(i)
		last := tr.Light(-0.3)
		for v := -0.2999; v < 1.3; v += 1e-4 {
			now := tr.Light(v)
			// BT.709's printed constants leave a jump of 3e-5 at its knee.
			require.GreaterOrEqual(t, now, last-4e-5, "%v at %v", tr, v)
			require.Less(t, now-last, 1e-3+0.02*math.Abs(now), "%v jumps at %v", tr, v)
			last = now
		}
		parsed, err := ParseTransfer(tr.String())
		require.NoError(t, err)
		assert.Equal(t, tr, parsed)
	}
	_, err := ParseTransfer("bt1886")
	assert.EqualError(t, err, `colour: curve is "bt1886", want one of srgb, bt709, hlg, acescct`)
	assert.Equal(t, "Transfer(9)", Transfer(9).String())
}

// A source with a curve and a neutral base is not neutral: its light is encoded
// as sRGB, with the shoulder where there is more light than white.
func TestBaseReadsTheSourcesCurve(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 1))
	for i := range transferNames {
		b := Neutral()
		b.Input = Transfer(i)
		assert.Equal(t, b.Input == SRGB, b.IsNeutral(), "%v", b.Input)
		for range 500 {
			v := rng.Float64()
			light := b.Input.Light(v)
			got := b.Colour(RGB{v, v, v})
			if light <= shoulderFrom {
				assert.InDelta(t, max(0, Encoded(light)), got.G, 1e-9, "%v of %v", b.Input, v)
			}
			assert.LessOrEqual(t, got.R, 1.0)
		}
		same := b.Colour(RGB{0.4, 0.5, 0.3})
		requireNear(t, same.parts(), b.LightColour([3]float64{b.Input.Light(0.4), b.Input.Light(0.5), b.Input.Light(0.3)}).parts(), 1e-9, "%v", b.Input)
	}
	b := Neutral()
	b.Input = 9
	assert.ErrorContains(t, b.Check(), "colour: base: input's curve is Transfer(9), want one of srgb, bt709, hlg, acescct")
}

// A scene's light, put through a log curve by its formula and read by a base of
// that curve, is the scene again.
func TestBaseUndoesALogCurve(t *testing.T) {
	log := func(light float64) float64 { // S-2016-001, forward
		if light <= 0.0078125 {
			return acesSlope*light + acesOffset
		}
		return (math.Log2(light) + acesZero) / acesStops
	}
	b := Neutral()
	b.Input, b.Exposure = ACEScct, -1
	for light := 0.001; light < 1.4; light *= 1.3 {
		want := Encoded(light / 2)
		assert.InDelta(t, want, b.Colour(RGB{log(light), 0, 0}).R, 1e-9, "light %v", light)
	}
}
