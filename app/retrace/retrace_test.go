package retrace

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/mask/edge"
	"halocline/selection"
)

// box is a rectangle's outline, with what is inside to the right of the way along it.
func box(x0, y0, x1, y1 float64) []mask.Point {
	return []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// hole is a rectangle's outline the other way about.
func hole(x0, y0, x1, y1 float64) []mask.Point {
	return []mask.Point{{X: x0, Y: y0}, {X: x0, Y: y1}, {X: x1, Y: y1}, {X: x1, Y: y0}}
}

// newMask is a study with a matte of one mask, which searches and has keys on frames.
func newMask(kind study.Kind, frames ...int) (*study.Study, *study.Matte, *study.Mask) {
	s := new(study.Study)
	m := s.AddMatte("skin", selection.HSL)
	t := s.AddMask(m, "limb", kind, study.MaskKey{Frame: frames[0], Points: box(0, 0, 300, 300), Inner: 1, Outer: 2, Opacity: 1})
	t.Search = 24
	for _, f := range frames[1:] {
		k := t.Keys[0]
		k.Frame = f
		t.SetKey(k)
	}
	return s, m, t
}

// twoAndAHole is an edge with a large part that has a hole, a further part and a speck.
func twoAndAHole() *edge.Found {
	return &edge.Found{Contours: [][]mask.Point{box(10, 10, 200, 200), box(220, 20, 280, 80), hole(50, 50, 80, 90), box(250, 250, 254, 254)}}
}

func TestPartsAndHolesAreDrawn(t *testing.T) {
	s, m, to := newMask(study.Keep, 5)
	taken, err := Take(context.Background(), s, m, to.ID, 5, twoAndAHole())
	require.NoError(t, err)
	assert.Equal(t, &Taken{Mask: "limb", Frame: 5, Drawn: []Drawn{{study.Keep, "limb 2"}, {study.Drop, "hole 1"}}, Small: Small{Parts: 1}}, taken)
	assert.Equal(t, []string{"1 part of less than 100 pixels was left out"}, taken.Notices())
	require.Len(t, m.Masks, 3)
	assert.ElementsMatch(t, box(10, 10, 200, 200), m.Masks[0].Keys[0].Points)
	assert.ElementsMatch(t, box(220, 20, 280, 80), m.Masks[1].Keys[0].Points)
	assert.ElementsMatch(t, box(50, 50, 80, 90), m.Masks[2].Keys[0].Points)
	for i, feather := range [][2]float64{{1, 2}, {1, 2}, {2, 1}} {
		k := m.Masks[i].Keys[0]
		assert.Equal(t, feather, [2]float64{k.Inner, k.Outer}, "a hole fades the other way")
		assert.True(t, k.Tight)
		assert.Equal(t, 24.0, m.Masks[i].Search)
		assert.True(t, m.Masks[i].Works(99))
	}
}

// Holes are counted by themselves, past names that are there.
func TestHolesAreNamed(t *testing.T) {
	s, m, to := newMask(study.Keep, 5)
	s.AddMask(m, "Hole 1", study.Drop, study.MaskKey{Points: box(0, 0, 9, 9), Opacity: 1})
	found := &edge.Found{Contours: [][]mask.Point{box(0, 0, 200, 200), hole(20, 20, 60, 60), hole(100, 100, 160, 140)}}
	taken, err := Take(context.Background(), s, m, to.ID, 5, found)
	require.NoError(t, err)
	assert.Equal(t, []Drawn{{study.Drop, "hole 2"}, {study.Drop, "hole 3"}}, taken.Drawn)
	assert.Empty(t, taken.Notices())
}

func TestWhatWasLeftOutInWords(t *testing.T) {
	for want, s := range map[string]Small{
		"": {}, "1 part of less than 100 px was left out": {Parts: 1},
		"3 parts of less than 100 px were left out":            {Parts: 3},
		"1 hole of less than 100 px was left out":              {Holes: 1},
		"2 parts and 1 hole of less than 100 px were left out": {Parts: 2, Holes: 1},
	} {
		assert.Equal(t, want, s.Words("px"))
	}
}

// Beside keys at other frames, parts and holes work on the frame alone, and that is said.
func TestPartsBesideOtherKeys(t *testing.T) {
	s, m, to := newMask(study.Keep, 5, 9)
	taken, err := Take(context.Background(), s, m, to.ID, 5, twoAndAHole())
	require.NoError(t, err)
	assert.Equal(t, []string{
		`keep mask "limb 2" works on frame 5 alone: mask "limb" has keys at other frames`,
		`drop mask "hole 1" works on frame 5 alone: mask "limb" has keys at other frames`,
		"1 part of less than 100 pixels was left out",
	}, taken.Notices())
	for _, k := range m.Masks[1:] {
		assert.Equal(t, []bool{false, true, false}, []bool{k.Works(4), k.Works(5), k.Works(6)})
	}
}

// What a drop mask leaves out, and a part that lies in a hole, stay as they are.
func TestHolesThatStayFilled(t *testing.T) {
	s, m, to := newMask(study.Drop, 5)
	taken, err := Take(context.Background(), s, m, to.ID, 5, twoAndAHole())
	require.NoError(t, err)
	assert.Equal(t, []Filled{{1200, taken.Filled[0].At, "a mask cannot keep what a drop mask leaves out"}}, taken.Filled)
	assert.Equal(t, []Drawn{{study.Drop, "limb 2"}}, taken.Drawn)

	s, m, to = newMask(study.Keep, 5)
	island := &edge.Found{Contours: [][]mask.Point{box(0, 0, 200, 200), hole(20, 20, 180, 180), box(60, 60, 120, 120)}}
	taken, err = Take(context.Background(), s, m, to.ID, 5, island)
	require.NoError(t, err)
	require.Len(t, taken.Filled, 1)
	assert.Contains(t, taken.Notices()[0], "a hole of 25600 pixels near 20,20 stays filled: a drop mask there would take away the part that lies in it")
	assert.Equal(t, []Drawn{{study.Keep, "limb 2"}}, taken.Drawn)
}

func TestWhatStandsInTheWay(t *testing.T) {
	for _, c := range []struct {
		change func(t *study.Mask)
		found  *edge.Found
		says   string
	}{
		{func(t *study.Mask) { t.Search = 0 }, twoAndAHole(), `mask "limb" searches no edge, want an edge search above 0 px`},
		{func(t *study.Mask) { t.Off = true }, twoAndAHole(), `mask "limb" is switched off, want it on`},
		{func(t *study.Mask) { t.Out = study.Bound{Set: true, Frame: 4} }, twoAndAHole(), `mask "limb" does not work on frame 5, want a frame on which it does`},
		{func(t *study.Mask) { t.Rounded = true }, twoAndAHole(), `mask "limb" is rounded and has keys at other frames, whose curves would change, want straight sides`},
		{func(*study.Mask) {}, &edge.Found{Lost: true}, `mask "limb" has no edge that could be found at frame 5 and stays as drawn, want an outline about what has one`},
	} {
		s, m, to := newMask(study.Keep, 5, 9)
		c.change(to)
		before := to.Clone()
		_, err := Take(context.Background(), s, m, to.ID, 5, c.found)
		var refused *Refusal
		require.ErrorAs(t, err, &refused)
		assert.EqualError(t, err, c.says)
		assert.Equal(t, before, m.Masks[0].Track)
	}
	s, m, _ := newMask(study.Keep, 5)
	_, err := Take(context.Background(), s, m, 99, 5, twoAndAHole())
	assert.ErrorContains(t, err, `matte "skin" has no mask with id 99`)
}

// On a followed frame a key is made whatever the other keys are like, and without edge search.
func TestAKeyAsItWasFollowed(t *testing.T) {
	s, m, to := newMask(study.Keep, 5, 9)
	to.Keys[0].Way, to.Rounded, to.Search = mask.Follow, true, 0
	before := to.Clone()
	require.Nil(t, Check(to, 7))
	require.NotNil(t, Check(to, 5), "on a key there is nothing to be found")
	taken, err := Take(context.Background(), s, m, to.ID, 7, twoAndAHole())
	require.NoError(t, err)
	assert.True(t, taken.Here)
	require.Len(t, m.Masks[0].Keys, 3)
	assert.Equal(t, []study.MaskKey{before.Keys[0], before.Keys[1]}, []study.MaskKey{m.Masks[0].Keys[0], m.Masks[0].Keys[2]})
	made := m.Masks[0].Keys[1]
	assert.True(t, made.Tight)
	assert.Equal(t, mask.Follow, made.Way)
	assert.Subset(t, made.Points, box(10, 10, 200, 200))
}
