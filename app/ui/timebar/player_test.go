package timebar

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

func TestPaceCountsTheLastSecond(t *testing.T) {
	var p pace
	begun := time.Now()
	at := func(ms int) time.Time { return begun.Add(time.Duration(ms) * time.Millisecond) }
	for i := range 10 {
		assert.Equal(t, i+1, p.add(at(100*i), false))
	}
	assert.Equal(t, 10, p.add(at(1000), false), "the first is a second old")
	assert.Equal(t, 1, p.add(at(5000), false))
}

// That pictures were slowed is said for a while after the last of them.
func TestPaceInWords(t *testing.T) {
	var p pace
	begun := time.Now()
	assert.Equal(t, "playing, 1 pictures a second of 29.97", p.words(begun, false, 30000.0/1001))
	slowed := "slowed: it would flash more than three times a second (playing, 2 pictures a second of 25)"
	assert.Equal(t, slowed, p.words(begun.Add(time.Millisecond), true, 25))
	assert.Contains(t, p.words(begun.Add(slowedWords), false, 25), "slowed")
	assert.NotContains(t, p.words(begun.Add(slowedWords+time.Millisecond), false, 25), "slowed")
}
