package colour

import (
	"maps"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

func triple(row testdata.Row, columns ...string) [3]float64 {
	return [3]float64(row.Numbers(columns...))
}

func requireNear(t *testing.T, want, got [3]float64, tolerance float64, message string, args ...any) {
	t.Helper()
	for i := range want {
		requireClose(t, want[i], got[i], tolerance, message, args...)
	}
}

// requireHue compares angles by the turn between them.
func requireHue(t *testing.T, want, got Degrees, tolerance float64, message string, args ...any) {
	t.Helper()
	requireClose(t, 0, float64(want.ArcTo(got)), tolerance, message, args...)
}

// requireClose is require.InDelta for hundreds of thousands of values: it
// builds no message while all is well.
func requireClose(t *testing.T, want, got, tolerance float64, message string, args ...any) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		require.InDelta(t, want, got, tolerance, append([]any{message}, args...)...)
	}
}

func (c RGB) parts() [3]float64 { return [3]float64{c.R, c.G, c.B} }
func (c Lab) parts() [3]float64 { return [3]float64{c.L, c.A, c.B} }
func (c XYZ) parts() [3]float64 { return [3]float64{c.X, c.Y, c.Z} }

// IEC 61966-2-1, CIE 15, CSS Color 4: see the file.
func TestConstants(t *testing.T) {
	want := map[string]float64{
		"eotf_threshold_encoded": srgbEncodedKnee, "oetf_threshold_linear": srgbLinearKnee, "linear_slope": srgbSlope,
		"offset": srgbOffset, "scale": 1 + srgbOffset, "exponent": srgbPower,
		"cielab_epsilon": labKnee, "cielab_kappa": labKappa,
	}
	for i := range 3 {
		for j := range 3 {
			at := "[" + strconv.Itoa(i) + "][" + strconv.Itoa(j) + "]"
			want["css4_RGB_to_XYZ_D65"+at] = toXYZ[i][j]
			want["css4_XYZ_D65_to_RGB"+at] = fromXYZ[i][j]
		}
	}
	found := maps.Clone(want)
	for _, row := range testdata.Table(t, "srgb_constants.csv") {
		if v, ok := want[row.Text("name")]; ok {
			assert.InDelta(t, row.Number("value"), v, 1e-15*max(1, v), row.Text("name"))
			delete(found, row.Text("name"))
		}
	}
	assert.Empty(t, found, "constants not in the table")
	// The white follows from x, y = 0.3127, 0.3290.
	assert.InDelta(t, 0.3127/0.3290, white.X, 1e-14)
	assert.InDelta(t, 1, white.Y, 1e-14)
	assert.InDelta(t, (1-0.3127-0.3290)/0.3290, white.Z, 1e-14)
}

// colour-science's own test vectors.
func TestVectorsOfColourScience(t *testing.T) {
	for _, row := range testdata.Table(t, "colour_vectors.csv") {
		name := row.Text("function")
		if name == "eotf_sRGB" || name == "eotf_inverse_sRGB" {
			f := map[string]func(float64) float64{"eotf_sRGB": Linear, "eotf_inverse_sRGB": Encoded}[name]
			io := row.Numbers("in1", "out1")
			assert.InDelta(t, io[1], f(io[0]), 1e-7, "%v", row)
			continue
		}
		in, want := triple(row, "in1", "in2", "in3"), triple(row, "out1", "out2", "out3")
		var got [3]float64
		tolerance := 2e-7
		switch name {
		case "XYZ_to_Lab":
			got = XYZ{in[0], in[1], in[2]}.Lab().parts()
		case "Lab_to_XYZ":
			got = Lab{in[0], in[1], in[2]}.XYZ().parts()
		case "Jab_to_JCh":
			v, _ := Lab{in[0], in[1], in[2]}.LCh()
			got = [3]float64{v.L, v.C, float64(v.H)}
		case "JCh_to_Jab":
			got = LCh{in[0], in[1], Degrees(in[2])}.Lab().parts()
		case "RGB_to_HSL":
			v, _ := RGB{in[0], in[1], in[2]}.HSL()
			got = [3]float64{float64(v.H) / 360, v.S, v.L}
		case "HSL_to_RGB":
			got = HSL{Degrees(in[0] * 360), in[1], in[2]}.RGB().parts()
		default:
			t.Fatalf("unknown function %s", name)
		}
		requireNear(t, want, got, tolerance, "%v", row)
	}
}

// css-parsing-tests (CC0), and back again.
func TestHSLGridOfCSS(t *testing.T) {
	for _, row := range testdata.Table(t, "css_hsl_grid.csv") {
		in, want := triple(row, "h_deg", "s_pct", "l_pct"), triple(row, "r", "g", "b")
		hsl := HSL{Degrees(in[0]), in[1] / 100, in[2] / 100}
		requireNear(t, want, hsl.RGB().parts(), 1e-9, "%v", row)
		back, ok := RGB{want[0], want[1], want[2]}.HSL()
		if hsl.S == 0 || hsl.L == 0 || hsl.L == 1 {
			require.True(t, !ok || back.S < 1e-9, "%v has a hue", row)
			continue
		}
		require.True(t, ok)
		requireHue(t, Degrees(back.H), hsl.H, 1e-6, "hue of %v", row)
		requireNear(t, [3]float64{0, hsl.S, hsl.L}, [3]float64{0, back.S, back.L}, 1e-9, "%v", row)
	}
}

// W3C web-platform-tests: what browsers must make of hsl(), in 8-bit codes.
func TestHSLCodesOfCSS(t *testing.T) {
	for _, row := range testdata.Table(t, "css_hsl_8bit.csv") {
		in, want := triple(row, "h_deg", "s_pct", "l_pct"), triple(row, "R8", "G8", "B8")
		c := HSL{Degrees(in[0]), max(0, in[1]/100), in[2] / 100}.RGB()
		for i, v := range c.parts() {
			require.Equal(t, uint8(want[i]), Code8(float32(v)), "%v", row)
		}
	}
}

// bradford takes XYZ for white D65 to white D50: CSS Color 4, conversions.js.
func bradford(t *testing.T, direction string) func(XYZ) XYZ {
	m := map[string]float64{}
	for _, row := range testdata.Table(t, "srgb_constants.csv") {
		m[row.Text("name")] = row.Number("value")
	}
	part := func(c XYZ, i string) float64 {
		p := "css4_bradford_" + direction + "[" + i + "]"
		return m[p+"[0]"]*c.X + m[p+"[1]"]*c.Y + m[p+"[2]"]*c.Z
	}
	return func(c XYZ) XYZ { return XYZ{part(c, "0"), part(c, "1"), part(c, "2")} }
}

// d50 is the white of CSS lab(): x, y = 0.3457, 0.3585.
var d50 = XYZ{0.3457 / 0.3585, 1, (1 - 0.3457 - 0.3585) / 0.3585}

// labD50 is CIELAB against another white, through the package's own function.
func labD50(c XYZ) Lab {
	return XYZ{c.X / d50.X * white.X, c.Y * white.Y, c.Z / d50.Z * white.Z}.Lab()
}

func TestColoursOfCSS(t *testing.T) {
	toD50 := bradford(t, "D65_to_D50")
	for _, row := range testdata.Table(t, "css_colours.csv") {
		var c RGB
		code, err := strconv.ParseUint(row.Text("hex")[1:], 16, 32)
		require.NoError(t, err)
		c = RGB{float64(code>>16) / 255, float64(code>>8&255) / 255, float64(code&255) / 255}

		requireNear(t, triple(row, "X", "Y", "Z"), c.XYZ().parts(), 1e-6, "XYZ of %v", row)
		requireNear(t, triple(row, "L65", "a65", "b65"), c.Lab().parts(), 1e-6, "Lab of %v", row)
		requireNear(t, triple(row, "L50", "a50", "b50"), labD50(toD50(c.XYZ())).parts(), 1e-5, "Lab D50 of %v", row)
		hsl, ok := c.HSL()
		require.Equal(t, row.Text("h") != "", ok, "HSL hue of %v", row)
		requireNear(t, [3]float64{0, row.Number("s_pct") / 100, row.Number("l_pct") / 100}, [3]float64{0, hsl.S, hsl.L}, 1e-8, "HSL of %v", row)
		if ok {
			requireHue(t, Degrees(row.Number("h")), hsl.H, 1e-6, "HSL hue of %v", row)
		}
		lch, ok := c.LCh()
		require.Equal(t, row.Text("h65") != "", ok, "LCh hue of %v", row)
		require.InDelta(t, row.Number("C65"), lch.C, 1e-6, "chroma of %v", row)
		if ok {
			requireHue(t, Degrees(row.Number("h65")), lch.H, 1e-5, "LCh hue of %v", row)
		}
	}
}

func TestLabAnchorsOfCSS(t *testing.T) {
	toD50 := bradford(t, "D65_to_D50")
	for _, row := range testdata.Table(t, "css_lab_anchors.csv") {
		in, want := triple(row, "r", "g", "b"), triple(row, "L", "a", "b_star")
		got := labD50(toD50(RGB{in[0], in[1], in[2]}.XYZ()))
		requireNear(t, want, got.parts(), row.Number("tolerance"), "%v", row)
	}
}

// X-Rite's Lab values of the chart, brought to sRGB codes.
func TestColorChecker(t *testing.T) {
	toD65 := bradford(t, "D50_to_D65")
	for _, row := range testdata.Table(t, "colorchecker24.csv") {
		lab, want := triple(row, "L", "a", "b"), triple(row, "R8", "G8", "B8")
		relative := Lab{lab[0], lab[1], lab[2]}.XYZ()
		c := toD65(XYZ{relative.X / white.X * d50.X, relative.Y / white.Y, relative.Z / white.Z * d50.Z}).RGB()
		for i, v := range c.parts() {
			require.Equal(t, uint8(want[i]), Code8(float32(v)), "%v", row)
		}
	}
}

// Sharma, Wu & Dalal 2005, Table 1.
func TestDeltaEOfSharma(t *testing.T) {
	rows := testdata.Table(t, "ciede2000_pairs.csv")
	require.Len(t, rows, 34)
	for _, row := range rows {
		p, q, want := triple(row, "L1", "a1", "b1"), triple(row, "L2", "a2", "b2"), row.Number("dE00")
		c, d := Lab{p[0], p[1], p[2]}, Lab{q[0], q[1], q[2]}
		for _, got := range []float64{c.DeltaE(d), d.DeltaE(c)} {
			miss := math.Abs(got - want)
			if row.Text("other") != "" { // opposite hues: either branch
				miss = min(miss, math.Abs(got-row.Number("other")))
			}
			assert.LessOrEqual(t, miss, 5.1e-5, "pair %s: got %v, want %v", row.Text("pair"), got, want)
		}
		assert.Zero(t, c.DeltaE(c))
	}
}

// Li, Anwar & Porikli 2020, Table 1, with beta computed from it.
func TestWaterTypes(t *testing.T) {
	rows := testdata.Table(t, "water_types.csv")
	require.Len(t, waterTypes, len(rows))
	for i, row := range rows {
		w, err := WaterByName(row.Text("type"))
		require.NoError(t, err)
		assert.Equal(t, w, waterTypes[i])
		assert.Equal(t, triple(row, "R", "G", "B"), w.Residual, row.Text("type"))
		requireNear(t, triple(row, "beta_R", "beta_G", "beta_B"), w.Beta(), 1e-6, row.Text("type"))
	}
	assert.Equal(t, []string{"I", "IA", "IB", "II", "III", "1C", "3C", "5C", "7C", "9C"}, WaterNames())
	w, err := WaterByName("5c")
	require.NoError(t, err)
	assert.Equal(t, "5C", w.Name)
	_, err = WaterByName("pond")
	assert.EqualError(t, err, `colour: water type is "pond", want one of I, IA, IB, II, III, 1C, 3C, 5C, 7C, 9C`)
}
