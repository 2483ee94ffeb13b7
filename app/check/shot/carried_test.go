package shot

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/mask"
)

func TestMeanChange(t *testing.T) {
	plane := func(pix ...float32) colour.Plane { return colour.Plane{W: len(pix), H: 1, Pix: pix} }
	assert.InDelta(t, 0.5, *meanChange(plane(0, 1, 0.5, 0), plane(0, 0, 0.5, 0.5)), 1e-6, "of the three where there is any")
	assert.Nil(t, meanChange(plane(0, 0), plane(0, 0)))
}

// A square that moves with its picture hardly changes when it is carried; where it flickers, the
// carried change tells, though the picture moves all over.
func TestCarriedChange(t *testing.T) {
	r := &reel{w: 200, h: 120, left: func(n int) int { return 40 + 3*n }, sigma: 0.01}
	s := r.shot(t, 4, nil)
	for _, f := range judgedFrames(t, s) {
		assert.Nil(t, f.CarriedChange, "it is not asked for")
	}
	plain := s.Key(2)
	s.Carry = true
	assert.NotEqual(t, plain, s.Key(2))
	still := judgedFrames(t, s)
	assert.Nil(t, still[1].CarriedChange, "there is no frame before")
	s.Settings.Edge.Grow.SetKey(2, 0, mask.Step)
	s.Settings.Edge.Grow.SetKey(3, 2, mask.Step)
	s.Settings.Edge.Grow.SetKey(4, 0, mask.Step)
	grown := judgedFrames(t, s)
	for n := 2; n <= 4; n++ {
		require.NotNil(t, still[n].CarriedChange)
		assert.Less(t, *still[n].CarriedChange, 0.1, "frame %d", n)
	}
	assert.InDelta(t, *still[2].CarriedChange, *grown[2].CarriedChange, 1e-9)
	assert.Greater(t, *grown[3].CarriedChange, *still[3].CarriedChange+0.05, "8 of 100 pixels more")
	assert.Greater(t, *grown[4].CarriedChange, *still[4].CarriedChange+0.05)

	s.Settings.Edge.Settle.Fix(1)
	settled := judgedFrames(t, s)
	assert.Less(t, *settled[3].CarriedChange, *grown[3].CarriedChange-0.03)
	assert.Equal(t, image.Rectangle{}, (&pass{Shot: s}).region([]int{3}), "what settles may lie anywhere")
	line := new(Timeline)
	line.Update(s)
	for _, f := range settled {
		line.Add(f)
	}
	assert.Equal(t, 3, line.Summary().CarriedChange.Frames)
}

// The part of a frame that is looked at says the same as the whole.
func TestCarriedChangeOfAPart(t *testing.T) {
	r := &reel{w: 200, h: 120, left: func(n int) int { return 40 + 2*n }, sigma: 0.01}
	wide, tight := r.shot(t, 3, map[int][]mask.Point{1: rectangle(0, 0, 200, 120)}), r.shot(t, 3, map[int][]mask.Point{1: rectangle(30, 20, 125, 100)})
	wide.Carry, tight.Carry = true, true
	all, part := judgedFrames(t, wide), judgedFrames(t, tight)
	for n := 2; n <= 3; n++ {
		assert.InDelta(t, *all[n].CarriedChange, *part[n].CarriedChange, 1e-6)
	}
}
