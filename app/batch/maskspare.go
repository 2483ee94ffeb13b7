package batch

import (
	"context"
	"fmt"
	"math"

	"halocline/app/clip"
	"halocline/app/spare"
	"halocline/app/study"
)

// What --spare does about keys that can go.
const (
	spareShow   = "show"
	spareRemove = "remove"
)

// A spareReport is a key that can go, and how far the outline moves without it, in pixels.
type spareReport struct {
	Frame int     `json:"frame"`
	Mean  float64 `json:"meanPixels"`
	Worst float64 `json:"worstPartPixels"`
}

// spareKeys finds the keys of a mask that can go, and takes them away where that is asked for.
func (f *maskFlags) spareKeys(ctx context.Context, w opened, m *study.Matte, to *study.Mask) (found []spareReport, notice string, err error) {
	if err := w.Study.Validate(); err != nil {
		return nil, "", err
	}
	if !to.Follows() {
		return nil, "", fmt.Errorf("batch: mask %q does not follow the picture anywhere, want one that does with --spare (--way follow)", to.Name)
	}
	keys, err := spare.Find(ctx, w.Renderer, w.Study, m.ID, to.ID, func(int, int) {})
	if err != nil {
		return nil, "", err
	}
	found = []spareReport{}
	var frames []int
	var mean, worst float64
	for _, k := range keys {
		found = append(found, spareReport{k.Frame, inHundredths(k.Mean), inHundredths(k.Worst)})
		frames = append(frames, k.Frame)
		mean, worst = max(mean, k.Mean), max(worst, k.Worst)
		if f.spare == spareRemove {
			to.RemoveKey(k.Frame)
		}
	}
	if len(keys) == 0 {
		return found, fmt.Sprintf("mask %q: no key can go", to.Name), nil
	}
	what := "can go"
	if f.spare == spareRemove {
		what = "were taken away"
	}
	return found, fmt.Sprintf("mask %q: of its keys those on %s %s: without them the outline moves by %.1f px at most in the mean, %.1f px in its worst part",
		to.Name, clip.FramesWord(clip.SpansOf(frames)), what, mean, worst), nil
}

func inHundredths(v float64) float64 { return math.Round(100*v) / 100 }
