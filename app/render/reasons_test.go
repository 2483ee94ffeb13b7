package render

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// plainReason is the rule as the design has it.
func plainReason(matte, pick, masks float32, p selection.Pick, c colour.RGB) selection.Reason {
	switch {
	case matte >= 0.5:
		return selection.In
	case masks < 0.5:
		return selection.ByMask
	case pick*masks >= 0.5:
		return selection.ByEdge
	}
	v := p.At(c)
	best := selection.Hue
	for k := selection.Hue; k <= selection.Light; k++ {
		if p.WeightOn(k, v[k]) < p.WeightOn(best, v[best]) {
			best = k
		}
	}
	return selection.ByHue + selection.Reason(best)
}

func TestReasonsFollowTheRule(t *testing.T) {
	s := newFixture(t, 640, 360)
	s.addMasks()
	s.matte().Masks[0].Keys[0].Inner = 60
	light := &s.matte().Pick.Limits[selection.Light]
	light.Off = false
	light.Fix(selection.Range{From: 35, To: 60, Before: 5, After: 5})
	s.setEdge(selection.Edge{Despeckle: 20, About: 0.5, Grow: -1, Soften: 1})
	r := New(s, 2, DefaultCache)
	reasons, err := r.Reasons(t.Context(), s.request())
	require.NoError(t, err)
	var planes [3]colour.Plane
	for i, of := range []func(q Request) (colour.Plane, error){
		func(q Request) (colour.Plane, error) { return r.Matte(t.Context(), q) },
		func(q Request) (colour.Plane, error) { return r.Pick(t.Context(), q) },
		func(q Request) (colour.Plane, error) { return r.Mask(t.Context(), q) },
	} {
		planes[i], err = of(s.request())
		require.NoError(t, err)
	}
	read, err := r.Picked(t.Context(), s.request())
	require.NoError(t, err)
	at := s.matte().Pick.At(1)
	seen := map[selection.Reason]int{}
	differ, together := 0, 0
	for i, why := range reasons {
		x, y := i%640, i/640
		matte, pick, masks := planes[0].Pix[i], planes[1].Pix[i], planes[2].Pix[i]
		if want := plainReason(matte, pick, masks, at, read.RGB(x, y)); want != why {
			differ++
			continue
		}
		seen[why]++
		if pick >= 0.5 && masks >= 0.5 && pick*masks < 0.5 && matte < 0.5 {
			together++
		}
	}
	for r := selection.In; r <= selection.ByEdge; r++ {
		assert.NotZero(t, seen[r], "reason %d", r)
	}
	assert.NotZero(t, together, "pixels that neither the pick nor the masks reject alone")
	// Weights are read from tables: where two channels weigh the same to within
	// 0.001, either may be named.
	assert.Less(t, differ, len(reasons)/1000)
}

func TestReasonsKnowASquare(t *testing.T) {
	s := newFixture(t, 64, 64)
	s.picture = colour.NewImage(64, 64)
	for i := range s.picture.R.Pix {
		s.picture.R.Pix[i], s.picture.G.Pix[i], s.picture.B.Pix[i] = 0.8, 0.4, 0.3
	}
	for y := range 64 { // a column of another hue
		s.picture.R.Row(y)[5], s.picture.B.Row(y)[5] = 0.3, 0.8
	}
	s.picture.R.Row(40)[40], s.picture.B.Row(40)[40] = 0.3, 0.8 // a pinhole, which despeckle fills
	m := s.matte()
	m.Pick.Model, m.Pick.Smooth = selection.HSL, false
	m.Pick.Limits[selection.Hue].Off = false
	m.Pick.Limits[selection.Hue].Fix(selection.Range{From: 350, To: 40})
	m.Pick.Limits[selection.Sat].Off, m.Pick.Limits[selection.Light].Off = true, true
	s.study.AddMask(m, "all", 0, s.blob(32, 32, 3, 5))
	s.study.AddMask(m, "corner", 1, s.blob(32, 32, 3, 5)).Keys[0].Points = []mask.Point{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}
	m.Masks[1].Keys[0].Inner, m.Masks[1].Keys[0].Outer = 0, 0
	r := New(s, 0, DefaultCache)
	reasons, err := r.Reasons(t.Context(), s.request())
	require.NoError(t, err)
	assert.Equal(t, selection.ByMask, reasons[5*64+5], "masks come first")
	assert.Equal(t, selection.ByHue, reasons[30*64+5])
	assert.Equal(t, selection.In, reasons[30*64+30])
	assert.Equal(t, selection.In, reasons[40*64+40])
	m.Edge.Grow.Fix(-3)
	reasons, err = r.Reasons(t.Context(), s.request())
	require.NoError(t, err)
	assert.Equal(t, selection.ByEdge, reasons[30*64+7], "eroded")
	shares := SharesOf(reasons)
	assert.InDelta(t, 100./4096, shares[selection.ByMask], 1e-9)
	sum := 0.
	for _, v := range shares {
		sum += v
	}
	assert.InDelta(t, 1, sum, 1e-9)
	assert.Equal(t, Shares{}, SharesOf(nil))
}

// What lies inside an outline but beyond the edge that was found in it is out because of that;
// what lies outside the outline because of the mask. A part has what the whole has.
func TestReasonsKnowWhatLiesBeyondAFoundEdge(t *testing.T) {
	s := searching(t, 480, 270, 0)
	m := s.matte()
	m.Masks = m.Masks[:1]
	r := New(s, 2, DefaultCache)
	reasons, err := r.Reasons(t.Context(), s.request())
	require.NoError(t, err)
	led, err := r.Mask(t.Context(), s.request())
	require.NoError(t, err)
	matte, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	var drawn colour.Plane
	require.NoError(t, mask.Compose(t.Context(), &drawn, m.At(1).Masks, mask.Whole(480, 270), 1))
	seen := map[selection.Reason]int{}
	for i, why := range reasons {
		beyond := matte.Pix[i] < 0.5 && led.Pix[i] < 0.5
		require.Equal(t, beyond && drawn.Pix[i] >= 0.5, why == selection.ByFound, i)
		require.Equal(t, beyond && drawn.Pix[i] < 0.5, why == selection.ByMask, i)
		seen[why]++
	}
	assert.Greater(t, seen[selection.ByFound], 1000)
	assert.Greater(t, seen[selection.ByMask], 1000)
	assert.Equal(t, 1, r.Runs()[FindEdge])

	q := s.request()
	q.Region = image.Rect(200, 100, 260, 160)
	part, err := r.Reasons(t.Context(), q)
	require.NoError(t, err)
	for i, why := range part {
		require.Equal(t, reasons[(100+i/60)*480+200+i%60], why)
	}
	q = s.request()
	q.NoSearch = true
	reasons, err = New(s, 2, DefaultCache).Reasons(t.Context(), q)
	require.NoError(t, err)
	assert.NotContains(t, reasons, selection.ByFound, "none was found yet")
}

// What a joined matte takes away of what the pick keeps is out because of that, and what the
// edge takes away because of the edge; a matte that is added takes nothing away.
func TestReasonsKnowWhatIsTakenAway(t *testing.T) {
	s := newFixture(t, 64, 64)
	s.picture = colour.NewImage(64, 64)
	m := s.matte()
	m.Pick.Smooth = false
	for c := range m.Pick.Limits {
		m.Pick.Limits[c].Off = true
	}
	m.Masks, m.Edge = nil, study.Edge{}
	square := func(x0, y0, x1, y1 float64) study.MaskKey {
		return study.MaskKey{Frame: 1, Opacity: 1, Points: []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}}
	}
	s.study.AddMask(m, "all", study.Keep, square(8, 8, 56, 56))
	other := s.study.AddMatte("card", selection.HSL)
	other.Edge = study.Edge{}
	s.study.AddMask(other, "card", study.Keep, square(20, 20, 30, 30))
	m = s.matte()
	m.Edge.Grow.Fix(-3)
	r := New(s, 0, DefaultCache)
	at := func(x, y int) selection.Reason {
		t.Helper()
		reasons, err := r.Reasons(t.Context(), s.request())
		require.NoError(t, err)
		part := s.request()
		part.Region = image.Rect(x-2, y-1, x+3, y+4)
		some, err := r.Reasons(t.Context(), part)
		require.NoError(t, err)
		require.Equal(t, reasons[y*64+x], some[1*5+2], "a part has what the whole has")
		return reasons[y*64+x]
	}
	want := func(card, beside, border, inside selection.Reason) {
		t.Helper()
		assert.Equal(t, selection.ByMask, at(4, 4))
		assert.Equal(t, card, at(25, 25))
		assert.Equal(t, beside, at(18, 25), "where grow moves the edge of the hole")
		assert.Equal(t, border, at(9, 40), "where it moves the mask's")
		assert.Equal(t, inside, at(40, 40))
	}
	want(selection.In, selection.In, selection.ByEdge, selection.In)
	m.TakeIn(other.ID, study.TakeAway)
	want(selection.ByJoin, selection.ByEdge, selection.ByEdge, selection.In)
	m.TakeIn(other.ID, study.Within)
	want(selection.In, selection.ByJoin, selection.ByJoin, selection.ByJoin)
	m.TakeIn(other.ID, study.Add)
	want(selection.In, selection.In, selection.ByEdge, selection.In)
}
