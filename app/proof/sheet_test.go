package proof

import (
	"context"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// A hard upright edge that is softened by a Gaussian of sigma s has alpha between 0.1
// and 0.9 over 2 x 1.28155 s (the 0.9 quantile of the normal distribution), which
// whole pixels give to within one; the area stays half of the frame.
func TestFiguresOfASoftenedEdge(t *testing.T) {
	film := &wall{w: 400, h: 100, left: 200}
	sheet, r := sheetOn(t, film, 1)
	swept(t, sheet, "soften=0:12:4")
	all := judged(t, sheet, r, new(Cache))
	for i, it := range sheet.Items {
		f := all[i]
		require.True(t, f.Whole)
		assert.Equal(t, 1, f.Frames)
		assert.InDelta(t, 0.5, *f.Area, 1e-3)
		assert.InDelta(t, 2*1.28155*it.Value, *f.EdgeWidth, 1.01, it.Name)
		assert.Zero(t, *f.Specks)
		assert.Zero(t, *f.Holes)
		assert.Nil(t, f.Flicker, "a still has none")
		assert.Nil(t, f.Separation, "there are no dabs")
		assert.Nil(t, f.Rim, "there is no trial")
		assert.NotNil(t, f.EdgeMismatch)
	}
	assert.InDelta(t, 0, *all[0].EdgeMismatch, 1e-3, "the picture's edge is as hard")
	assert.True(t, sheet.Items[0].Now)
	for i := range all[1:] {
		assert.Greater(t, *all[i+1].EdgeMismatch, *all[i].EdgeMismatch)
	}
}

// Where the picture's edge is a ramp of a known sigma, a hard matte softened by that
// fits best, with a grade or without; rim falls and bleed rises with softness.
func TestLeastMisfitIsThePicturesOwnSoftness(t *testing.T) {
	for _, sigma := range []float64{2, 4, 6} {
		for _, graded := range []bool{false, true} {
			t.Run(fmt.Sprint(sigma, graded), func(t *testing.T) {
				film := &wall{w: 1920, h: 80, left: 960, sigma: sigma}
				sheet, r := sheetOn(t, film, 1)
				if graded {
					require.NoError(t, sheet.Matte.Trial.SetCDL(1, warm()))
				}
				swept(t, sheet, "soften=0:12:9")
				all := judged(t, sheet, r, new(Cache))
				l, ok := LeastMisfit(sheet.Items, all)
				require.True(t, ok)
				assert.True(t, l.Inside)
				assert.InDelta(t, sigma, l.At, 0.35)
				if !graded {
					return
				}
				for i := range all[1:] {
					assert.LessOrEqual(t, *all[i+1].Rim, *all[i].Rim+1e-6)
					assert.GreaterOrEqual(t, *all[i+1].Bleed, *all[i].Bleed-1e-6)
				}
			})
		}
	}
}

// Half of the drop dab lies in the matte, so that it separates 3/4 of the pairs: half of
// them for sure, the others are ties. Softening breaks them by its place.
func TestSeparationCountsThePairs(t *testing.T) {
	film := &wall{w: 200, h: 60, left: 100}
	sheet, r := sheetOn(t, film, 3)
	doc, m := sheet.Study, sheet.Matte
	doc.AddDab(m, study.Dab{Frame: 3, X: 40, Y: 30, Radius: 8, Kind: study.Keep})
	doc.AddDab(m, study.Dab{Frame: 1, X: 100, Y: 30, Radius: 8, Kind: study.Drop})
	doc.AddDab(m, study.Dab{Frame: 1, X: 500, Y: 30, Radius: 8, Kind: study.Drop}) // beyond the frame
	all := judged(t, sheet, r, new(Cache))
	require.NotNil(t, all[0].Separation)
	assert.InDelta(t, 0.75, *all[0].Separation, 1e-9)
	swept(t, sheet, "soften=2:4:2")
	all = judged(t, sheet, r, new(Cache))
	assert.Greater(t, *all[1].Separation, 0.98)
	sheet.Matte.Dabs = sheet.Matte.Dabs[:1]
	assert.Nil(t, judged(t, sheet, r, new(Cache))[0].Separation, "dabs of one kind have no separation")
}

// What is kept of a matte that is taken away is to be dropped: its dabs count, and each item
// is judged by the same, though it takes in nothing itself.
func TestSeparationIsByTheDabsOfAllThatIsJoined(t *testing.T) {
	film := &wall{w: 200, h: 60, left: 100}
	sheet, r := sheetOn(t, film, 1)
	doc := sheet.Study
	plain := doc.KeepProof(sheet.Matte, "plain").ID
	doc.AddDab(sheet.Matte, study.Dab{Frame: 1, X: 80, Y: 30, Radius: 8, Kind: study.Keep})
	left := doc.AddMatte("left", selection.HSL)
	doc.AddMask(left, "left", study.Keep, study.MaskKey{Points: []mask.Point{{X: 0, Y: 0}, {X: 50, Y: 0}, {X: 50, Y: 60}, {X: 0, Y: 60}}, Opacity: 1})
	doc.AddDab(left, study.Dab{Frame: 1, X: 30, Y: 30, Radius: 8, Kind: study.Keep})
	m := &doc.Mattes[0]
	m.TakeIn(left.ID, study.TakeAway)
	sheet.Matte, sheet.Items = m, Items(m, true, nil)
	require.Len(t, sheet.Items, 2)
	require.Equal(t, plain, m.Proofs[0].ID)
	all := judged(t, sheet, r, new(Cache))
	assert.InDelta(t, 1, *all[0].Separation, 1e-9)
	assert.InDelta(t, 0.5, *all[1].Separation, 1e-9, "the proof keeps both")
}

// A mask over the upper half of the frame ends what is kept along a line of 100 px; the wall's
// own side, 30 px, is the pick's.
func TestTheMaskedEdgeIsAFigure(t *testing.T) {
	film := &wall{w: 200, h: 60, left: 100}
	sheet, r := sheetOn(t, film, 1)
	assert.Nil(t, judged(t, sheet, r, new(Cache))[0].MaskedEdge, "there are no masks")
	upper := []mask.Point{{X: 0, Y: 0}, {X: 200, Y: 0}, {X: 200, Y: 30}, {X: 0, Y: 30}}
	sheet.Study.AddMask(sheet.Matte, "upper", study.Keep, study.MaskKey{Points: upper, Opacity: 1})
	sheet.Items = Items(sheet.Matte, false, nil)
	f := judged(t, sheet, r, new(Cache))[0]
	require.NotNil(t, f.MaskedEdge)
	assert.InDelta(t, 100./130, *f.MaskedEdge, 0.02)
	same, other := f, f
	other.MaskedEdge = value(0.2)
	assert.Equal(t, Comparison{}, Compare(same, other), "neither is better")
}

func TestSpecksAreCounted(t *testing.T) {
	film := &wall{w: 200, h: 80, left: 60, spots: [][2]int{{100, 10}, {130, 40}, {170, 70}}}
	sheet, r := sheetOn(t, film, 1)
	swept(t, sheet, "despeckle=0:20:3")
	all := judged(t, sheet, r, new(Cache))
	assert.Equal(t, 3., *all[0].Specks)
	assert.Zero(t, *all[2].Specks, "of 9 px, below 20")
}

// Figures come frame by frame, in the order of the items, and say so; a second sheet
// that asks for the same finds it all, and another frame is worked out alone.
func TestJudgeTellsFrameByFrameAndOnlyOnce(t *testing.T) {
	film := &wall{w: 120, h: 60, left: 50}
	sheet, r := sheetOn(t, film, 4)
	sheet.Frames = []int{1, 3}
	sheet.Study.AddDab(sheet.Matte, study.Dab{Frame: 2, X: 30, Y: 30, Radius: 5, Kind: study.Keep})
	sheet.Study.AddDab(sheet.Matte, study.Dab{Frame: 2, X: 90, Y: 30, Radius: 5, Kind: study.Drop})
	swept(t, sheet, "grow=-3:3:3")
	var told []string
	cache := new(Cache)
	var first [3]Figures
	require.NoError(t, sheet.Judge(t.Context(), r, cache, func(i int, f Figures) {
		told = append(told, fmt.Sprint(i, f.Frames, f.Judged, f.Whole))
		first[i] = f
	}))
	assert.Equal(t, []string{
		"0 1 false false", "1 1 false false", "2 1 false false", "0 2 true false", "1 2 true false", "2 2 true false", "0 2 true true", "1 2 true true", "2 2 true true",
	}, told)
	assert.Zero(t, *first[0].Flicker, "of frame 3 since frame 2")
	assert.Equal(t, 1., *first[0].Separation)

	before := film.reads.Load()
	_, other := sheetOn(t, film, 4)
	again := judged(t, sheet, other, cache)
	assert.Equal(t, first[:], again)
	assert.Equal(t, before, film.reads.Load(), "nothing is read again")
	sheet.Frames = []int{1, 4}
	judged(t, sheet, other, cache)
	assert.Equal(t, before+2, film.reads.Load(), "frames 3 and 4 are, once")
	sheet.Study.Base.Exposure = study.Constant(0.5)
	judged(t, sheet, other, cache)
	assert.Equal(t, before+4, film.reads.Load(), "the base changes all: frames 1 and 2 are read too")
}

func TestAFrameThatCannotBeReadIsTold(t *testing.T) {
	film := &wall{w: 120, h: 60, left: 50, broken: 2}
	sheet, r := sheetOn(t, film, 3)
	sheet.Frames = []int{1, 2, 3}
	f := judged(t, sheet, r, new(Cache))[0]
	assert.Equal(t, 2, f.Frames)
	assert.ErrorIs(t, f.Err, errBroken)
	assert.ErrorContains(t, f.Err, "proof: frame 2: ")
	assert.NotNil(t, f.Area)
	assert.Nil(t, f.Flicker, "frame 3 has no neighbour")
}

func TestJudgeStops(t *testing.T) {
	sheet, r := sheetOn(t, &wall{w: 120, h: 60, left: 50}, 1)
	swept(t, sheet, "soften=0:12:7")
	ctx, cancel := context.WithCancel(t.Context())
	n := 0
	err := sheet.Judge(ctx, r, new(Cache), func(int, Figures) {
		if n++; n == 2 {
			cancel()
		}
	})
	assert.ErrorIs(t, err, context.Canceled)
	assert.Equal(t, 2, n)
}

// On a proxy lengths stay those of the source.
func TestAProxyJudgesAlike(t *testing.T) {
	film := &wall{w: 960, h: 240, left: 480, sigma: 4}
	sheet, r := sheetOn(t, film, 1)
	swept(t, sheet, "soften=3:9:3")
	whole := judged(t, sheet, r, new(Cache))
	sheet.Factor = 2
	proxy := judged(t, sheet, r, new(Cache))
	for i := range whole {
		assert.InDelta(t, *whole[i].EdgeWidth, *proxy[i].EdgeWidth, 2)
		assert.InDelta(t, *whole[i].EdgeMismatch, *proxy[i].EdgeMismatch, 0.02)
		assert.InDelta(t, *whole[i].Area, *proxy[i].Area, 2e-3)
	}
}

func TestNoSeamHasNoLeast(t *testing.T) {
	film := &wall{w: 120, h: 60, left: 0}
	sheet, r := sheetOn(t, film, 1)
	swept(t, sheet, "soften=0:12:3")
	all := judged(t, sheet, r, new(Cache))
	assert.Nil(t, all[0].EdgeMismatch)
	assert.Nil(t, all[0].EdgeWidth)
	_, ok := LeastMisfit(sheet.Items, all)
	assert.False(t, ok)
	_, ok = LeastMisfit(sheet.Items[:0], nil)
	assert.False(t, ok)
}

// A fade in hue lets in what the ramp's colours weigh: the wider it is, the larger the area.
func TestAFadeIsSwept(t *testing.T) {
	film := &wall{w: 400, h: 40, left: 200, sigma: 20}
	sheet, r := sheetOn(t, film, 1)
	swept(t, sheet, "hue-after=0:40:4")
	all := judged(t, sheet, r, new(Cache))
	for i := range all[1:] {
		assert.Greater(t, *all[i+1].Area, *all[i].Area)
	}
	assert.InDelta(t, 0.5, *all[0].Area, 0.01)
	assert.Greater(t, *all[3].Area, 0.51)
	assert.False(t, math.IsNaN(*all[0].EdgeMismatch))
}
