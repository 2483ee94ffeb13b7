package study

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The rates of SMPTE ST 12-1, annexes (from memory), as people write them.
func TestParseRate(t *testing.T) {
	for text, want := range map[string][2]int{
		"25": {25, 1}, " 24 ": {24, 1}, "25.0": {25, 1}, "12.5": {25, 2}, "50/2": {25, 1}, "1000": {1000, 1},
		"23.976": {24000, 1001}, "23.98": {24000, 1001}, "29.97": {30000, 1001}, "30000/1001": {30000, 1001},
		"47.952": {48000, 1001}, "59.94": {60000, 1001}, "119.88": {120000, 1001}, "0.5": {1, 2},
	} {
		got, err := ParseRate(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
		back, err := ParseRate(RateText(got))
		require.NoError(t, err, text)
		assert.Equal(t, got, back, text)
	}
	for _, text := range []string{"", "0", "-25", "1001", "x", "25/0", "0/25", "NaN", "Inf", "1e9", "1/2/3", "99999999999/1"} {
		_, err := ParseRate(text)
		assert.ErrorContains(t, err, "want frames a second over 0 and at most 1000, such as 25, 29.97 or 30000/1001", text)
	}
	assert.Equal(t, "23.976", RateText([2]int{24000, 1001}))
	assert.Equal(t, "29.97", RateText([2]int{30000, 1001}))
	assert.Equal(t, "7/3", RateText([2]int{7, 3}))
	assert.Empty(t, RateText([2]int{}))
}
