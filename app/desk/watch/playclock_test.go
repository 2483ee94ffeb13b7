package watch

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// played are the frames that are due at each 20 ms of a second and a half.
func played(c *playClock) (all []int) {
	for ms := 0; ms <= 1500; ms += 20 {
		f := c.frame(c.tick(c.start.Add(time.Duration(ms) * time.Millisecond)))
		if len(all) == 0 || all[len(all)-1] != f {
			all = append(all, f)
		}
	}
	return all
}

func TestPlayClock(t *testing.T) {
	frames := []int{1, 2, 3, 4, 8, 9, 10} // 5 to 7 are not there
	whole := [2]int{1, 10}
	for _, tt := range []struct {
		name       string
		ends       [2]int
		at         int
		rate       [2]int
		back, loop bool
		want       []int
	}{
		{"to the end", whole, 3, [2]int{10, 1}, false, false, []int{3, 4, 8, 9, 10}},
		{"from the end: from the beginning", whole, 10, [2]int{10, 1}, false, false, frames},
		{"from outside the part", [2]int{2, 4}, 9, [2]int{10, 1}, false, false, []int{2, 3, 4}},
		{"ends in a gap", [2]int{3, 6}, 3, [2]int{10, 1}, false, false, []int{3, 4}},
		{"round", [2]int{2, 4}, 3, [2]int{4, 1}, false, true, []int{3, 4, 2, 3, 4, 2, 3}},
		{"backward", whole, 4, [2]int{10, 1}, true, false, []int{4, 3, 2, 1}},
		{"backward round", [2]int{8, 10}, 8, [2]int{4, 1}, true, true, []int{10, 9, 8, 10, 9, 8, 10}},
		{"from the beginning backward: from the end", whole, 1, [2]int{10, 1}, true, false, []int{10, 9, 8, 4, 3, 2, 1}},
		{"no rate", whole, 1, [2]int{}, false, false, frames},
		{"one frame", [2]int{3, 3}, 3, [2]int{25, 1}, false, true, []int{3}},
	} {
		c := NewPlayClock(frames, tt.ends, tt.at, tt.rate, tt.back, tt.loop, time.Unix(1000, 0))
		assert.Equal(t, tt.want, played(c), tt.name)
	}
}

// After an hour at 30000/1001 the clock has shown as many frames as the rate
// says, to the frame, and a frame is due when its turn comes.
func TestPlayClockKeepsToTheRate(t *testing.T) {
	all := make([]int, 200_000)
	for i := range all {
		all[i] = i
	}
	c := NewPlayClock(all, [2]int{0, len(all) - 1}, 0, [2]int{30000, 1001}, false, false, time.Unix(0, 0))
	assert.Equal(t, 107892, c.frame(c.tick(time.Unix(3600, 0))), "3600 s x 30000/1001 = 107892.1")
	for _, n := range []int{0, 1, 29, 30, 107_892} {
		assert.Equal(t, n, c.tick(c.due(n)), "%d", n)
		assert.Equal(t, max(n-1, 0), c.tick(c.due(n).Add(-time.Millisecond)))
	}
	last, ends := c.last()
	assert.True(t, ends)
	assert.Equal(t, len(all)-1, last)
}
