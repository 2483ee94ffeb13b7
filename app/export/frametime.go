package export

import (
	"encoding/json"
	"fmt"
	"math"
	"strconv"
)

// frameTime returns when a frame is shown, in seconds and as a timecode, counted
// as its number is: frame 0 at 0. held is what a movie says of it, which holds
// where it says so: at a variable rate no timecode tells that. A still has
// neither.
func frameTime(frame int, rate [2]int, held float64, isHeld bool) (seconds json.Number, timecode string) {
	hasRate := rate[0] > 0 && rate[1] > 0
	var at float64
	if hasRate {
		at = float64(frame) * float64(rate[1]) / float64(rate[0])
		if !isHeld || 2*math.Abs(held-at)*float64(rate[0]) < float64(rate[1]) {
			timecode = Timecode(frame, rate)
		}
	}
	switch {
	case isHeld:
		return secondsText(held), timecode
	case hasRate:
		return secondsText(at), timecode
	}
	return "", ""
}

func secondsText(s float64) json.Number { return json.Number(strconv.FormatFloat(s, 'f', 6, 64)) }

// Timecode writes a frame's number as hours:minutes:seconds:frames, without
// leaving numbers out (SMPTE ST 12-1, non-drop-frame): a second counts as many
// frames as the rate's next whole number. Where that is not the rate itself, as at
// 30000/1001, it runs slower than the clock. Hours begin anew after 24.
func Timecode(frame int, rate [2]int) string {
	per := max((rate[0]+rate[1]/2)/rate[1], 1)
	s := frame / per
	return fmt.Sprintf("%02d:%02d:%02d:%0*d", s/3600%24, s/60%60, s%60, max(2, len(strconv.Itoa(per-1))), frame%per)
}
