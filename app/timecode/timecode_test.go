package timecode

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	ntsc30 = Rate{30000, 1001}
	ntsc60 = Rate{60000, 1001}
	ntsc24 = Rate{24000, 1001}
)

// SMPTE ST 12-1:2014, 5.2.2: the first two numbers of each minute are left out,
// except in minutes 0, 10, 20, 30, 40 and 50; ten minutes have 17,982 frames. The
// pairs of neighbours follow from that rule.
func TestDropFrameLeavesOutNumbersByTheStandard(t *testing.T) {
	const minute, ten = 1800, 17982
	for _, tt := range []struct {
		frame int
		want  string
	}{
		{0, "00:00:00;00"},
		{minute - 1, "00:00:59;29"},
		{minute, "00:01:00;02"},
		{minute + 1798 - 1, "00:01:59;29"},
		{minute + 1798, "00:02:00;02"},
		{ten - 1, "00:09:59;29"},
		{ten, "00:10:00;00"},
		{ten + minute, "00:11:00;02"},
		{6 * ten, "01:00:00;00"},
		{6*Day*ten - 1, "23:59:59;29"},
		{6 * Day * ten, "00:00:00;00"},
		{-1, "23:59:59;29"},
	} {
		assert.Equal(t, tt.want, Text(tt.frame, ntsc30, true), "%d", tt.frame)
	}
}

// At 60/1.001 the same rule applies to pairs of frames: four numbers are left out.
func TestDropFrameOfDoubleRate(t *testing.T) {
	assert.Equal(t, "00:00:59;59", Text(3599, ntsc60, true))
	assert.Equal(t, "00:01:00;04", Text(3600, ntsc60, true))
	assert.Equal(t, "00:10:00;00", Text(2*17982, ntsc60, true))
	assert.Equal(t, "01:00:00;00", Text(12*17982, ntsc60, true))
}

func TestNonDropCountsEveryNumber(t *testing.T) {
	for _, tt := range []struct {
		frame int
		rate  Rate
		want  string
	}{
		{1800, ntsc30, "00:01:00:00"},
		{24, ntsc24, "00:00:01:00"},
		{25*3600 + 26, Rate{25, 1}, "01:00:01:01"},
		{50*86400 + 3, Rate{50, 1}, "00:00:00:03"},
		{7, Rate{15, 2}, "00:00:00:07"},
	} {
		assert.Equal(t, tt.want, Text(tt.frame, tt.rate, false))
	}
	assert.Equal(t, "00:01:00:00", Text(1440, ntsc24, true), "drop-frame is defined for 30 and 60 alone")
	assert.Equal(t, "00:01:00:00", Text(1800, Rate{30, 1}, true))
}

// After an hour drop-frame stands where the clock does, non-drop 3.6 seconds
// behind.
func TestDropFrameKeepsUpWithTheClock(t *testing.T) {
	hour := int(3600 * ntsc30.Float())
	assert.Equal(t, "01:00:00;00", Text(hour, ntsc30, true))
	assert.Equal(t, "00:59:56:12", Text(hour, ntsc30, false))
}

func TestWhoCanDrop(t *testing.T) {
	for r, want := range map[Rate]bool{ntsc30: true, ntsc60: true, ntsc24: false, {30, 1}: false, {25, 1}: false, {2997, 100}: true, {0, 0}: false, {100, 3}: false} {
		assert.Equal(t, want, r.CanDrop(), "%v", r)
	}
}

// Every timecode of a Day leads back to its frame.
func TestTimecodeIsReadBack(t *testing.T) {
	for _, r := range []Rate{ntsc30, ntsc60, ntsc24, {25, 1}} {
		for _, drop := range []bool{false, true} {
			whole := 3600 * Day * r.Counted()
			if drop && r.CanDrop() {
				whole = 6 * Day * 17982 * r.Counted() / 30
			}
			for n := 0; n < whole; n += 1 + n%97 {
				text := Text(n, r, drop)
				got, err := Parse(text, r)
				require.NoError(t, err, text)
				require.Equal(t, n, got, "%s", text)
			}
		}
	}
}

func TestParseTime(t *testing.T) {
	for text, want := range map[string]int{"41": 41, " 7 ": 7, "12:07": 307, "1:00:00": 1500, "01:00:00:00": 90000, "-3": -3} {
		got, err := Parse(text, Rate{25, 1})
		require.NoError(t, err, text)
		assert.Equal(t, want, got, text)
	}
	for _, text := range []string{"", "x", "1:2:3:4:5", "0:61:0:0", "0:25", "-1:2", "24:0:0:0", "::", "99999999999"} {
		_, err := Parse(text, Rate{25, 1})
		assert.Error(t, err, "%q", text)
	}
	_, err := Parse("00:01:00;01", ntsc30)
	assert.ErrorContains(t, err, "drop-frame has none below 02")
	_, err = Parse("1:00", Rate{})
	assert.ErrorContains(t, err, "rate is not known")
}

func TestTextOfManyNumbersASecond(t *testing.T) {
	for rate, want := range map[Rate]string{{25, 1}: "01:00:00:07", {50, 1}: "00:30:00:07", {120, 1}: "00:12:30:007"} {
		assert.Equal(t, want, Text(90007, rate, false), "%v", rate)
	}
}
