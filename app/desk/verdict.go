package desk

import (
	"fmt"

	"halocline/app/desk/watch"
	"halocline/selection"
)

// TruthAdvice says what to do about a matte, by the shares of the true area that it
// misses and has too much.
func TruthAdvice(missed, extra float64) string {
	switch {
	case missed < 0.05 && extra < 0.05:
		return "Little is left to gain: stop here."
	case extra > 1.5*missed:
		return "More extra than missed: drop dabs, or a keep mask."
	case missed > 1.5*extra:
		return "More missed than extra: keep dabs, or wider ranges."
	}
	return "About as much missed as extra."
}

// VerdictOf says in a sentence how well colour tells the dabs apart, and what to do.
// masked: the matte has masks; stale: the pick needs a look (Desk.Stale).
func VerdictOf(p *selection.Separation, masked, stale bool) (sentence, advice string) {
	tells, could := 100*p.Pick.Tells().Value, 100*p.Pick.Could.Value
	switch {
	case stale:
		return "Base changed since the dabs: look at Pick", "Suggest from dabs works the ranges out again."
	case could < 90 && !masked:
		return "Colour alone cannot do it: draw a keep mask", fmt.Sprintf("It tells %.0f of 100 pairs of pixels apart.", tells)
	case could < 90:
		return fmt.Sprintf("Tells %.0f of 100 apart; the mask does the rest", tells), "Look at the mask's edge, where colour has no say."
	case tells < could:
		return fmt.Sprintf("Tells %.0f of 100 apart as set; could tell %.0f", tells, could), "Suggest from dabs shows the ranges that do."
	}
	return fmt.Sprintf("Colour tells %.0f of 100 pairs of pixels apart", tells), "Still wrong somewhere? Dab there."
}

// Hundred is an estimate as a figure of 100.
func Hundred(e selection.Estimate) string { return fmt.Sprintf("%.0f", 100*e.Value) }

// AboveChance is how far a bar reaches for an estimate: 0 for chance, 1 for perfect.
func AboveChance(e selection.Estimate) float64 { return max(0, 2*e.Value-1) }

// Flagged is how many of the worst frames are named and have flags.
const Flagged = 3

// ClipWords says how a matte stands over the clip; bad is how many frames stand out.
func ClipWords(v watch.Verdict, bad int) string {
	switch {
	case v.Of == 0 || len(v.Judged) == 0:
		return "The clip is not judged yet"
	case bad == 0 && v.Left == 0:
		return "No frame stands out"
	case bad == 0:
		return "No frame stands out so far"
	}
	return "Worst frames"
}
