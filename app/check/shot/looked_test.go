package shot

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
)

// lookedClip is a clip of 60 frames, of which some were dabbed and some have a mask's key.
func lookedClip(dabbed, keyed []int, make func(n int) Frame) []Judged {
	all := clipOf(60, make)
	for i := range all {
		all[i].Badness, all[i].deviations = 0, [traits]float64{}
	}
	for _, n := range dabbed {
		all[n-1].dabbed = true
	}
	for _, n := range keyed {
		all[n-1].keys = []int{3}
	}
	compare(all)
	return all
}

// A slide over most of a clip stands out from the frame that was dabbed, though the clip's median
// slides with it; by how much is (change - 0) / (1.4826 x the least that counts).
func TestASlideStandsOutFromWhatWasLookedAt(t *testing.T) {
	slide := func(n int) float64 { return max(0, float64(n-20)) / 40 }
	for want, spoil := range map[string]func(f *Frame, by float64){
		"the colours in the matte have drifted since frame 12, by 12.0 (CIELAB)":        func(f *Frame, by float64) { f.Colours = &Colours{Mean: [3]float64{60 - 12*by, 5, 9}, Spread: 4} },
		"the pick keeps less of its masks than on frame 12: 30 % of them, 70 % there":   func(f *Frame, by float64) { f.Filled = pointer(0.7 - 0.4*by) },
		"the pick keeps more of its masks than on frame 12: 90 % of them, 70 % there":   func(f *Frame, by float64) { f.Filled = pointer(0.7 + 0.2*by) },
		"the edge is softer than on frame 12: 7.0 px, 2.0 there":                        func(f *Frame, by float64) { f.Contour, f.EdgeWidth = 100, 2+5*by },
		"bites: deep inside its masks 50 % is kept, 98 % on frame 12":                   func(f *Frame, by float64) { f.Core = pointer(0.98 - 0.48*by) },
		"leaks: 25 % of the matte lies on colours that the dabs drop":                   func(f *Frame, by float64) { f.Dropped = pointer(0.05 + 0.2*by) },
		"leaks: a mask's edge cuts through the matte, 0.30 of it in the mask's feather": func(f *Frame, by float64) { f.Band = pointer(0.1 + 0.2*by) },
	} {
		all := lookedClip([]int{12}, nil, func(n int) (f Frame) {
			f.Area = 0.1
			spoil(&f, slide(n))
			return f
		})
		for _, j := range all[:20] {
			assert.Zero(t, j.Badness, want)
		}
		found := worstOf(all, nil, 10)
		require.Len(t, found, 1, "it is told once: %s", want)
		assert.Equal(t, 60, found[0].Frame, "where it is worst")
		assert.True(t, found[0].StandsOut())
		assert.Equal(t, want, found[0].Sentence)
	}
}

// Less of what is told as too much, and more of what is told as lost, is no fault.
func TestWhatIsBetterThanLookedAtIsNoFault(t *testing.T) {
	all := lookedClip([]int{1}, nil, func(n int) (f Frame) {
		by := float64(n) / 60
		f.Core, f.Dropped, f.Band = pointer(0.7+0.3*by), pointer(0.3-0.3*by), pointer(0.2-0.2*by)
		return f
	})
	last := all[59]
	assert.Zero(t, last.deviations[byCore])
	assert.Zero(t, last.deviations[byDropped])
	assert.Zero(t, last.deviations[byBand])
}

// Between two frames that were looked at a figure lies on the line from one to the other, and at
// such a frame nothing stands out from it. Areas are also as they are at keys.
func TestBetweenFramesThatWereLookedAt(t *testing.T) {
	area := func(n int) float64 { return 0.02 * math.Exp(float64(n)/20) } // a share of itself more on each frame
	keyed := lookedClip([]int{1}, []int{20, 40, 60}, func(n int) (f Frame) { f.Area = area(n); return f })
	dabbed := lookedClip([]int{1}, nil, func(n int) (f Frame) { f.Area = area(n); return f })
	for i := range keyed {
		assert.Less(t, keyed[i].deviations[byArea], standsOut)
	}
	assert.Zero(t, keyed[39].deviations[byArea])
	assert.Greater(t, dabbed[39].deviations[byArea], standsOut)
	found := worstOf(dabbed, nil, 1)
	assert.Equal(t, "the matte has grown: area 40.2 % of the frame, 2.1 % on frame 1", found[0].Sentence)
}

// Where nothing was looked at nothing stands out from it.
func TestNothingWasLookedAt(t *testing.T) {
	for _, j := range lookedClip(nil, []int{3}, func(n int) (f Frame) { f.Filled = pointer(float64(n) / 60); return f }) {
		assert.Zero(t, j.deviations[byFilled])
	}
}

// A mask that sits off again and again, as about legs that walk, is told once.
func TestAMaskThatSitsOffIsToldOnce(t *testing.T) {
	all := clipOf(60, func(n int) Frame {
		right := 0.
		if n%10 == 5 {
			right = 30
		}
		return Frame{maskSums: []maskSums{sumsAt(right, 0)}}
	})
	found := worstOf(all, map[int]string{3: `"legs"`}, 10)
	require.Len(t, found, 1)
	assert.True(t, found[0].StandsOut())
	assert.Equal(t, "shift", found[0].Trouble)
}

// Figures from before an edit stand out from nothing, and nothing from them.
func TestStaleFramesStandOutFromNothing(t *testing.T) {
	r := &reel{w: 160, h: 100, left: standing}
	s := r.shot(t, 6, map[int][]mask.Point{1: rectangle(40, 20, 125, 98)})
	var line Timeline
	require.NoError(t, s.Each(t.Context(), line.Update(s), func(f Frame) {
		if f.Number == 3 {
			f.Err = errBroken
		}
		line.Add(f)
	}))
	require.Equal(t, "unjudged", line.Worst(1)[0].Trouble)
	s.Settings.Edge.Grow.Fix(2)
	require.Len(t, line.Update(s), 6)
	assert.Empty(t, line.Worst(10))
	for _, j := range line.Judged() {
		assert.True(t, j.Stale)
		assert.Zero(t, j.Badness)
	}
}
