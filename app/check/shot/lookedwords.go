package shot

import (
	"fmt"
	"halocline/app/study"
	"math"
)

// sinceLooked says how a frame differs from one that was looked at.
func (j *Judged) sinceLooked(trait int) string {
	than := j.against[trait]
	before := than.frame <= j.Number
	switch trait {
	case byColours:
		by := distance(coloursOf(j), than.values)
		if before {
			return fmt.Sprintf("the colours in the matte have drifted since frame %d, by %.1f (CIELAB)", than.frame, by)
		}
		return fmt.Sprintf("the colours in the matte are others than on frame %d, by %.1f (CIELAB)", than.frame, by)
	case byArea:
		return fmt.Sprintf("the matte has %s: area %s of the frame, %s on frame %d", moreOr(j.Area > math.Exp(than.values[0]), "grown", "shrunk"), study.AreaWords(j.Area, true), study.AreaWords(math.Exp(than.values[0]), true), than.frame)
	case byFilled:
		return fmt.Sprintf("the pick keeps %s of its masks than on frame %d: %s of them, %s there", moreOr(*j.Filled > than.values[0], "more", "less"), than.frame, percent(*j.Filled), percent(than.values[0]))
	case byWidth:
		return fmt.Sprintf("the edge is %s than on frame %d: %.1f px, %.1f there", moreOr(j.EdgeWidth > than.values[0], "softer", "harder"), than.frame, j.EdgeWidth, than.values[0])
	}
	return fmt.Sprintf("bites: deep inside its masks %s is kept, %s on frame %d", percent(*j.Core), percent(than.values[0]), than.frame)
}

func moreOr(is bool, more, less string) string {
	if is {
		return more
	}
	return less
}
