package timeline

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// followedLane goes straight to frame 20, follows the picture to frame 40 and after frame 60.
func followedLane() Lane {
	return Lane{ID: 3, Name: "arm", After: true, Keys: []Key{{Frame: 0}, {Frame: 20, Way: Follow}, {Frame: 40}, {Frame: 60}},
		Sure: []Sure{{Frame: 22, Value: 1}, {Frame: 24, Value: 0.65}, {Frame: 26, Value: 0.31, Low: true}, {Frame: 50, Value: 1}}}
}

func TestWhereALaneFollows(t *testing.T) {
	l := followedLane()
	for frame, want := range map[int]bool{0: false, 10: false, 20: false, 21: true, 39: true, 40: false, 50: false, 60: false, 61: true} {
		assert.Equal(t, want, l.follows(frame), "frame %d", frame)
	}
	l.Before, l.Keys = true, l.Keys[1:]
	assert.True(t, l.follows(3))
	assert.False(t, (&Lane{Before: true, After: true}).follows(3), "it has no keys")
}

func TestALaneSaysHowSureItIs(t *testing.T) {
	a, _ := newArea(t)
	a.SetLanes([]Lane{followedLane()})
	on := part{kind: aLane, lane: 0}
	assert.Equal(t, "24: follows, 65 % sure", a.words(on, 24))
	assert.Equal(t, "30: follows the picture, not found yet", a.words(on, 30))
	assert.Empty(t, a.words(on, 50), "it does not follow there")
	sure := 0.479
	a.SetNotes(Notes{Notes: []Note{{Frame: 24, Area: 0.1, Sure: &sure}, {Frame: 25, Area: 0.1}}})
	assert.Equal(t, "24: area 10.0 %, 47 % sure", a.words(part{kind: theStrip}, 24))
	assert.Equal(t, "25: area 10.0 %", a.words(part{kind: theStrip}, 25))
}

// The line has a look of its own where nothing is known of the outline; else it is the
// thinner the less sure that is, and broken where it may be wrong.
func TestTheLineOfAFollowedStretch(t *testing.T) {
	a, _ := newArea(t)
	l := followedLane()
	a.SetLanes([]Lane{l})
	a.setSpan(span{lo: 18, hi: 42, x1: 1})
	p := a.plan()
	r := p.lane(0)
	require.Len(t, lanePaths(&l, p.span, r, 1), 2, "up to the stretch, and after it to the last key")
	a.compose(&p)
	// lit is how much light a column of the lane has along the line, beyond its ground.
	lit := func(frame float64) (sum int) {
		x := int(p.span.x(frame))
		for y := int(r.y0) + 7; y < int(r.y1)-2; y++ {
			if c := int(a.spare.RGBAAt(x, y).R) - int(laneWorks.R); c > 8 {
				sum += c
			}
		}
		return sum
	}
	// rows are how many separate lines a column has.
	rows := func(frame float64) (n int) {
		x, on := int(p.span.x(frame)), false
		for y := int(r.y0) + 7; y < int(r.y1)-2; y++ {
			now := int(a.spare.RGBAAt(x, y).R)-int(laneWorks.R) > 24
			if now && !on {
				n++
			}
			on = now
		}
		return n
	}
	assert.Equal(t, 2, rows(30), "not known")
	assert.Equal(t, 1, rows(22))
	assert.Greater(t, lit(22), lit(24))
	dark, light := 0, 0
	for f := 25.6; f < 26.4; f += 0.02 {
		if lit(f) == 0 {
			dark++
		} else {
			light++
		}
	}
	assert.Positive(t, dark, "it is broken")
	assert.Positive(t, light)
	for f := 23.6; f < 24.4; f += 0.02 {
		assert.Positive(t, lit(f), "frame %.2f", f)
	}
}
