package colour

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// neutralControls change nothing.
var neutralControls = CDLControls{Contrast: 1}

// eachControls calls each for a grid over all four controls and some pivots.
func eachControls(each func(k CDLControls, pivot float64)) {
	stops := []float64{-1.5, -0.3, 0, 0.2, 1}
	for _, w := range stops {
		for _, m := range stops {
			for _, l := range stops {
				for _, c := range []float64{0.4, 0.9, 1, 1.25, 3} {
					for _, pivot := range []float64{0.1, MiddlePivot, 0.8} {
						each(CDLControls{w, m, l, c}, pivot)
					}
				}
			}
		}
	}
}

func (k CDLControls) parts() [4]float64 {
	return [4]float64{k.BlueOrange, k.GreenMagenta, k.Lightness, k.Contrast}
}

func requireControls(t *testing.T, want, got CDLControls, tolerance float64) {
	t.Helper()
	for i, v := range want.parts() {
		requireClose(t, v, got.parts()[i], tolerance, "control %d of %+v", i, want)
	}
}

func TestControlsReadBack(t *testing.T) {
	eachControls(func(k CDLControls, pivot float64) {
		d, err := NeutralCDL().WithControls(k, pivot)
		require.NoError(t, err)
		got, leftover := d.Controls(pivot)
		require.False(t, leftover, "%+v", k)
		requireControls(t, k, got, 1e-12)
	})
}

// What came from elsewhere keeps what controls cannot say, and the controls turn
// it all the same.
func TestControlsKeepWhatIsLeftOver(t *testing.T) {
	foreign := CDL{Slope: [3]float64{1.3, 0.9, 1.1}, Offset: [3]float64{0.02, -0.01, 0.1}, Power: [3]float64{1.2, 0.8, 1.1}, Saturation: 0.6}
	read, leftover := foreign.Controls(MiddlePivot)
	require.True(t, leftover)
	same, err := foreign.WithControls(read, MiddlePivot)
	require.NoError(t, err)
	for c := range 3 {
		assert.InDelta(t, foreign.Slope[c], same.Slope[c], 1e-12)
		assert.InDelta(t, foreign.Power[c], same.Power[c], 1e-12)
	}
	eachControls(func(k CDLControls, pivot float64) {
		d, err := foreign.WithControls(k, pivot)
		require.NoError(t, err)
		require.Equal(t, foreign.Offset, d.Offset)
		require.Equal(t, foreign.Saturation, d.Saturation)
		requireClose(t, 1.2/0.8, d.Power[0]/d.Power[1], 1e-12, "%+v", k)
		got, _ := d.Controls(pivot)
		requireControls(t, k, got, 1e-12)
	})
	for what, change := range map[string]func(*CDL){
		"an offset": func(d *CDL) { d.Offset[1] = 0.01 },
		"a power":   func(d *CDL) { d.Power[2] = 1.1 },
		"slope 0":   func(d *CDL) { d.Slope[0] = 0 },
	} {
		d := NeutralCDL()
		change(&d)
		k, leftover := d.Controls(MiddlePivot)
		assert.True(t, leftover, what)
		for _, v := range k.parts() {
			assert.False(t, math.IsInf(v, 0) || math.IsNaN(v), what)
		}
	}
	colourful := NeutralCDL()
	colourful.Saturation = 2
	k, leftover := colourful.Controls(MiddlePivot)
	assert.Equal(t, neutralControls, k)
	assert.False(t, leftover)
}

func TestNeutralControlsAreTheNeutralCDL(t *testing.T) {
	for _, pivot := range []float64{0.1, MiddlePivot, 0.9} {
		d, err := NeutralCDL().WithControls(neutralControls, pivot)
		require.NoError(t, err)
		assert.True(t, d.IsNeutral())
		k, leftover := NeutralCDL().Controls(pivot)
		assert.Equal(t, neutralControls, k)
		assert.False(t, leftover)
	}
}

// One control turned leaves what the other three read, whatever they stand at.
func TestControlsAreIndependent(t *testing.T) {
	eachControls(func(k CDLControls, pivot float64) {
		d, err := NeutralCDL().WithControls(k, pivot)
		require.NoError(t, err)
		for turned := range 4 {
			before, _ := d.Controls(pivot)
			parts := before.parts()
			parts[turned] += 0.17
			d2, err := d.WithControls(CDLControls{parts[0], parts[1], parts[2], parts[3]}, pivot)
			require.NoError(t, err)
			after, _ := d2.Controls(pivot)
			want := k.parts()
			want[turned] += 0.17
			requireControls(t, CDLControls{want[0], want[1], want[2], want[3]}, after, 1e-11)
		}
	})
}

// graded is one colour under controls alone.
func graded(t *testing.T, c RGB, k CDLControls, pivot float64) RGB {
	d, err := NeutralCDL().WithControls(k, pivot)
	require.NoError(t, err)
	return d.Colour(c)
}

func TestControlsTurnTheirWay(t *testing.T) {
	c := RGB{0.35, 0.4, 0.3}
	last := make([]RGB, 4)
	for i := range 9 {
		by := float64(i-4) * 0.1
		now := []RGB{
			graded(t, c, CDLControls{BlueOrange: by, Contrast: 1}, MiddlePivot),
			graded(t, c, CDLControls{GreenMagenta: by, Contrast: 1}, MiddlePivot),
			graded(t, c, CDLControls{Lightness: by, Contrast: 1}, MiddlePivot),
			graded(t, RGB{0.2, MiddlePivot, 0.7}, CDLControls{Contrast: math.Exp2(by)}, MiddlePivot),
		}
		if i > 0 {
			assert.True(t, now[0].R > last[0].R && now[0].B < last[0].B, "orange is more red, less blue")
			assert.InDelta(t, last[0].G, now[0].G, 1e-12)
			assert.True(t, now[1].R > last[1].R && now[1].G < last[1].G && now[1].B > last[1].B, "magenta is less green")
			assert.True(t, now[2].R > last[2].R && now[2].G > last[2].G && now[2].B > last[2].B, "lighter")
			assert.True(t, now[3].R < last[3].R && now[3].B > last[3].B, "contrast spreads what lies about the pivot")
			assert.InDelta(t, MiddlePivot, now[3].G, 1e-12, "and leaves the pivot")
		}
		last = now
	}
}

// The formula of the doc comment, worked out without a CDL.
func TestControlsAreTheirFormula(t *testing.T) {
	eachControls(func(k CDLControls, pivot float64) {
		c := RGB{0.25, 0.5, 0.125}
		got := graded(t, c, k, pivot).parts()
		for i, gain := range BalanceGains(k.BlueOrange, k.GreenMagenta, k.Lightness) {
			want := pivot * math.Pow(c.parts()[i]*gain/pivot, k.Contrast)
			if x := c.parts()[i] * gain * math.Pow(pivot, 1/k.Contrast-1); x > 1 { // the CDL's own clamp
				want = 1
			}
			requireClose(t, want, got[i], 1e-12, "%+v about %v", k, pivot)
		}
	})
}

func TestControlsThatCannotBe(t *testing.T) {
	for want, k := range map[string]CDLControls{
		"colour: cdl: contrast is 0, want a number over 0":   {},
		"colour: cdl: contrast is NaN, want a number over 0": {Contrast: math.NaN()},
	} {
		_, err := NeutralCDL().WithControls(k, MiddlePivot)
		assert.EqualError(t, err, want)
	}
	_, err := NeutralCDL().WithControls(neutralControls, 0)
	assert.EqualError(t, err, "colour: cdl: pivot is 0, want a number over 0")
	same, err := NeutralCDL().WithControls(CDLControls{Lightness: 1e6, Contrast: 1}, MiddlePivot)
	assert.ErrorContains(t, err, "colour: cdl: slope of red is +Inf, want 0 or more")
	assert.True(t, same.IsNeutral())
}
