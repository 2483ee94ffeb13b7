package clf

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// The examples are those of Academy S-2014-006, version 3.0, by their numbers there, as
// printed at docs.acescentral.com/specifications/clf. Nodes that it prints alone stand in
// a list here.

func parsed(t *testing.T, nodes string) *List {
	t.Helper()
	l, err := Parse(strings.NewReader(`<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="example" compCLFversion="3.0">` + nodes + "</ProcessList>"))
	require.NoError(t, err)
	return l
}

func grey(v float64) colour.RGB { return colour.RGB{R: v, G: v, B: v} }

func assertColour(t *testing.T, want, got colour.RGB, tolerance float64, about any) {
	t.Helper()
	assert.InDelta(t, want.R, got.R, tolerance, "red of %v", about)
	assert.InDelta(t, want.G, got.G, tolerance, "green of %v", about)
	assert.InDelta(t, want.B, got.B, tolerance, "blue of %v", about)
}

// Example 1: four grey levels into four codes of 12 bits, inverted; between them, by
// appendix A, on a straight line.
func TestExampleOfLUT1D(t *testing.T) {
	l := parsed(t, `<LUT1D id="lut-23" name="4 Value Lut" inBitDepth="12i" outBitDepth="12i">
    <Description>1D LUT - Turn 4 grey levels into 4 inverted codes</Description>
    <Array dim="4 1">
        3
        2
        1
        0
    </Array>
</LUT1D>`)
	assert.Equal(t, "1D LUT - Turn 4 grey levels into 4 inverted codes", l.Steps[0].Note)
	for code, want := range map[float64]float64{0: 3, 1365: 2, 2730: 1, 4095: 0, 2047.5: 1.5, -100: 3, 5000: 0} {
		assert.InDelta(t, want/4095, l.Colour(grey(code/4095)).G, 1e-9, "code %v", code)
	}
}

// Example 2: a cube whose corners are themselves.
func TestExampleOfLUT3D(t *testing.T) {
	const cube = `<LUT3D id="lut-24" name="green look" interpolation="trilinear" inBitDepth="12i" outBitDepth="16f">
    <Description>3D LUT</Description>
    <Array dim="2 2 2 3">
        0.0 0.0 0.0
        0.0 0.0 1.0
        0.0 1.0 0.0
        0.0 1.0 1.0
        1.0 0.0 0.0
        1.0 0.0 1.0
        1.0 1.0 0.0
        1.0 1.0 1.0
    </Array>
</LUT3D>`
	in := colour.RGB{R: 0.2, G: 0.7, B: 0.4}
	for _, text := range []string{cube, strings.Replace(cube, "trilinear", "tetrahedral", 1), strings.Replace(cube, `interpolation="trilinear"`, "", 1)} {
		assertColour(t, in, parsed(t, text).Colour(in), 1e-7, text[:60])
	}
}

// Examples 3 and 13: from AP0 to AP1, which have one white, so that greys stay; and each
// primary of AP0 becomes a column.
func TestExampleOfMatrix(t *testing.T) {
	l := parsed(t, `<Matrix id="lut-28" name="AP0 to AP1" inBitDepth="16f" outBitDepth="16f" >
    <Description>3x3 color space conversion from AP0 to AP1</Description>
    <Array dim="3 3">
         1.45143931614567     -0.236510746893740    -0.214928569251925
        -0.0765537733960204    1.17622969983357     -0.0996759264375522
         0.00831614842569772  -0.00603244979102103   0.997716301365324
    </Array>
</Matrix>`)
	assertColour(t, grey(0.18), l.Colour(grey(0.18)), 1e-7, "grey")
	assertColour(t, colour.RGB{R: 1.45143931614567, G: -0.0765537733960204, B: 0.00831614842569772}, l.Colour(colour.RGB{R: 1}), 1e-7, "red")
}

// Example 4: codes of 10 bits, with an offset in the fourth column; the same with the
// third number of dim that older versions had.
func TestExampleOfMatrixWithOffset(t *testing.T) {
	const text = `<Matrix id="lut-25" name="colorspace conversion" inBitDepth="10i" outBitDepth="10i" >
    <Description> 3x4 Matrix , 4th column is offset </Description>
    <Array dim="3 4">
        1.2     0.0     0.0     0.002
        0.0     1.03    0.001   -0.005
        0.004   -0.007  1.004   0.0
    </Array>
</Matrix>`
	want := colour.RGB{R: (1.2*100 + 0.002) / 1023, G: (1.03*200 + 0.001*300 - 0.005) / 1023, B: (0.004*100 - 0.007*200 + 1.004*300) / 1023}
	for _, text := range []string{text, strings.Replace(text, `dim="3 4"`, `dim="3 4 3"`, 1)} {
		assertColour(t, want, parsed(t, text).Colour(colour.RGB{R: 100. / 1023, G: 200. / 1023, B: 300. / 1023}), 3e-8, "codes")
	}
}

// A matrix from 10 to 12 bits that changes nothing has the factor 4095/1023.
func TestMatrixBetweenBitDepths(t *testing.T) {
	l := parsed(t, fmt.Sprintf(`<Matrix inBitDepth="10i" outBitDepth="12i"><Array dim="3 3">%[1]v 0 0 0 %[1]v 0 0 0 %[1]v</Array></Matrix>`, 4095./1023))
	assertColour(t, grey(0.3), l.Colour(grey(0.3)), 3e-8, "grey")
}

// Example 5: full range of 10 bits to that of SMPTE, which clamps.
func TestExampleOfRange(t *testing.T) {
	const text = `<Range inBitDepth="10i" outBitDepth="10i">
	<Description>10-bit full range to SMPTE range</Description>
	<minInValue>0</minInValue>
	<maxInValue>1023</maxInValue>
	<minOutValue>64</minOutValue>
	<maxOutValue>940</maxOutValue>
</Range>`
	l, free := parsed(t, text), parsed(t, strings.Replace(text, "<Range", `<Range style="noClamp"`, 1))
	for code, want := range map[float64]float64{0: 64, 1023: 940, 511.5: 502, -1023: -812, 2046: 1816} {
		assert.InDelta(t, want/1023, free.Colour(grey(code/1023)).R, 1e-7, "code %v", code)
		assert.InDelta(t, min(max(want, 64), 940)/1023, l.Colour(grey(code/1023)).R, 1e-7, "code %v", code)
	}
}

// One end clamps and scales nothing, also between bit depths.
func TestRangeOfOneEnd(t *testing.T) {
	low := parsed(t, `<Range inBitDepth="8i" outBitDepth="32f"><minInValue>51</minInValue><minOutValue>0.2</minOutValue></Range>`)
	high := parsed(t, `<Range inBitDepth="32f" outBitDepth="32f"><maxInValue>0.9</maxInValue><maxOutValue>0.9</maxOutValue></Range>`)
	for in, want := range map[float64][2]float64{-1: {0.2, -1}, 0.5: {0.5, 0.5}, 3: {3, 0.9}} {
		assert.InDelta(t, want[0], low.Colour(grey(in)).B, 1e-7)
		assert.InDelta(t, want[1], high.Colour(grey(in)).B, 1e-7)
	}
}

// Example 6: the logarithm, of 1.175494e-38 at the least; and the three styles like it.
func TestExampleOfLog(t *testing.T) {
	of := func(style string) *List {
		return parsed(t, `<Log inBitDepth="16f" outBitDepth="16f" style="`+style+`"><Description>Base 10 Logarithm</Description></Log>`)
	}
	for in, want := range map[float64]float64{100: 2, 1: 0, 0: math.Log10(1.175494e-38), -5: math.Log10(1.175494e-38)} {
		assert.InDelta(t, want, of("log10").Colour(grey(in)).R, 1e-5)
	}
	assert.InDelta(t, 0.001, of("antiLog10").Colour(grey(-3)).R, 1e-9)
	assert.InDelta(t, -4, of("log2").Colour(grey(0.0625)).R, 1e-9)
	assert.InDelta(t, 0.0625, of("antiLog2").Colour(grey(-4)).R, 1e-9)
}

// Example 7, D-Log. The camera's maker prints the formula with an offset of 0.0929 for
// the foot, and 0.3988 for a grey card (both from memory).
func TestExampleOfCameraLog(t *testing.T) {
	const text = `<Log inBitDepth="32f" outBitDepth="32f" style="cameraLinToLog">
    <Description>Linear to DJI D-Log</Description>
    <LogParams base="10" logSideSlope="0.256663" logSideOffset="0.584555"
        linSideSlope="0.9892" linSideOffset="0.0108" linSideBreak="0.0078"
        linearSlope="6.025"/>
</Log>`
	l, back := parsed(t, text), parsed(t, strings.Replace(text, "cameraLinToLog", "cameraLogToLin", 1))
	for in, want := range map[float64]float64{0: 0.0929, 0.004: 0.0929 + 6.025*0.004, 0.18: 0.3988, 1: 0.584555} {
		got := l.Colour(grey(in)).G
		assert.InDelta(t, want, got, 1e-4, "light %v", in)
		assert.InDelta(t, in, back.Colour(grey(got)).G, 1e-6, "back to %v", in)
	}
}

// Example 8: a power of 2.2, and its five relatives.
func TestExampleOfExponent(t *testing.T) {
	of := func(style string) *List {
		return parsed(t, `<Exponent inBitDepth="32f" outBitDepth="32f" style="`+style+`">
    <Description>Basic 2.2 Gamma</Description>
    <ExponentParams exponent="2.2"/>
</Exponent>`)
	}
	up, down := math.Pow(0.5, 2.2), math.Pow(0.5, 1/2.2)
	for style, want := range map[string][2]float64{ // of 0.5 and -0.5
		"basicFwd": {up, 0}, "basicRev": {down, 0}, "basicMirrorFwd": {up, -up}, "basicMirrorRev": {down, -down},
		"basicPassThruFwd": {up, -0.5}, "basicPassThruRev": {down, -0.5},
	} {
		assert.InDelta(t, want[0], of(style).Colour(grey(0.5)).R, 1e-7, style)
		assert.InDelta(t, want[1], of(style).Colour(grey(-0.5)).R, 1e-7, style)
	}
}

// Example 9: sRGB, beside IEC 61966-2-1, whose printed knee makes a difference of up to
// 8e-7 of light.
func TestExampleOfSRGB(t *testing.T) {
	const text = `<Exponent inBitDepth="32f" outBitDepth="32f" style="monCurveFwd">
    <Description>EOTF (sRGB)</Description>
    <ExponentParams exponent="2.4" offset="0.055" />
</Exponent>`
	l := parsed(t, text)
	back := parsed(t, strings.Replace(text, "monCurveFwd", "monCurveRev", 1))
	mirror := parsed(t, strings.Replace(text, "monCurveFwd", "monCurveMirrorFwd", 1))
	mirrorBack := parsed(t, strings.Replace(text, "monCurveFwd", "monCurveMirrorRev", 1))
	for v := 0.; v <= 1.2; v += 0.003 {
		light := l.Colour(grey(v)).R
		assert.InDelta(t, colour.Linear(v), light, 1e-6, "%v", v)
		assert.InDelta(t, v, back.Colour(grey(light)).R, 1e-6, "%v", v)
		assert.InDelta(t, -light, mirror.Colour(grey(-v)).R, 1e-7, "%v", v)
		assert.InDelta(t, -v, mirrorBack.Colour(grey(-light)).R, 1e-6, "%v", v)
	}
	assert.InDelta(t, -0.5/12.92321, l.Colour(grey(-0.5)).R, 1e-6, "the foot goes on below 0")
}

// The specification leaves exponent 1 and offset 0 to the reader: nothing divides by 0,
// and nearby numbers do nearly the same.
func TestMonCurvesThatWouldDivideBy0(t *testing.T) {
	for _, p := range []ExponentParams{{1, 0}, {1, 0.3}, {2.4, 0}} {
		for _, x := range []float64{0, 0.01, 0.5, 2} {
			for _, style := range []string{monCurveFwd, monCurveRev} {
				near := ExponentParams{p.Exponent + 1e-9, p.Offset + 1e-9}
				assert.InDelta(t, near.apply(style, x), p.apply(style, x), 1e-5, "%v %s of %v", p, style, x)
			}
		}
	}
	assert.Equal(t, 0.0, ExponentParams{2.4, 0}.apply(monCurveRev, -1))
}

// Example 10: CIE L* over 100, which is 49.4961 for 18 % (CIE 15:2004).
func TestExampleOfLightness(t *testing.T) {
	l := parsed(t, `<Exponent inBitDepth="32f" outBitDepth="32f" style="monCurveRev">
    <Description>CIE L*</Description>
    <ExponentParams exponent="3.0" offset="0.16" />
</Exponent>`)
	for y, want := range map[float64]float64{0.18: 0.494961, 1: 1, 0: 0, 0.005: 0.005 * 9.032963} {
		assert.InDelta(t, want, l.Colour(grey(y)).R, 2e-6, "Y %v", y)
	}
}

// Example 11: the camera's curve of ITU-R BT.709-6, item 1.2, whose printed constants
// differ by up to 3e-4 of the signal in the foot.
func TestExampleOfBT709(t *testing.T) {
	l := parsed(t, `<Exponent inBitDepth="32f" outBitDepth="32f" style="monCurveRev">
    <Description>Rec. 709 OETF</Description>
    <ExponentParams exponent="2.2222222222222222" offset="0.099" />
</Exponent>`)
	for light, want := range map[float64]float64{1: 1, 0.18: 1.099*math.Pow(0.18, 0.45) - 0.099, 0.01: 0.045} {
		assert.InDelta(t, want, l.Colour(grey(light)).R, 3e-4, "light %v", light)
	}
}

// Example 12: a grade whose numbers are those of a sample file of app/cdl.
func TestExampleOfCDL(t *testing.T) {
	l := parsed(t, `<ASC_CDL id="cc01234" inBitDepth="16f" outBitDepth="16f" style="Fwd">
    <Description>scene 1 exterior look</Description>
    <SOPNode>
        <Slope>1.000000 1.000000 0.900000</Slope>
        <Offset>-0.030000 -0.020000 0.000000</Offset>
        <Power>1.2500000 1.000000 1.000000</Power>
    </SOPNode>
    <SatNode>
        <Saturation>1.700000</Saturation>
    </SatNode>
</ASC_CDL>`)
	assert.Equal(t, CDL{"Fwd", colour.CDL{
		Slope: [3]float64{1, 1, 0.9}, Offset: [3]float64{-0.03, -0.02}, Power: [3]float64{1.25, 1, 1}, Saturation: 1.7,
	}}, l.Steps[0].Node)
	plain := parsed(t, `<ASC_CDL inBitDepth="16f" outBitDepth="16f"/>`)
	assertColour(t, colour.RGB{R: 1, G: 0.5}, plain.Colour(colour.RGB{R: 1.5, G: 0.5, B: -0.5}), 0, "a neutral grade, which clamps")
}

// The American Society of Cinematographers' release 1.2 through an independent
// implementation's figures, of 6 decimals: see the files.
func TestPublishedCDLVectors(t *testing.T) {
	seen := map[string]int{}
	for _, file := range []string{"asc_cdl.csv", "asc_cdl_styles.csv"} {
		for _, row := range testdata.Table(t, file) {
			style := "Fwd"
			if file != "asc_cdl.csv" {
				style = row.Text("style")
			}
			seen[style]++
			v := row.Numbers("slope_r", "slope_g", "slope_b", "offset_r", "offset_g", "offset_b", "power_r", "power_g", "power_b", "saturation", "in_r", "in_g", "in_b", "out_r", "out_g", "out_b")
			l := parsed(t, fmt.Sprintf(`<ASC_CDL inBitDepth="32f" outBitDepth="32f" style=%q><SOPNode><Slope>%v %v %v</Slope><Offset>%v %v %v</Offset><Power>%v %v %v</Power></SOPNode><SatNode><Saturation>%v</Saturation></SatNode></ASC_CDL>`,
				style, v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8], v[9]))
			assertColour(t, colour.RGB{R: v[13], G: v[14], B: v[15]}, l.Colour(colour.RGB{R: v[10], G: v[11], B: v[12]}), 2e-6, row)
		}
	}
	assert.Len(t, seen, 4, "%v", seen)
}

// Example 14: from ACES2065-1 to ACEScct. A grey card has 0.4135884, black 0.0729055,
// and 0.0078125 lies at 0.1552511 (Academy S-2016-001).
func TestExampleOfACEScct(t *testing.T) {
	l, err := Parse(strings.NewReader(`<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="ACEScsc.ACES_to_ACEScct.a1.0.3" name="ACES2065-1 to ACEScct" 
    compCLFversion="3.0">
    <Description>ACES2065-1 to ACEScct Log working space</Description>
    <InputDescriptor>Academy Color Encoding Specification (ACES2065-1)</InputDescriptor>
    <OutputDescriptor>ACEScct Log working space</OutputDescriptor>
    <Info>
        <ACEStransformID>ACEScsc.ACES_to_ACEScct.a1.0.3</ACEStransformID>
        <ACESuserName>ACES2065-1 to ACEScct</ACESuserName>
    </Info>
    <Matrix inBitDepth="16f" outBitDepth="16f">
        <Array dim="3 3">
             1.451439316146 -0.236510746894 -0.214928569252
            -0.076553773396  1.176229699834 -0.099675926438
             0.008316148426 -0.006032449791  0.997716301365
        </Array>
    </Matrix>
    <Log inBitDepth="16f" outBitDepth="16f" style="cameraLinToLog">
        <LogParams base="2" logSideSlope="0.05707762557" logSideOffset="0.5547945205" 
            linSideBreak="0.0078125" />
    </Log>
</ProcessList>`))
	require.NoError(t, err)
	assert.Equal(t, "ACEScsc.ACES_to_ACEScct.a1.0.3", l.ID)
	assert.Equal(t, "ACES2065-1 to ACEScct", l.Name)
	assert.Equal(t, []string{"ACES2065-1 to ACEScct Log working space"}, l.Notes)
	assert.Equal(t, "ACEScct Log working space", l.Output)
	for light, want := range map[float64]float64{0.18: 0.4135884, 0: 0.0729055, 0.0078125: 0.1552511} {
		assertColour(t, grey(want), l.Colour(grey(light)), 1e-6, light)
	}
	for v := 0.; v <= 1; v += 0.01 { // our node is its inverse
		light := sameLog(cameraLogToLin, acesCCT).run([3]float64{v, v, v})[0]
		assert.InEpsilon(t, 1+colour.ACEScct.Light(v), 1+light, 1e-9, "%v", v)
	}
}

// Example 15: from XYZ to CIELAB over 100. White, and the primary red of sRGB after B.
// Lindbloom's calculator: XYZ 0.4124564 0.2126729 0.0193339, Lab 53.2408 80.0925 67.2032.
func TestExampleOfLab(t *testing.T) {
	l := parsed(t, `
    <Description>CIE-XYZ D65 to CIELAB L*, a*, b* (scaled by 1/100, neutrals at 
        0.0 chroma)</Description>
    <Matrix inBitDepth="16f" outBitDepth="16f">
        <Array dim="3 3">
            1.052126639 0.000000000 0.000000000
            0.000000000 1.000000000 0.000000000
            0.000000000 0.000000000 0.918224951
        </Array>
    </Matrix>
    <Exponent inBitDepth="16f" outBitDepth="16f" style="monCurveRev">
        <ExponentParams exponent="3.0" offset="0.16" />
    </Exponent>
    <Matrix inBitDepth="16f" outBitDepth="16f">
        <Array dim="3 3">
            0.00000000  1.00000000  0.00000000
            4.31034483 -4.31034483  0.00000000
            0.00000000  1.72413793 -1.72413793
        </Array>
    </Matrix>`)
	assertColour(t, colour.RGB{R: 1}, l.Colour(colour.RGB{R: 0.95047, G: 1, B: 1.08883}), 2e-4, "white")
	assertColour(t, colour.RGB{R: 0.532408, G: 0.800925, B: 0.672032}, l.Colour(colour.RGB{R: 0.4124564, G: 0.2126729, B: 0.0193339}), 3e-4, "red")
}

// The note on halfDomain: 15360 has the bits of 1.0. IEEE 754 prints the others: the
// largest, the least of full precision, the least of all.
func TestHalfs(t *testing.T) {
	for bits, want := range map[uint16]float64{15360: 1, 0: 0, 0x7bff: 65504, 0x0400: math.Ldexp(1, -14), 1: math.Ldexp(1, -24), 0xc000: -2, 0x7c00: math.Inf(1)} {
		assert.Equal(t, want, half(bits), "%#x", bits)
	}
	assert.True(t, math.IsNaN(half(0x7c01)))
}

// A table over all 16-bit values, written as their bits, gives back what comes in: on the
// values, between them and below 0.
func TestTableOverHalfs(t *testing.T) {
	var rows strings.Builder
	for bits := range longest1D {
		fmt.Fprintln(&rows, bits)
	}
	l := parsed(t, `<LUT1D inBitDepth="16f" outBitDepth="16f" halfDomain="true" rawHalfs="true"><Array dim="65536 1">`+rows.String()+`</Array></LUT1D>`)
	for _, v := range []float64{0, 1, -1, 0.18, 0.1801, -0.33333, 1e-7, -1e-5, 223.7, 65504} {
		assert.InDelta(t, v, l.Colour(grey(v)).R, 1e-7*math.Abs(v)+1e-12, "%v", v)
	}
	assert.Equal(t, 65504.0, l.Colour(grey(1e6)).R)
	assert.Equal(t, -65504.0, l.Colour(grey(-1e6)).R)
}

// printedA and printedT are the matrices A, and T1 to T6, of appendix A. Their columns are the corners
// (r,g,b) = 000, 010, 100, 110, 001, 011, 101, 111. (The printed lines of c4 and c6 beside A differ
// from it, and would not meet the corners.)
var printedA = [8][8]float64{
	{1, 0, 0, 0, 0, 0, 0, 0},
	{-1, 0, 0, 0, 1, 0, 0, 0},
	{-1, 0, 1, 0, 0, 0, 0, 0},
	{-1, 1, 0, 0, 0, 0, 0, 0},
	{1, 0, -1, 0, -1, 0, 1, 0},
	{1, -1, -1, 1, 0, 0, 0, 0},
	{1, -1, 0, 0, -1, 1, 0, 0},
	{-1, 1, 1, -1, 1, -1, -1, 1},
}

var printedT = [6][4][8]float64{
	{{1, 0, 0, 0, 0, 0, 0, 0}, {-1, 0, 0, 0, 1, 0, 0, 0}, {0, 0, 0, 0, -1, 0, 1, 0}, {0, 0, 0, 0, 0, 0, -1, 1}},
	{{1, 0, 0, 0, 0, 0, 0, 0}, {-1, 0, 0, 0, 1, 0, 0, 0}, {0, 0, 0, 0, 0, -1, 0, 1}, {0, 0, 0, 0, -1, 1, 0, 0}},
	{{1, 0, 0, 0, 0, 0, 0, 0}, {0, -1, 0, 0, 0, 1, 0, 0}, {0, 0, 0, 0, 0, -1, 0, 1}, {-1, 1, 0, 0, 0, 0, 0, 0}},
	{{1, 0, 0, 0, 0, 0, 0, 0}, {0, 0, -1, 0, 0, 0, 1, 0}, {-1, 0, 1, 0, 0, 0, 0, 0}, {0, 0, 0, 0, 0, 0, -1, 1}},
	{{1, 0, 0, 0, 0, 0, 0, 0}, {0, 0, 0, -1, 0, 0, 0, 1}, {-1, 0, 1, 0, 0, 0, 0, 0}, {0, 0, -1, 1, 0, 0, 0, 0}},
	{{1, 0, 0, 0, 0, 0, 0, 0}, {0, 0, 0, -1, 0, 0, 0, 1}, {0, -1, 0, 1, 0, 0, 0, 0}, {-1, 1, 0, 0, 0, 0, 0, 0}},
}

// printedCase is the tetrahedron that appendix A chooses.
func printedCase(r, g, b float64) int {
	switch {
	case b > r && r > g:
		return 0
	case b > g && g > r:
		return 1
	case g > b && b > r:
		return 2
	case r > b && b > g:
		return 3
	case r > g && g > b:
		return 4
	}
	return 5
}

// In a cube of random entries both interpolations do what appendix A prints.
func TestCubesAgainstThePrintedMatrices(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	const side = 3
	cube := LUT3D{Side: side, Values: make([]float64, side*side*side*3)}
	for i := range cube.Values {
		cube.Values[i] = rng.Float64()
	}
	for range 500 {
		in := [3]float64{rng.Float64(), rng.Float64(), rng.Float64()}
		var low [3]int
		var part [3]float64
		for c, v := range in {
			low[c] = int(v * (side - 1))
			part[c] = v*(side-1) - float64(low[c])
		}
		var corners [8][3]float64
		for i, at := range [8][3]int{{0, 0, 0}, {0, 1, 0}, {1, 0, 0}, {1, 1, 0}, {0, 0, 1}, {0, 1, 1}, {1, 0, 1}, {1, 1, 1}} {
			corners[i] = cube.at([3]int{low[0] + at[0], low[1] + at[1], low[2] + at[2]})
		}
		r, g, b := part[0], part[1], part[2]
		dA := []float64{1, b, r, g, b * r, r * g, g * b, r * g * b}
		chosen := printedT[printedCase(r, g, b)]
		var trilinear, tetrahedral [3]float64
		for c := range 3 {
			for k, row := range printedA {
				for i, f := range row {
					trilinear[c] += dA[k] * f * corners[i][c]
				}
			}
			for k, row := range chosen {
				for i, f := range row {
					tetrahedral[c] += dA[k] * f * corners[i][c]
				}
			}
		}
		cube.Tetrahedral = false
		assert.InDeltaSlice(t, trilinear[:], asSlice(cube.run(in)), 1e-12, "%v", in)
		cube.Tetrahedral = true
		assert.InDeltaSlice(t, tetrahedral[:], asSlice(cube.run(in)), 1e-12, "%v", in)
	}
}

func asSlice(v [3]float64) []float64 { return v[:] }
