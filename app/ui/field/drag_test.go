package field

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/selection"
)

// skin is a pick of warm colours, across no end of any scale.
func skin(m selection.Model) selection.Pick {
	p := selection.Pick{Model: m}
	p.Limits[selection.Hue].Range = selection.Range{From: 14, To: 29, Before: 4, After: 5}
	p.Limits[selection.Sat].Range = selection.Range{From: 0.18, To: 0.84, Before: 0.06, After: 0.1}
	p.Limits[selection.Light].Range = selection.Range{From: 0.38, To: 0.66, Before: 0.06, After: 0.04}
	if m == selection.LCh {
		p.Limits[selection.Sat].Range = selection.Range{From: 12, To: 48, Before: 4, After: 6}
		p.Limits[selection.Light].Range = selection.Range{From: 40, To: 75, Before: 5, After: 5}
	}
	return p
}

// demandLawful checks what every pick a drag may give must keep.
func demandLawful(t *testing.T, p selection.Pick) {
	t.Helper()
	const little = 1e-6
	for c, l := range p.Limits {
		require.GreaterOrEqual(t, l.Before, 0.0, "fade before of %d", c)
		require.GreaterOrEqual(t, l.After, 0.0, "fade after of %d", c)
		require.LessOrEqual(t, l.From, l.To, "ends of %d", c)
		if selection.Channel(c) == selection.Hue {
			require.GreaterOrEqual(t, l.From, 0.0)
			require.Less(t, l.From, 360.0)
			require.LessOrEqual(t, l.To-l.From, 360+little)
			require.LessOrEqual(t, l.Before+(l.To-l.From)+l.After, 360+little)
			continue
		}
		require.GreaterOrEqual(t, l.From, 0.0)
		require.LessOrEqual(t, l.To, selection.Channel(c).FullScale(p.Model))
	}
}

func anyPart(r *rand.Rand) part {
	return part{partKind(r.IntN(4)), selection.Channel(r.IntN(3)), end(r.IntN(4)), end(1 + r.IntN(2))}
}

func TestRandomDragsKeepTheLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for _, m := range []selection.Model{selection.HSL, selection.LCh} {
		p := skin(m)
		for range 20000 {
			g := anyPart(r)
			if g.kind == aCorner {
				g.end = end(1 + r.IntN(2))
			}
			var delta selection.Point
			for c := range delta {
				delta[c] = r.NormFloat64() * selection.Channel(c).FullScale(m) / 4
			}
			if r.IntN(200) == 0 {
				p = skin(m)
			}
			p = dragged(p, g, delta)
			demandLawful(t, p)
		}
	}
}

func TestMovedLine(t *testing.T) {
	for _, tt := range []struct {
		name  string
		c     selection.Channel
		e     end
		start selection.Range
		delta float64
		want  selection.Range
	}{
		{"a solid line takes its fade along", selection.Sat, from, selection.Range{From: 0.2, To: 0.5, Before: 0.1}, 0.1, selection.Range{From: 0.3, To: 0.5, Before: 0.1}},
		{"it stops at the other", selection.Sat, from, selection.Range{From: 0.2, To: 0.5, Before: 0.1}, 0.9, selection.Range{From: 0.5, To: 0.5, Before: 0.1}},
		{"and at the scale's end", selection.Sat, to, selection.Range{From: 0.2, To: 0.5, After: 0.1}, 0.9, selection.Range{From: 0.2, To: 1, After: 0.1}},
		{"a fade stops at its solid line", selection.Light, fadeBefore, selection.Range{From: 0.2, To: 0.5, Before: 0.1}, 0.5, selection.Range{From: 0.2, To: 0.5}},
		{"a fade widens", selection.Light, fadeAfter, selection.Range{From: 0.2, To: 0.5}, 0.05, selection.Range{From: 0.2, To: 0.5, After: 0.05}},
		{"a fade beyond the scale may stay there", selection.Sat, fadeBefore, selection.Range{From: 0.02, To: 0.5, Before: 0.1}, -0.5, selection.Range{From: 0.02, To: 0.5, Before: 0.1}},
		{"an end beyond the scale may come back", selection.Sat, to, selection.Range{From: 0.2, To: 1.5}, -0.7, selection.Range{From: 0.2, To: 0.8}},
		{"hue crosses 0", selection.Hue, from, selection.Range{From: 10, To: 40, Before: 3}, -20, selection.Range{From: 350, To: 400, Before: 3}},
		{"hue's to crosses 0", selection.Hue, to, selection.Range{From: 340, To: 355, After: 3}, 15, selection.Range{From: 340, To: 370, After: 3}},
		{"ends given in different turns", selection.Hue, to, selection.Range{From: 340, To: 10, After: 3}, 5, selection.Range{From: 340, To: 375, After: 3}},
		{"hue stops where from meets to", selection.Hue, from, selection.Range{From: 10, To: 40}, 90, selection.Range{From: 40, To: 40}},
		{"fades give way to a wide hue range", selection.Hue, to, selection.Range{From: 0, To: 300, Before: 20, After: 30}, 30, selection.Range{From: 0, To: 330, Before: 0, After: 30}},
		{"and are gone in the full circle", selection.Hue, to, selection.Range{From: 0, To: 300, Before: 20, After: 30}, 90, selection.Range{From: 0, To: 360}},
		{"a hue fade has the room that is left", selection.Hue, fadeAfter, selection.Range{From: 0, To: 300, Before: 20}, 90, selection.Range{From: 0, To: 300, Before: 20, After: 40}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := skin(selection.HSL)
			p.Limits[tt.c].Range = tt.start
			got := movedLine(p, tt.c, tt.e, tt.delta).Limits[tt.c].Range
			assert.InDelta(t, tt.want.From, got.From, 1e-9)
			assert.InDelta(t, tt.want.To, got.To, 1e-9)
			assert.InDelta(t, tt.want.Before, got.Before, 1e-9)
			assert.InDelta(t, tt.want.After, got.After, 1e-9)
		})
	}
}

func TestMiddleKeepsWidths(t *testing.T) {
	p := skin(selection.HSL)
	got := dragged(p, part{kind: aMiddle}, selection.Point{-30, 0.5, 0.3})
	assert.InDelta(t, 344, got.Limits[selection.Hue].From, 1e-9)
	assert.InDelta(t, 359, got.Limits[selection.Hue].To, 1e-9)
	assert.InDelta(t, 0.34, got.Limits[selection.Sat].From, 1e-9) // stopped by its upper end
	assert.Equal(t, 1.0, got.Limits[selection.Sat].To)
	assert.Equal(t, p.Limits[selection.Light], got.Limits[selection.Light])

	p.Limits[selection.Hue].Off = true
	got = dragged(p, part{kind: aMiddle}, selection.Point{-30, 0.05, 0})
	assert.Equal(t, p.Limits[selection.Hue], got.Limits[selection.Hue], "off: left alone")
	assert.InDelta(t, 0.23, got.Limits[selection.Sat].From, 1e-9)
}

// What a fit gave to many digits stays, as long as it is not moved itself.
func TestNothingElseIsRounded(t *testing.T) {
	p := skin(selection.HSL)
	p.Limits[selection.Hue].Range = selection.Range{From: 350.12345, To: 372.98765, Before: 1.23456, After: 4.56789}
	p.Limits[selection.Sat].Range = selection.Range{From: 0.12345, To: 0.54321, Before: 0.01234, After: 0.04321}
	for _, g := range []part{{kind: aCorner, end: to, level: to}, {kind: aMiddle}, {kind: aLine, channel: selection.Sat, end: from}} {
		assert.Equal(t, p, dragged(p, g, selection.Point{}))
		want := p.Limits[selection.Sat]
		assert.Equal(t, want, dragged(p, g, selection.Point{5, 0, 0}).Limits[selection.Sat])
	}
	got := movedLine(p, selection.Hue, to, 2).Limits[selection.Hue]
	assert.InDelta(t, 350.12345, got.From, 1e-9)
	assert.InDelta(t, 1.23456, got.Before, 1e-9)
	assert.InDelta(t, 375, got.From+got.Span(), 1e-9)
}

func TestCornerMovesTwoLines(t *testing.T) {
	got := dragged(skin(selection.HSL), part{kind: aCorner, end: to, level: from}, selection.Point{6, -0.1, 0.5})
	want := skin(selection.HSL)
	want.Limits[selection.Hue].To = 35
	want.Limits[selection.Sat].From = 0.08
	assert.Equal(t, want, got)
}
