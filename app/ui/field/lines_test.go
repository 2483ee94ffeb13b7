package field

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

func narrowView(p selection.Pick) view {
	v := view{laidOut(316, 230, 1), opened(p.Limits[selection.Hue]), 1}
	if p.Model == selection.LCh {
		v.top = 60
	}
	return v
}

func TestLayoutAsDrawn(t *testing.T) { // sizes: the design's table of the window at 1280 and 1920
	small := laidOut(316, int(HeightFor(316)), 1)
	assert.Equal(t, [4]float64{229, 180, 44, 180}, [4]float64{small.plot.w(), small.plot.h(), small.column.w(), small.column.h()})
	large := laidOut(416, int(HeightFor(416)), 1)
	assert.Equal(t, [4]float64{327, 240, 46, 240}, [4]float64{large.plot.w(), large.plot.h(), large.column.w(), large.column.h()})
}

func TestSpreadOut(t *testing.T) {
	places := []float64{100, 101, 140}
	spreadOut(places, 11, 0, 228)
	assert.InDeltaSlice(t, []float64{95, 106, 140}, places, 1e-9)
	places = []float64{1, 2, 3, 4}
	spreadOut(places, 11, 0, 228)
	assert.InDeltaSlice(t, []float64{0, 11, 22, 33}, places, 1e-9)

	r := rand.New(rand.NewPCG(4, 4))
	for range 3000 {
		places = make([]float64, 1+r.IntN(4))
		for i := range places {
			places[i] = r.Float64() * 228
		}
		slices.Sort(places)
		was := slices.Clone(places)
		spreadOut(places, 11, 0, 228)
		for i := 1; i < len(places); i++ {
			require.GreaterOrEqual(t, places[i]-places[i-1], 11-1e-9)
		}
		require.GreaterOrEqual(t, places[0], 0.0)
		require.LessOrEqual(t, places[len(places)-1], 228+1e-9)
		again := slices.Clone(places)
		spreadOut(again, 11, 0, 228)
		require.InDeltaSlice(t, places, again, 1e-9, "what is apart stays, from %v", was)
	}
}

func TestEveryHandleIsHit(t *testing.T) {
	narrow := skin(selection.HSL)
	narrow.Limits[selection.Hue].Range = selection.Range{From: 21, To: 21.5}
	across := skin(selection.LCh)
	across.Limits[selection.Hue].Range = selection.Range{From: 346, To: 22, Before: 12, After: 10}
	for _, p := range []selection.Pick{skin(selection.HSL), narrow, across} {
		at := place(narrowView(p), p)
		for _, k := range at.marks {
			for _, m := range k {
				require.True(t, m.shown)
				x, y := at.handleAt(m)
				assert.Equal(t, part{kind: aLine, channel: m.channel, end: m.end}, at.hit(x, y))
			}
		}
	}
}

func TestLinesRiseToTheRightAndUpward(t *testing.T) {
	p := skin(selection.HSL)
	for c := range p.Limits { // all four at one place
		p.Limits[c].Range = selection.Range{From: 0.5, To: 0.5}
	}
	at := place(narrowView(p), p)
	for e := from; e <= fadeAfter; e++ {
		assert.Greater(t, at.marks[selection.Hue][e].handle, at.marks[selection.Hue][e-1].handle)
		assert.Less(t, at.marks[selection.Sat][e].handle, at.marks[selection.Sat][e-1].handle)
	}
}

func TestHit(t *testing.T) {
	p := skin(selection.HSL)
	p.Limits[selection.Hue].Range = selection.Range{From: 0, To: 60, Before: 20, After: 20}
	at := place(narrowView(p), p)
	b := at.full[0]
	mid := (b.x0 + b.x1) / 2
	assert.Equal(t, part{kind: aMiddle}, at.hit(mid, (b.y0+b.y1)/2))
	assert.Equal(t, part{kind: aCorner, end: from, level: to}, at.hit(b.x0+3, b.y0-3))
	assert.Equal(t, part{kind: aCorner, end: to, level: from}, at.hit(b.x1, b.y1))
	assert.Equal(t, part{kind: aLine, channel: selection.Hue, end: to}, at.hit(b.x1+4, (b.y0+b.y1)/2))
	assert.Equal(t, part{kind: aLine, channel: selection.Hue, end: fadeBefore}, at.hit(at.outer[0].x0, 60))
	assert.Equal(t, part{kind: aLine, channel: selection.Sat, end: to}, at.hit(mid, b.y0-4))
	assert.Equal(t, part{}, at.hit(at.plot.x1-3, 30))
	assert.Equal(t, part{kind: theRibbon}, at.hit(100, 222))
	light := at.marks[selection.Light]
	assert.Equal(t, part{kind: aMiddle, channel: selection.Light}, at.hit(at.column.x0+9, (light[from].pos+light[to].pos)/2))
}

// Lines nearer than 12 units are left to their handles, so that what is grabbed
// is never a guess.
func TestCrowdedLinesAreGrabbedByHandlesAlone(t *testing.T) {
	p := skin(selection.HSL)
	p.Limits[selection.Hue].Range = selection.Range{From: 21, To: 24, Before: 1.5, After: 1.5}
	at := place(narrowView(p), p)
	for _, m := range at.marks[selection.Hue] {
		assert.False(t, m.alone)
		g := at.hit(m.pos, at.plot.y0+2+at.plot.h()/2)
		assert.False(t, g.kind == aLine && g.channel == selection.Hue)
	}
}

func TestOffAndOutOfView(t *testing.T) {
	p := skin(selection.HSL)
	v := narrowView(p)
	p.Limits[selection.Hue].Off = true
	at := place(v, p)
	require.Len(t, at.full, 1)
	assert.Equal(t, [2]float64{at.plot.x0, at.plot.x1}, [2]float64{at.full[0].x0, at.full[0].x1}, "the rectangle runs full")
	assert.False(t, at.marks[selection.Hue][from].shown)
	assert.False(t, at.hasCorners(at.full[0]))

	p.Limits[selection.Hue].Off = false
	v.window = hueWindow{200, 60}
	at = place(v, p)
	assert.Empty(t, at.full)
	assert.False(t, at.marks[selection.Hue][from].shown)
}

// A window wider than the circle shows some hues twice: there the rectangle
// stands twice, and either can be grabbed.
func TestTwoTurns(t *testing.T) {
	p := skin(selection.HSL)
	v := narrowView(p)
	v.window = hueWindow{200, 420}
	at := place(v, p)
	require.Len(t, at.full, 2)
	for _, b := range at.full {
		assert.Equal(t, part{kind: aMiddle}, at.hit((b.x0+b.x1)/2, (b.y0+b.y1)/2))
	}
	assert.InDelta(t, at.pixel(p.Model, selection.Hue, 374)-at.pixel(p.Model, selection.Hue, 14), at.full[1].x0-at.full[0].x0, 1e-9)
}

// A line follows the pointer, to the rounding of values.
func TestLineFollowsThePointer(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for _, model := range []selection.Model{selection.HSL, selection.LCh} {
		p := skin(model)
		at := place(narrowView(p), p)
		for range 300 {
			c, e := selection.Channel(r.IntN(3)), end(r.IntN(4))
			d := r.Float64()*6 - 3
			g := part{kind: aLine, channel: c, end: e}
			q := dragged(p, g, at.moved(g, d, d))
			after := place(at.view, q)
			if q == p || e == fadeBefore && q.Limits[c].Before == 0 || e == fadeAfter && q.Limits[c].After == 0 {
				continue // stopped
			}
			unit := math.Abs(fine(model, c) / at.perPixel(model, c))
			assert.InDelta(t, at.marks[c][e].pos+d, after.marks[c][e].pos, unit, "%v of %v", e, c)
		}
	}
}

// Chroma that reaches beyond the axis has its line at the top; a drag takes it
// from there.
func TestDragFromBeyondTheAxis(t *testing.T) {
	p := skin(selection.LCh)
	p.Limits[selection.Sat].To = 130
	at := place(narrowView(p), p)
	g := part{kind: aLine, channel: selection.Sat, end: to}
	require.Equal(t, at.plot.y0, at.marks[selection.Sat][to].pos)
	q := dragged(p, g, at.moved(g, 0, 30))
	assert.InDelta(t, 50, q.Limits[selection.Sat].To, 0.1)
	assert.Equal(t, p, dragged(p, g, at.moved(g, 0, 0)))
}
