package export

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestPace(t *testing.T) {
	start := time.Date(2026, 3, 12, 10, 0, 0, 0, time.UTC)
	p := Pace{Start: start}
	at := func(seconds int, s Progress) (float64, bool) {
		left, ok := p.Left(start.Add(time.Duration(seconds)*time.Second), s)
		return left.Seconds(), ok
	}
	_, ok := at(1, Progress{Done: 1, Total: 10, Left: true})
	assert.False(t, ok, "nothing was written yet")
	left, ok := at(3, Progress{Done: 2, Total: 10})
	assert.True(t, ok)
	assert.Equal(t, 24., left, "3 s for one, 8 to go")
	left, _ = at(4, Progress{Done: 3, Total: 10})
	assert.Equal(t, 14., left, "4 s for two, 7 to go")
	left, _ = at(20, Progress{Done: 10, Total: 10})
	assert.Zero(t, left)
}
