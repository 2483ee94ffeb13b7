package timeline

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/timecode"
)

var (
	ntsc30 = Rate{Num: 30000, Den: 1001}
	ntsc60 = Rate{Num: 60000, Den: 1001}
	ntsc24 = Rate{Num: 24000, Den: 1001}
)

func TestSpanAndPixelsAreInverse(t *testing.T) {
	s := span{10, 82, 120, 1100}
	assert.Equal(t, 120.0, s.x(10))
	assert.Equal(t, 1100.0, s.x(82))
	for _, x := range []float64{0, 120, 333.3, 2000} {
		assert.InDelta(t, x, s.x(s.frameAt(x)), 1e-9)
	}
}

func TestZoomKeepsTheFrameUnderThePointer(t *testing.T) {
	s := span{0, 1000, 100, 1100}
	for _, x := range []float64{100, 420, 1100} {
		for _, times := range []float64{0.3, 0.9, 1} {
			z := s.zoomed(x, times).within(0, 1000)
			assert.InDelta(t, s.frameAt(x), z.frameAt(x), 1e-9)
			assert.InDelta(t, times*1000, z.hi-z.lo, 1e-9)
		}
	}
	out := s.zoomed(500, 40).within(0, 1000)
	assert.Equal(t, s, out, "no farther than the clip")
	in := s.zoomed(500, 1e-6).within(0, 1000)
	assert.InDelta(t, leastSpan, in.hi-in.lo, 1e-9)
	few := span{0, 2, 0, 100}.within(0, 2)
	assert.Equal(t, span{0, 2, 0, 100}, few, "a clip shorter than that is shown whole")
	one := span{5, 5, 0, 100}.within(5, 5)
	assert.Equal(t, 1.0, one.hi-one.lo)
}

func TestShowingMovesNoMoreThanNeeded(t *testing.T) {
	s := span{10, 20, 0, 100}
	assert.Equal(t, s, s.showing(15))
	assert.Equal(t, span{20, 30, 0, 100}, s.showing(30))
	assert.Equal(t, span{3, 13, 0, 100}, s.showing(3))
}

// Labels never run into each other, whatever the zoom, and name their frames.
func TestTicks(t *testing.T) {
	for _, r := range []Rate{{Num: 25, Den: 1}, ntsc30, ntsc60, ntsc24, {Num: 12, Den: 1}} {
		for _, u := range []Units{Frames, NonDrop, DropFrame} {
			for width := 6.0; width < 300_000; width *= 1.7 {
				for _, lo := range []float64{0, 17.3, 1790, 107_000, -40} {
					s := span{lo, lo + width, 120, 1400}
					all := ticks(s, u, r, 1)
					require.Less(t, len(all), 700)
					last, gap := math.Inf(-1), map[bool]float64{true: frameGap, false: timeGap - 1.1*s.perFrame()*float64(r.Counted()/15)}[u == Frames]
					before := math.Inf(-1)
					for _, k := range all {
						require.Greater(t, float64(k.frame), before)
						before = float64(k.frame)
						if k.text == "" {
							continue
						}
						if u != Frames {
							require.Equal(t, timecode.Text(k.frame, r, u == DropFrame), k.text)
						}
						x := s.x(float64(k.frame))
						require.GreaterOrEqual(t, x-last, gap-1e-6, "%v %v %v", r, u, width)
						last = x
					}
				}
			}
		}
	}
}

func TestTimecodeTicksStandOnRoundNumbers(t *testing.T) {
	var texts []string
	for _, k := range ticks(span{1790, 5400, 0, 500}, DropFrame, ntsc30, 1) {
		texts = append(texts, k.text)
	}
	assert.Equal(t, []string{"00:01:00;02", "00:01:30;00", "00:02:00;02", "00:02:30;00", "00:03:00;02"}, texts)
}

func TestIntervalsAreRound(t *testing.T) {
	for v, want := range map[float64]int{0.2: 1, 1: 1, 1.1: 2, 3: 5, 6: 10, 11: 20, 49: 50, 501: 1000} {
		assert.Equal(t, want, roundInterval(v), "%v", v)
	}
	for v, want := range map[float64]int{0.5: 1, 3: 5, 6: 25, 26: 50, 24 * 60: 25 * 60, 1e6: 25 * 3600 * 12} {
		assert.Equal(t, want, timeInterval(v, 25), "%v", v)
	}
}

func TestFramesOfAClipWithGaps(t *testing.T) {
	c := Clip{Frames: []int{1, 2, 3, 10, 11}}
	for at, want := range map[float64]int{-5: 1, 2.4: 2, 2.6: 3, 6: 3, 6.6: 10, 99: 11} {
		assert.Equal(t, want, c.nearest(at), "%v", at)
	}
	assert.Equal(t, 10, c.beside(3, 1))
	assert.Equal(t, 3, c.beside(10, -1))
	assert.Equal(t, 10, c.beside(5, 1), "from inside the gap")
	assert.Equal(t, 3, c.beside(5, -1))
	assert.Equal(t, 11, c.beside(3, 100))
	n := 0
	c.gaps(func(before, after int) {
		n++
		assert.Equal(t, [2]int{3, 10}, [2]int{before, after})
	})
	assert.Equal(t, 1, n)
}
