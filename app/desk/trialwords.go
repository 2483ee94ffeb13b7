package desk

import (
	"fmt"
	"math"
	"strings"

	"halocline/app/study"
	"halocline/colour"
)

// ReadControls is what the four controls show of a grade.
func ReadControls(d colour.CDL, pivot float64) (k colour.CDLControls, leftover bool) {
	k, leftover = d.Controls(pivot)
	return k.Rounded(), leftover
}

// trialSummary says what a trial does.
func trialSummary(t study.TrialAt, pivot float64) (string, State) {
	text, st := joined(gradeWords(t.CDL(), pivot), "unchanged")
	if t.Off && st == Active {
		return "off: " + text, Neutral
	}
	return text, st
}

// gradeWords says what a grade does: by the controls, and by numbers what they
// cannot say.
func gradeWords(d colour.CDL, pivot float64) (parts []string) {
	add := func(v, neutral float64, more, less string) {
		switch off := v - neutral; {
		case off >= 0.005:
			parts = append(parts, fmt.Sprintf("%s %+.2f", more, off))
		case off <= -0.005:
			parts = append(parts, fmt.Sprintf("%s %+.2f", less, -off))
		}
	}
	k, leftover := ReadControls(d, pivot)
	add(k.Lightness, 0, "lighter", "darker")
	add(k.BlueOrange, 0, "orange", "blue")
	add(k.GreenMagenta, 0, "magenta", "green")
	if math.Abs(k.Contrast-1) >= 0.005 {
		parts = append(parts, "contrast "+Trim(k.Contrast, 2))
	}
	if math.Abs(d.Saturation-1) >= 0.005 {
		parts = append(parts, "saturation "+Trim(d.Saturation, 2))
	}
	if leftover {
		parts = append(parts, leftOver(d)...)
	}
	if len(parts) == 0 && !d.IsNeutral() {
		parts = append(parts, "slightly graded")
	}
	return parts
}

// leftOver names what a grade has that the four controls cannot say.
func leftOver(d colour.CDL) (parts []string) {
	if d.Offset != [3]float64{} {
		parts = append(parts, "offsets")
	}
	if d.Power[0] != d.Power[1] || d.Power[1] != d.Power[2] {
		parts = append(parts, "powers that differ")
	}
	for _, v := range d.Slope {
		if v == 0 {
			return append(parts, "a slope of 0")
		}
	}
	return parts
}

// LeftOverText is leftOver as a sentence; "" where nothing is left over.
func LeftOverText(d colour.CDL, pivot float64) string {
	if _, leftover := ReadControls(d, pivot); !leftover {
		return ""
	}
	return "left over: " + strings.Join(leftOver(d), ", ")
}
