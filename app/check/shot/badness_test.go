package shot

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

// Rousseeuw & Croux 1993.
func TestRobustStatistics(t *testing.T) {
	for _, r := range testdata.Table(t, "robust_statistics.csv") {
		var values []float64
		for _, v := range strings.Fields(r.Text("of")) {
			number, err := strconv.ParseFloat(v, 64)
			require.NoError(t, err)
			values = append(values, number)
		}
		want, got := r.Number("value"), normal
		if len(values) > 0 {
			middle, mad := spread(values)
			got = map[string]float64{"median": middle, "mad": mad, "sigma": mad * normal}[r.Text("quantity")]
		}
		assert.InEpsilon(t, want, got, 1e-11, "%v", r)
	}
}

// clipOf returns frames from 1 on, each as make gives it.
func clipOf(n int, make func(n int) Frame) []Judged {
	all := []Judged{}
	for i := range n {
		f := make(i + 1)
		f.Number, f.width = i+1, 1280
		all = append(all, Judged{Frame: f})
	}
	compare(all)
	return all
}

// sumsAt is what lies in a mask of 256 x 128 px that was moved: two blobs across and one
// down.
func sumsAt(right, down float64) maskSums {
	s := maskSums{mask: 3, size: [2]float64{256, 128}}
	bump := func(k, at, wide float64) float64 { return math.Exp(-sq((k - at) / wide)) }
	for k := range intervals {
		x, y := float64(k)+right/4, float64(k)+down/2
		s.sums[0][k] = float32(30*bump(x, 30, 6) + 20*bump(x, 62, 9))
		s.sums[1][k] = float32(50 * bump(y, 45, 12))
	}
	return s
}

// The badness of the worked example's 35: (35 - 7) / (1.4826 x 2.5), in hundredths
// of flicker.
func TestBadnessIsARobustZScore(t *testing.T) {
	values := []float64{2, 4, 7, 3, 7, 35, 8, 9}
	all := clipOf(len(values), func(n int) Frame { return Frame{Flicker: pointer(values[n-1] / 100)} })
	assert.InDelta(t, 28/3.70650554626, all[5].Badness, 1e-9)
	assert.InDelta(t, 2/3.70650554626, all[7].Badness, 1e-9)
	assert.Zero(t, all[0].Badness, "less than the median is not bad")
}

// On a clip that hardly changes, what hardly differs does not stand out.
func TestSteadyClipHasNoBadness(t *testing.T) {
	all := clipOf(30, func(n int) Frame {
		f := Frame{Flicker: pointer(0.01), Band: pointer(0.02), Cut: pointer(0), Change: pointer(0.001), Dropped: pointer(0.05), maskSums: []maskSums{sumsAt(0, 0)}}
		f.Area = 0.1
		if n == 17 {
			*f.Flicker, *f.Band, *f.Cut, *f.Change, *f.Dropped, f.maskSums[0], f.Specks = 0.015, 0.025, 1, 0.01, 0.06, sumsAt(2, -2), 2
		}
		return f
	})
	assert.Less(t, all[16].Badness, 1.5)
	for _, f := range worstOf(all, map[int]string{3: `"legs"`}, 10) {
		assert.False(t, f.StandsOut())
	}
}

// Each trait makes a frame the worst, and is said in words.
func TestFindingsInWords(t *testing.T) {
	for want, spoil := range map[string]func(f *Frame){
		"flickers: the matte changes by 0.08 where the picture does not":                                     func(f *Frame) { f.Flicker = pointer(0.08) },
		"leaks: a mask's edge cuts through the matte, 0.31 of it in the mask's feather":                      func(f *Frame) { f.Band = pointer(0.31) },
		"is cut: a mask's edge cuts through the matte over 44 px":                                            func(f *Frame) { f.Cut = pointer(44) },
		`sits off: mask "legs" lies 31 px to the right of its usual place around what is picked`:             func(f *Frame) { f.maskSums[0] = sumsAt(31, 4) },
		`sits off: mask "legs" lies 20 px to the left and 12 px up of its usual place around what is picked`: func(f *Frame) { f.maskSums[0] = sumsAt(-20, -12) },
		"leaks: 25 % of the matte lies on colours that the dabs drop":                                        func(f *Frame) { f.Dropped = pointer(0.25) },
		"jumps: the area changes by 48 % from frame 19 to 20":                                                func(f *Frame) { f.Change = pointer(0.48) },
		"is ragged: 1 speck and 41 holes":                                                                    func(f *Frame) { f.Specks, f.Holes = 1, 41 },
		"the matte vanishes: area 2.4 % of the frame, its neighbours 10.0 %":                                 func(f *Frame) { f.Area = 0.024 },
		"the matte swells: area 21.0 % of the frame, its neighbours 10.0 %":                                  func(f *Frame) { f.Area = 0.21 },
		"cannot be judged: clip: f.0020.png is cut short":                                                    func(f *Frame) { *f = Frame{Err: fmt.Errorf("clip: f.0020.png is cut short")} },
	} {
		all := clipOf(40, func(n int) Frame {
			f := Frame{Flicker: pointer(0.01), Band: pointer(0.02), Cut: pointer(0), Change: pointer(0.001), Dropped: pointer(0.05), maskSums: []maskSums{sumsAt(0, 0)}}
			f.Area = 0.1
			if n == 20 {
				spoil(&f)
			}
			return f
		})
		found := worstOf(all, map[int]string{3: `"legs"`}, 10)
		require.NotEmpty(t, found, want)
		assert.Equal(t, 20, found[0].Frame)
		assert.Equal(t, want, found[0].Sentence)
		assert.True(t, found[0].StandsOut())
	}
}

// Area must fall under a quarter of the neighbours' median, or rise over twice it.
func TestVanishesAndDoubles(t *testing.T) {
	withAreas := func(values map[int]float64) []Judged {
		return clipOf(60, func(n int) (f Frame) {
			f.Area = 0.2
			if v, ok := values[n]; ok {
				f.Area = v
			}
			return f
		})
	}
	s := summary(withAreas(map[int]float64{7: 0.049, 20: 0.051, 30: 0.401, 40: 0.399, 50: 0}))
	assert.Equal(t, []int{7, 50}, s.Vanishes)
	assert.Equal(t, []int{30}, s.Doubles)
	// What grows slowly, to ten times, does neither.
	s = summary(clipOf(60, func(n int) (f Frame) { f.Area = 0.05 * (1 + float64(n)/6); return f }))
	assert.Empty(t, s.Vanishes)
	assert.Empty(t, s.Doubles)
	// An empty matte neither, nor three frames alone.
	s = summary(clipOf(60, func(n int) (f Frame) { f.Area = 1e-6 * float64(n%5); return f }))
	assert.Empty(t, s.Vanishes)
	assert.Empty(t, s.Doubles)
	s = summary(clipOf(3, func(n int) (f Frame) { f.Area = float64(n) / 4; return f }))
	assert.Empty(t, s.Doubles)
}

// What comes and goes at an end of a thing inside a mask does not move the mask.
func TestShiftIsOfTheWhole(t *testing.T) {
	all := clipOf(21, func(n int) Frame {
		f := Frame{maskSums: []maskSums{sumsAt(0, 0)}}
		switch n {
		case 7: // a part of the thing is lost
			clear(f.maskSums[0].sums[0][50:])
		case 14:
			f.maskSums[0] = sumsAt(0, 33)
		}
		return f
	})
	assert.Less(t, all[6].Badness, 1.)
	assert.InDelta(t, 0, all[6].Shifts[0].Right, 1)
	assert.InDelta(t, 33, all[13].Shifts[0].Down, 0.5)
	assert.InDelta(t, 33/(normal*1280./640), all[13].Badness, 0.2, "on a steady clip 2 px of 1280 are as much as nothing")
}

// A trouble of many frames is told once, at the mask's key if that is nearly as bad;
// another beside it as well.
func TestOneTroubleIsToldOnce(t *testing.T) {
	all := clipOf(60, func(n int) Frame {
		f := Frame{Cut: pointer(0), Flicker: pointer(0.01)}
		*f.Cut += 60 * max(0, 1-float64(abs(n-31))/10)
		*f.Cut += 40 * max(0, 1-float64(abs(n-50))/5)
		return f
	})
	all[29].keys, all[51].keys = []int{3}, []int{3}
	found := worstOf(all, map[int]string{3: `"legs"`}, 10)
	require.Len(t, found, 2)
	assert.Equal(t, []int{30, 50}, []int{found[0].Frame, found[1].Frame}, "frame 30 has 0.9 of the badness, frame 52 0.6")
}
