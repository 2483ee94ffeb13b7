package study

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

func TestTrackEditing(t *testing.T) {
	n := Constant(3)
	n.Set(10, 4)
	assert.Equal(t, Constant(4), n)
	n.SetKey(10, 5, mask.Curved)
	assert.Equal(t, []Key[float64]{{10, 5, mask.Curved}}, n.Keys)
	assert.Zero(t, n.Value)
	n.Set(20, 6)
	n.Set(5, 1)
	n.Set(20, 7)
	assert.Equal(t, []Key[float64]{{5, 1, mask.Curved}, {10, 5, mask.Curved}, {20, 7, mask.Curved}}, n.Keys)
	n.RemoveKey(11)
	n.RemoveKey(10)
	n.RemoveKey(5)
	assert.Len(t, n.Keys, 1)
	n.RemoveKey(20)
	assert.Equal(t, Constant(7), n)
}

func TestKeysMoveAndAreCopied(t *testing.T) {
	keys := func() (n Number) {
		n.SetKey(10, 1, mask.Step)
		n.SetKey(20, 3, mask.Straight)
		n.SetKey(30, 7, mask.Curved)
		return n
	}
	for name, tt := range map[string]struct {
		change func(n *Number) bool
		found  bool
		want   []Key[float64]
	}{
		"between others":   {func(n *Number) bool { return n.MoveKey(10, 25) }, true, []Key[float64]{{20, 3, mask.Straight}, {25, 1, mask.Step}, {30, 7, mask.Curved}}},
		"onto another":     {func(n *Number) bool { return n.MoveKey(10, 30) }, true, []Key[float64]{{20, 3, mask.Straight}, {30, 1, mask.Step}}},
		"onto itself":      {func(n *Number) bool { return n.MoveKey(20, 20) }, true, keys().Keys},
		"none to move":     {func(n *Number) bool { return n.MoveKey(11, 25) }, false, keys().Keys},
		"a copy":           {func(n *Number) bool { return n.CopyKey(30, 5) }, true, []Key[float64]{{5, 7, mask.Curved}, {10, 1, mask.Step}, {20, 3, mask.Straight}, {30, 7, mask.Curved}}},
		"a copy onto":      {func(n *Number) bool { return n.CopyKey(30, 10) }, true, []Key[float64]{{10, 7, mask.Curved}, {20, 3, mask.Straight}, {30, 7, mask.Curved}}},
		"none to copy":     {func(n *Number) bool { return n.CopyKey(31, 10) }, false, keys().Keys},
		"way":              {func(n *Number) bool { return n.SetWay(20, mask.Curved) }, true, []Key[float64]{{10, 1, mask.Step}, {20, 3, mask.Curved}, {30, 7, mask.Curved}}},
		"no key for a way": {func(n *Number) bool { return n.SetWay(21, mask.Curved) }, false, keys().Keys},
		"one more":         {func(n *Number) bool { n.AddKey(15, 9); return true }, true, []Key[float64]{{10, 1, mask.Step}, {15, 9, mask.Step}, {20, 3, mask.Straight}, {30, 7, mask.Curved}}},
	} {
		n := keys()
		assert.Equal(t, tt.found, tt.change(&n), name)
		assert.Equal(t, tt.want, n.Keys, name)
		assert.Zero(t, n.Value, name)
	}
	lone := Constant(4)
	lone.AddKey(10, 4)
	assert.True(t, lone.MoveKey(10, 12))
	assert.Equal(t, Number{Track[float64]{Keys: []Key[float64]{{12, 4, mask.Straight}}}}, lone)
}

func TestNumberAt(t *testing.T) {
	var n Number
	n.SetKey(10, 1, mask.Step)
	n.SetKey(20, 3, mask.Straight)
	n.SetKey(30, 7, mask.Curved)
	for frame, want := range map[int]float64{-4: 1, 10: 1, 19: 1, 20: 3, 25: 5, 30: 7, 1000: 7} {
		assert.Equal(t, want, n.At(frame), "frame %d", frame)
	}
}

// A hue range travels by its middle along the shortest arc.
func TestHueTravelsTheShortWay(t *testing.T) {
	var s Soft
	s.SetKey(0, selection.Range{From: 340, To: 0, Before: 4, After: 10}, mask.Straight) // middle 350, span 20
	s.SetKey(10, selection.Range{From: 355, To: 35, Before: 8}, mask.Straight)          // middle 15, span 40
	got := s.HueAt(4)
	assert.InDelta(t, 0, float64(colour.Degrees(0).ArcTo(colour.Degrees(got.From+got.Span()/2))), 1e-9, "the middle")
	assert.InDelta(t, 28, got.Span(), 1e-9)
	assert.InDelta(t, 346, got.From, 1e-9)
	assert.InDelta(t, 5.6, got.Before, 1e-9)
	assert.InDelta(t, 6, got.After, 1e-9)
	assert.Equal(t, 1.0, got.HueWeight(0))
	assert.Zero(t, got.HueWeight(180))
	assert.Equal(t, selection.Range{From: 340, To: 0, Before: 4, After: 10}, s.HueAt(0), "a key is met to the bit")
}

// Whatever the keys, a range in between is one: ends in order, no negative
// fade, on the hue circle the middle never more than the keys' arc away.
func TestRangesBetweenKeysAreRanges(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 500 {
		var s Soft
		for range 2 + r.IntN(4) {
			from := r.Float64()*1080 - 360
			s.SetKey(r.IntN(60), selection.Range{From: from, To: from + r.Float64()*360, Before: r.ExpFloat64(), After: r.ExpFloat64()}, mask.Way(r.IntN(3)))
		}
		for frame := range 60 {
			for _, got := range []selection.Range{s.At(frame), s.HueAt(frame)} {
				require.LessOrEqual(t, got.From, got.To)
				require.GreaterOrEqual(t, got.Before, 0.0)
				require.GreaterOrEqual(t, got.After, 0.0)
			}
			require.LessOrEqual(t, s.HueAt(frame).Span(), 360.0)
		}
	}
}

func TestMaskOverTime(t *testing.T) {
	m := Mask{Kind: Keep, Track: mask.Track{Rounded: true}}
	a, b := square(10, 0, 0, 10), square(20, 100, 50, 10)
	a.Opacity, b.Inner, b.Outer = 0.5, 4, 13
	m.SetKey(b)
	m.SetKey(a)
	require.Len(t, m.Keys, 2)
	got := m.At(13)
	assert.True(t, got.Rounded)
	for i, p := range got.Points {
		assert.InDelta(t, a.Points[i].X+30, p.X, 1e-12)
		assert.InDelta(t, a.Points[i].Y+15, p.Y, 1e-12)
	}
	assert.InDelta(t, 0.65, got.Opacity, 1e-12)
	assert.InDelta(t, 2.6, got.Inner, 1e-12)
	assert.InDelta(t, 6, got.Outer, 1e-12)
	assert.Equal(t, a.Points, m.At(-3).Points)
	assert.Equal(t, b.Points, m.At(20).Points)
	m.RemoveKey(10)
	m.RemoveKey(20)
	assert.Len(t, m.Keys, 1, "a mask keeps its last key")
}

// A keep mask that does not work on a frame counts as empty, a drop mask as
// absent.
func TestMasksThatDoNotWork(t *testing.T) {
	keep := Mask{Kind: Keep, Track: mask.Track{In: Bound{Set: true, Frame: 5}, Out: Bound{Set: true, Frame: 8}, Keys: []MaskKey{square(5, 0, 0, 4)}}}
	drop := keep
	drop.Kind = Drop
	set := Settings{Masks: []Mask{keep, drop}}
	for frame, want := range map[int]int{4: 1, 5: 2, 8: 2, 9: 1} {
		got := set.At(frame).Masks
		assert.Len(t, got, want, "frame %d", frame)
		assert.False(t, got[0].Drop)
		assert.Equal(t, want == 1, got[0].Off)
	}
	set.Masks[0].Off, set.Masks[1].Off = true, true
	assert.Equal(t, []mask.Layer{{Off: true}}, set.At(6).Masks)
}

func TestStartKeys(t *testing.T) {
	n := Constant(2)
	n.StartKeys(5)
	n.Set(9, 4)
	n.StartKeys(7)
	assert.Equal(t, Track[float64]{Keys: []Key[float64]{{5, 2, mask.Straight}, {9, 4, mask.Straight}}}, n.Track)
}

func TestSettingsTables(t *testing.T) {
	base, set := NewBase(), NewSettings(selection.HSL)
	all := append(append(base.Settings(), set.Edge.Settings()...), set.Trial.Settings()...)
	names := map[string]bool{}
	for _, s := range all {
		assert.False(t, names[s.Name], s.Name)
		names[s.Name] = true
		assert.True(t, s.Min <= s.Neutral && s.Neutral <= s.Max, s.Name)
		assert.Equal(t, Constant(s.Neutral), *s.Track, s.Name)
		assert.False(t, math.IsNaN(s.Min+s.Max))
	}
	assert.Len(t, names, 13+7+10)
	assert.Equal(t, "gain red", base.Settings()[0].Label)
	assert.Equal(t, colour.Neutral(), base.At(7))
	assert.Equal(t, selection.Edge{Despeckle: 12, About: 0.5}, set.Edge.At(3))
}

// Every setting's bounds are within what the correction itself takes.
func TestBaseAtItsBoundsIsUsable(t *testing.T) {
	for _, pick := range []func(Setting) float64{func(s Setting) float64 { return s.Min }, func(s Setting) float64 { return s.Max }} {
		b := NewBase()
		b.Water = "9c"
		for _, s := range b.Settings() {
			s.Track.Fix(pick(s))
		}
		assert.NoError(t, b.At(1).Check())
		assert.InDelta(t, 0.5978, b.At(1).Beta[0], 1e-4, "-ln 0.55, see colour.WaterType")
	}
}
