package seam

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat"

	"halocline/app/scene"
	"halocline/colour"
)

// softDisc is a matte of a disc about (cx, 360) that fades over 3 px.
func softDisc(cx float64) colour.Plane {
	return drawn(seamW, 720, func(x, y float64) float64 { return 0.5 - (math.Hypot(x-cx, y-360)-200)/3 })
}

// Where a disc's matte is moved to the right, the band is wide on the right and
// left and thin above and below; the picture's edge lies inside on the right and
// outside on the left.
func TestAlong(t *testing.T) {
	const moved = 5
	before := softDisc(640 + moved)
	s := seamOf(t, mixed(softDisc(640), 0.01), before)
	pieces, err := s.Along(t.Context(), before, 6)
	require.NoError(t, err)
	require.Greater(t, len(pieces), 1000)
	var beside, above, right, left []float64
	for _, p := range pieces {
		x, y := float64(p.X0)-640-moved, float64(p.Y0)-360
		require.InDelta(t, 200, math.Hypot(x, y), 1)
		switch {
		case x > 195:
			right, beside = append(right, p.Apart), append(beside, p.Misfit)
		case x < -195:
			left, beside = append(left, p.Apart), append(beside, p.Misfit)
		case math.Abs(y) > 197:
			above = append(above, p.Misfit)
		}
	}
	assert.Greater(t, mean(beside), 3*mean(above))
	assert.InDelta(t, -moved, mean(right), 0.5)
	assert.InDelta(t, moved, mean(left), 0.5)
	whole := judgedBy(t, s, before, 6)
	assert.Greater(t, mean(beside), whole.Misfit)
}

func mean(v []float64) (m float64) {
	for _, x := range v {
		m += x / float64(len(v))
	}
	return m
}

// On the scene, the map of an outline that sways by up to 4 px is nearer to what
// the truth says about each square than the squares' own curves are, and than the
// whole outline's; and where the matte is the true one, it is thin.
func TestAlongTheScene(t *testing.T) {
	f, err := scene.Render(t.Context(), 1, 1, scene.Width, scene.Height, 0)
	require.NoError(t, err)
	swaying := colour.NewPlane(f.Skin.W, f.Skin.H)
	for y := range swaying.H {
		for x := range swaying.W {
			fx, fy := x+int(math.Round(4*math.Sin(float64(y)/13))), y+int(math.Round(4*math.Sin(float64(x)/11)))
			swaying.Row(y)[x] = f.Skin.At(min(max(fx, 0), swaying.W-1), min(max(fy, 0), swaying.H-1))
		}
	}
	slid, own, whole, want := mismatchOnTheScene(t, f, swaying)
	off := func(v []float64) float64 { return floats.Distance(v, want, 1) / float64(len(v)) }
	t.Logf("swaying: off the truth by %.3f, by the squares' own curves %.3f, by the whole outline's %.3f; correlations %.2f, %.2f, %.2f",
		off(slid), off(own), off(whole), stat.Correlation(slid, want, nil), stat.Correlation(own, want, nil), stat.Correlation(whole, want, nil))
	assert.Less(t, off(slid), 0.7*off(own))
	assert.Less(t, off(slid), off(whole))
	assert.Greater(t, stat.Correlation(slid, want, nil), stat.Correlation(whole, want, nil)+0.1)
	slid, own, _, _ = mismatchOnTheScene(t, f, f.Skin)
	t.Logf("true: %.3f, by the squares' own curves %.3f", mean(slid), mean(own))
	assert.Less(t, mean(slid), 0.5*mean(own))
}

// mismatchOnTheScene returns the edge mismatch of a matte about each square: by Along, by the
// square's own curve, by the whole outline's, and by the truth.
func mismatchOnTheScene(t *testing.T, f *scene.Frame, matte colour.Plane) (slid, own, whole, want []float64) {
	s := seamOf(t, f.Image, matte)
	c, truth := s.newLocals(matte), s.newLocals(f.Skin)
	means := make([]*curveSums, len(c.sums))
	for i, sum := range c.sums {
		if sum != nil {
			means[i] = c.about(i).means()
		}
	}
	d, which := s.slide(c, means)
	for i, m := range means {
		if m == nil {
			continue
		}
		off := func(picture []float64) float64 { return s.figures(m.matte, picture, m.weight, 1).EdgeMismatch }
		slid = append(slid, off(d.curves[which[i]]))
		whole = append(whole, off(s.picture))
		want = append(want, off(truth.about(i).means().matte))
		for k, v := range m.picture {
			m.picture[k] = min(max(v, 0), 1)
		}
		own = append(own, off(m.picture))
	}
	return slid, own, whole, want
}
