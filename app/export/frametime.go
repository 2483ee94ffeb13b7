package export

import (
	"encoding/json"
	"math"
	"strconv"

	"halocline/app/timecode"
)

// frameTime returns when a frame is shown, in seconds and as a timecode, counted
// as its number is: frame 0 at 0. stated is what a movie says of it, which
// counts where it says so: at a variable rate no timecode tells that. A still has
// neither.
func frameTime(frame int, rate [2]int, stated float64, isStated bool) (seconds json.Number, code string) {
	hasRate := rate[0] > 0 && rate[1] > 0
	var at float64
	if hasRate {
		at = float64(frame) * float64(rate[1]) / float64(rate[0])
		if !isStated || 2*math.Abs(stated-at)*float64(rate[0]) < float64(rate[1]) {
			code = timecode.Text(frame, timecode.Rate{Num: rate[0], Den: rate[1]}, false)
		}
	}
	switch {
	case isStated:
		return secondsText(stated), code
	case hasRate:
		return secondsText(at), code
	}
	return "", ""
}

func secondsText(s float64) json.Number { return json.Number(strconv.FormatFloat(s, 'f', 6, 64)) }
