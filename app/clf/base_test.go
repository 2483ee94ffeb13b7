package clf

import (
	"bytes"
	"context"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// randomBase is a base of a strength: 1 is a strong correction of a picture from some
// metres down.
func randomBase(rng *rand.Rand, input colour.Transfer, strength float64) colour.Base {
	around := func(least, middle float64) float64 { return max(least, middle+strength*(rng.Float64()-0.4)) }
	b := colour.Base{
		Input: input, Path: 5 * strength * rng.Float64(), Exposure: strength * (rng.Float64() - 0.3),
		Contrast: around(0.5, 1), Pivot: around(0.05, colour.MiddleGrey), Beta: [3]float64{0.35, 0.07, 0.05},
	}
	for c := range b.Gains {
		b.Gains[c] = around(0.1, 1)
		b.Veil[c] = 0.1 * strength * rng.Float64()
	}
	if rng.IntN(3) == 0 {
		b.Black = b.Veil
	}
	return b
}

// The written list, read back, does what a base does: the figures are code values of 10
// bits, which DEVELOPERS.md lists. What is left is the two sRGB nodes, whose numbers are
// not quite those that IEC 61966-2-1 prints, and BT.709's knee, where the curve itself
// jumps by 6e-5 of light.
func TestBaseAsList(t *testing.T) {
	most := [][2]float64{ // of strength 1 and 3
		colour.SRGB: {0.1, 0.2}, colour.BT709: {0.03, 0.2}, colour.HLG: {0.03, 0.4}, colour.ACEScct: {0.02, 0.1},
	}
	bases := 4
	if os.Getenv("HALOCLINE_ALL") != "" {
		bases = 60
	}
	for input, most := range most {
		rng := rand.New(rand.NewPCG(5, uint64(input)))
		for i, strength := range []float64{1, 3} {
			var elsewhere, largest float64
			for range bases {
				b := randomBase(rng, colour.Transfer(input), strength)
				l, told, err := Base(t.Context(), b)
				require.NoError(t, err)
				require.NoError(t, l.Identify())
				text, err := l.Text()
				require.NoError(t, err)
				back, err := Parse(bytes.NewReader(text))
				require.NoError(t, err)
				require.True(t, assert.ObjectsAreEqual(l, back))
				d, err := compare(t.Context(), back, b)
				require.NoError(t, err)
				require.Equal(t, told, d)
				elsewhere, largest = max(elsewhere, Codes(d.Elsewhere, 10)), max(largest, Codes(d.Largest, 10))
			}
			assert.LessOrEqual(t, elsewhere, most[i], "%v of strength %v", colour.Transfer(input), strength)
			assert.LessOrEqual(t, largest, 6., "%v of strength %v", colour.Transfer(input), strength)
			t.Logf("%v of strength %v: %.2g, with BT.709's knee %.2g code values of 10 bits", colour.Transfer(input), strength, elsewhere, largest)
		}
	}
}

// No code of full range of 8, 10 or 12 bits lies where the curve of BT.709 jumps.
func TestNoCodeLiesAtTheJump(t *testing.T) {
	for _, most := range []float64{255, 1023, 4095} {
		for code := range int(most) + 1 {
			assert.Greater(t, math.Abs(float64(code)/most-colour.BT709.Knee()), 0.00007, "%d of %v", code, most)
		}
	}
	assert.Less(t, 1./(tableEntries-1), 0.00007)
}

// Off BT.709's knee a table is as close as a node.
func TestTableOffTheKnee(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	for range 10 {
		b := randomBase(rng, colour.BT709, 1)
		l := baseList(b, false)
		for range 4000 {
			c := colour.RGB{R: rng.Float64(), G: rng.Float64(), B: rng.Float64()}
			if nearJump(c) {
				continue
			}
			assertColour(t, b.Colour(c), l.Colour(c), 0.03/1023, c)
		}
	}
}

// For sRGB and ACEScct the list goes on where ours does, outside of what footage has.
func TestBaseAsListOutside(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	for _, input := range []colour.Transfer{colour.SRGB, colour.ACEScct} {
		b := randomBase(rng, input, 0.5)
		l := baseList(b, false)
		for v := -0.3; v < 1.5; v += 0.01 {
			assertColour(t, b.Colour(grey(v)), l.Colour(grey(v)), 0.1/1023, v)
		}
	}
}

// The shoulder is exact, whatever white has become: its nodes alone, beside the formula.
// Just above leastBend 32 bits lose the most.
func TestShoulderIsExact(t *testing.T) {
	for white, most := range map[float64]float64{1.00004: 1e-4, 1.0001: 3e-5, 1.01: 1e-6, 1.5: 3e-7, 4: 3e-7, 223: 3e-7, 1e30: 3e-7} {
		s := colour.Steps{White: white, Bend: 5 - 1/(white-0.8), ShoulderFrom: 0.8}
		l := List{Steps: shoulder(s)}
		for y := 0.; y <= 1; y += 0.01 {
			for _, y := range []float64{y, 0.8 + y*(min(white, 300)-0.8), white} {
				want := y
				if d := y - 0.8; d > 0 {
					want = 0.8 + d/(1+s.Bend*d)
				}
				require.InDelta(t, want, l.Colour(grey(y)).R, most, "%v of white %v", y, white)
			}
		}
	}
}

func TestNodesOfBase(t *testing.T) {
	names := func(l *List) (all []string) {
		for _, s := range l.Steps {
			switch n := s.Node.(type) {
			case Exponent:
				all = append(all, n.Style)
			case Log:
				all = append(all, n.Style)
			case LUT1D:
				all = append(all, "LUT1D")
			case Matrix:
				all = append(all, "Matrix")
			case Range:
				all = append(all, "Range")
			}
		}
		return all
	}
	assert.Equal(t, []string{"Matrix"}, names(baseList(colour.Neutral(), false)))
	darker := colour.Neutral()
	darker.Exposure = -1
	assert.Equal(t, []string{"monCurveMirrorFwd", "Matrix", "Range", "monCurveRev", "Range"}, names(baseList(darker, false)))
	steeper := colour.Neutral()
	steeper.Input, steeper.Contrast = colour.ACEScct, 1.2
	assert.Equal(t, []string{"cameraLogToLin", "Matrix", "basicFwd", "Matrix", "Range", "cameraLinToLog", "cameraLogToLin", "monCurveRev", "Range"}, names(baseList(steeper, false)))
	steeper.Input = colour.HLG
	assert.Equal(t, "LUT1D", names(baseList(steeper, false))[0])
}

func TestNeutralBaseChangesNothing(t *testing.T) {
	l, d, err := Base(t.Context(), colour.Neutral())
	require.NoError(t, err)
	assert.Zero(t, d.Largest)
	assert.Equal(t, colour.RGB{R: 0.25, G: -3, B: 7}, l.Colour(colour.RGB{R: 0.25, G: -3, B: 7}))
}

// The id stands for what the list holds.
func TestIdentify(t *testing.T) {
	one, other := baseList(colour.Neutral(), false), baseList(colour.Neutral(), false)
	require.NoError(t, one.Identify())
	require.NoError(t, other.Identify())
	assert.Equal(t, one.ID, other.ID)
	other.Notes = []string{"of another clip"}
	require.NoError(t, other.Identify())
	assert.NotEqual(t, one.ID, other.ID)
}

func TestCompareEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, _, err := Base(ctx, colour.Neutral())
	assert.ErrorIs(t, err, context.Canceled)
}

func TestWrittenList(t *testing.T) {
	b := colour.Neutral()
	b.Exposure = 1
	b.Veil, b.Beta, b.Path = [3]float64{0.1, 0, 0}, [3]float64{math.Ln2, 0, 0}, 1
	l := baseList(b, false)
	l.ID, l.Name, l.Notes, l.Input, l.Output = "a", "dive & <more>", []string{"one", "two"}, "in", "out"
	path := filepath.Join(t.TempDir(), "dive.clf")
	require.NoError(t, Write(path, l))
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	assert.Equal(t, `<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="a" compCLFversion="3.0" name="dive &amp; &lt;more&gt;">
  <Description>one</Description>
  <Description>two</Description>
  <InputDescriptor>in</InputDescriptor>
  <OutputDescriptor>out</OutputDescriptor>
  <Exponent inBitDepth="32f" outBitDepth="32f" style="monCurveMirrorFwd">
    <Description>source&#39;s curve srgb to linear light, IEC 61966-2-1</Description>
    <ExponentParams exponent="2.4" offset="0.055"/>
  </Exponent>
  <Matrix inBitDepth="32f" outBitDepth="32f">
    <Description>water, white balance and exposure</Description>
    <Array dim="3 4">
      4 0 0 -0.2
      0 2 0 0
      0 0 2 0
    </Array>
  </Matrix>
  <Range inBitDepth="32f" outBitDepth="32f" style="Clamp">
    <Description>from black to source white</Description>
    <minInValue>0</minInValue>
    <maxInValue>3.8</maxInValue>
    <minOutValue>0</minOutValue>
    <maxOutValue>3.8</maxOutValue>
  </Range>
  <Log inBitDepth="32f" outBitDepth="32f" style="cameraLinToLog">
    <Description>shoulder, its logarithm</Description>
    <LogParams base="2" logSideSlope="1" logSideOffset="0" linSideSlope="4.666666666666667" linSideOffset="-2.733333333333334" linSideBreak="0.8"/>
  </Log>
  <Log inBitDepth="32f" outBitDepth="32f" style="cameraLogToLin">
    <Description>shoulder, back</Description>
    <LogParams base="2" logSideSlope="-1" logSideOffset="0" linSideSlope="-4.666666666666667" linSideOffset="4.733333333333334" linSideBreak="0.8"/>
  </Log>
  <Exponent inBitDepth="32f" outBitDepth="32f" style="monCurveRev">
    <Description>linear light to sRGB, IEC 61966-2-1</Description>
    <ExponentParams exponent="2.4" offset="0.055"/>
  </Exponent>
  <Range inBitDepth="32f" outBitDepth="32f" style="Clamp">
    <Description>limits</Description>
    <minInValue>0</minInValue>
    <maxInValue>1</maxInValue>
    <minOutValue>0</minOutValue>
    <maxOutValue>1</maxOutValue>
  </Range>
</ProcessList>
`, string(text))
	back, err := Read(path)
	require.NoError(t, err)
	assert.Equal(t, l, back)
}
