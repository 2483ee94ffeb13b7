package desk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/mask"
)

// onCard is on the scene's grey card, onWeed on the seagrass.
var (
	onCard = Spot{X: 88, Y: 7, Radius: 3}
	onWeed = Spot{X: 14, Y: 40, Radius: 4}
)

// newBaseRig is a desk with Base open and the frame known.
func newBaseRig(t *testing.T, frames int) *rig {
	t.Helper()
	r := newRig(t, frames)
	r.SampleBase(PressGrey)
	r.rest()
	return r
}

// lightOf is the linear light of a place of the frame under the base as it is.
func (r *rig) lightOf(at Spot) [3]float64 {
	r.t.Helper()
	light, n := r.BaseNow().Sample(r.SourceNow(), at.X, at.Y, at.Radius)
	require.Positive(r.t, n)
	return light
}

// What was pressed on is grey with the gains that the base takes from it.
func TestAPressMakesGrey(t *testing.T) {
	r := newBaseRig(t, 1)
	r.TakeBase(onCard)
	gains := r.BaseNow().Gains
	assert.NotEqual(t, [3]float64{1, 1, 1}, gains)
	light := r.lightOf(onCard)
	for c := range 3 {
		assert.InDelta(t, light[1]*gains[1], light[c]*gains[c], 2e-3*light[1]*gains[1], "channel %d", c)
	}
	assert.Equal(t, []string{PressOnGrey}, r.labels())
	spot := r.GreySpot()
	require.NotNil(t, spot)
	assert.Equal(t, [3]float64{onCard.X, onCard.Y, onCard.Radius}, [3]float64{spot.X, spot.Y, spot.Radius})
	assert.Nil(t, r.WaterSpot())
	assert.Empty(t, r.problems)
	r.Undo()
	assert.Nil(t, r.GreySpot(), "it is not what the base has")
	r.Redo()
	assert.NotNil(t, r.GreySpot(), "it is again")
	text, how := StepBase.Summary(r.Study(), r.Matte(), 1)
	assert.Equal(t, "grey set", text)
	assert.Equal(t, Active, how)
}

func TestWhatIsFarFromGreyIsAskedAbout(t *testing.T) {
	r := newBaseRig(t, 1)
	r.TakeBase(Spot{X: 48, Y: 32, Radius: 3}) // the tape has hardly any blue
	g := r.BaseNow().Gains
	require.Greater(t, max(g[0], g[1], g[2]), farFromGrey*min(g[0], g[1], g[2]))
	assert.Equal(t, "Was that grey?", r.lastProblem().What)
	assert.NotNil(t, r.GreySpot(), "it is taken all the same")
}

func TestAPressOffTheFrameSamplesNothing(t *testing.T) {
	r := newBaseRig(t, 1)
	before := r.Study()
	r.TakeBase(Spot{X: -40, Y: 5, Radius: 3})
	assert.Equal(t, "Nothing sampled", r.lastProblem().What)
	assert.Same(t, before, r.Study())
	assert.Nil(t, r.GreySpot())
}

func TestAPressBeforeTheFrameIsKnownSaysSo(t *testing.T) {
	r := newRig(t, 2)
	r.TakeBase(onCard)
	require.Len(t, r.notes, 1)
	r.rest()
	r.GoToFrame(2)
	r.TakeBase(onCard)
	require.Len(t, r.notes, 2, "what is known is of another frame")
	assert.Contains(t, r.notes[1], "still being read")
	assert.Empty(t, r.labels())
}

// Open water gives the base its veil, and a start where it has none; what was grey is
// balanced anew, for grey depends on the water.
func TestAPressOnOpenWater(t *testing.T) {
	r := newBaseRig(t, 1)
	r.TakeBase(onCard)
	gains := r.BaseNow().Gains
	r.SampleBase(PressWater)
	assert.Equal(t, PressWater, r.Press)
	light := r.lightOf(onWeed)
	r.TakeBase(onWeed)
	b := r.BaseNow()
	want := study.NewBase()
	work.SetOpenWater(&want, 1, light)
	assert.Equal(t, want.At(1).Veil, b.Veil)
	assert.Equal(t, work.StartWater, r.Study().Base.Water)
	assert.EqualValues(t, work.StartPath, b.Path)
	assert.Equal(t, PressGrey, r.Press, "a press samples grey again")
	assert.NotNil(t, r.WaterSpot())
	assert.NotEqual(t, gains, b.Gains)
	assert.NotNil(t, r.GreySpot(), "of the same place")
	assert.Contains(t, r.notes[len(r.notes)-1], "The path of 2 m is a guess")
	told := len(r.notes)
	again := r.Study().Base
	require.NoError(t, work.SetGrey(&again, 1, r.lightOf(onCard)))
	assert.Equal(t, b.Gains, again.At(1).Gains, "the same place is grey")
	assert.Equal(t, []string{PressOnGrey, PressOnWater, PressOnGrey}, r.labels())
	r.SampleBase(PressWater)
	r.TakeBase(onWeed)
	assert.NotContains(t, strings.Join(r.notes[told:], " "), "is a guess", "there is a path")
}

// A press on something black sets it by the darkest of the disc, in place of the veil; what
// was grey is balanced anew.
func TestAPressOnBlack(t *testing.T) {
	r := newBaseRig(t, 1)
	r.TakeBase(onCard)
	gains := r.BaseNow().Gains
	r.SampleBase(PressBlack)
	darkest, n := r.BaseNow().Darkest(r.SourceNow(), onWeed.X, onWeed.Y, onWeed.Radius)
	require.Positive(t, n)
	r.TakeBase(onWeed)
	b := r.BaseNow()
	want := study.NewBase()
	work.SetBlack(&want, 1, darkest)
	assert.Equal(t, want.At(1).Black, b.Black)
	assert.Equal(t, b.Black, b.Steps().Haze)
	assert.Empty(t, r.Study().Base.Water, "no water is needed")
	assert.Equal(t, PressGrey, r.Press, "a press samples grey again")
	assert.NotNil(t, r.BlackSpot())
	assert.Nil(t, r.WaterSpot())
	assert.NotEqual(t, gains, b.Gains)
	assert.NotNil(t, r.GreySpot(), "of the same place")
	assert.Equal(t, []string{PressOnGrey, PressOnBlack, PressOnGrey}, r.labels())
	text, how := StepBase.Summary(r.Study(), r.Matte(), 1)
	assert.Equal(t, "black set, grey set", text)
	assert.Equal(t, Active, how)
	r.SampleBase(PressBlack)
	r.TakeBase(Spot{X: -40, Y: 5, Radius: 3})
	assert.Equal(t, "Nothing sampled", r.lastProblem().What)
	r.value(ValueID{StepBase, BlackValue}, func(v OverTime) { v.Add(1) })
	for c := range 3 {
		assert.True(t, r.Study().Base.Black[c].Keyed(), "the three channels together")
	}
}

// A grey that was taken on another frame, with other water, is to be taken again.
func TestOtherWaterThanTheGreyWasTakenWith(t *testing.T) {
	r := newBaseRig(t, 6)
	r.TakeBase(onCard)
	r.GoToFrame(4)
	r.rest()
	r.SampleBase(PressWater)
	r.TakeBase(onWeed)
	p := r.lastProblem()
	assert.Equal(t, "The grey was taken with other water", p.What)
	assert.Contains(t, p.ToDo, "frame 1")
}

func TestWhereTheGreyWasTaken(t *testing.T) {
	t.Parallel()
	r := newBaseRig(t, 8)
	_, known := r.GreyFrame()
	assert.False(t, known)
	r.TakeBase(onCard)
	r.value(ValueID{StepBase, GreyValue}, func(v OverTime) { v.Add(1) })
	r.GoToFrame(7)
	r.rest()
	r.TakeBase(Spot{X: 74, Y: 52, Radius: 4})
	assert.Equal(t, []int{1, 7}, r.framesOf(ValueID{StepBase, GreyValue}), "all three channels together")
	for frame, want := range map[int]int{1: 1, 3: 1, 4: 1, 5: 7, 8: 7} {
		r.GoToFrame(frame)
		at, ok := r.GreyFrame()
		assert.True(t, ok)
		assert.Equal(t, want, at, "from frame %d", frame)
		assert.Equal(t, frame == want, r.GreySpot() != nil)
	}
	r.Edit("By hand", func(s *study.Study, _ *study.Matte) error {
		s.Base.Gain[0].SetKey(7, 3, mask.Straight)
		return nil
	})
	at, ok := r.GreyFrame()
	assert.True(t, ok)
	assert.Equal(t, 1, at, "what was set by hand was not sampled")
}

func TestResetBaseTakesAllOfItAway(t *testing.T) {
	r := newBaseRig(t, 1)
	r.TakeBase(onCard)
	r.Edit("Light", func(s *study.Study, _ *study.Matte) error {
		for _, set := range LightSettings(&s.Base) {
			set.Track.Fix(set.Neutral + 0.25)
		}
		s.Base.Water = "IB"
		s.Base.Path.Fix(3)
		return nil
	})
	r.ResetBase()
	assert.Equal(t, study.NewBase(), r.Study().Base)
	assert.Equal(t, ResetBaseLabel, r.labels()[0])
	assert.Nil(t, r.GreySpot())
	n := len(r.labels())
	r.ResetBase()
	assert.Len(t, r.labels(), n, "there is nothing to take away")
}

func TestLightIsOfTheBaseItself(t *testing.T) {
	b := study.NewBase()
	var names []string
	for _, s := range LightSettings(&b) {
		names = append(names, s.Name)
		s.Track.Fix(0.5)
	}
	assert.Equal(t, []string{"exposure", "contrast", "pivot"}, names)
	assert.Equal(t, [3]float64{0.5, 0.5, 0.5}, [3]float64{b.At(1).Exposure, b.At(1).Contrast, b.At(1).Pivot})
}

// A pick that was set from dabs needs a look once Base is another where they are.
func TestAPickUnderAnotherBaseNeedsALook(t *testing.T) {
	r := newBaseRig(t, 4)
	assert.False(t, r.Stale(StepPick), "it has no dabs")
	expose := func(frame int, v float64) {
		r.Edit("Exposure", func(s *study.Study, _ *study.Matte) error {
			s.Base.Exposure.Set(frame, v)
			return nil
		})
	}
	r.dab(onTape, onGrass)
	assert.False(t, r.Stale(StepPick))
	r.value(ValueID{StepBase, "exposure"}, func(v OverTime) { v.Add(1) })
	assert.False(t, r.Stale(StepPick), "a key alone changes nothing")
	expose(4, 0.5)
	assert.False(t, r.Stale(StepPick), "the dabs are on frame 1")
	expose(1, 0.5)
	assert.True(t, r.Stale(StepPick))
	for _, s := range []Step{StepBase, StepMasks, StepEdge, StepTrial} {
		assert.False(t, r.Stale(s), s)
	}
	r.Undo()
	assert.False(t, r.Stale(StepPick), "it is as it was")
	r.Redo()
	r.dab(onSand)
	assert.False(t, r.Stale(StepPick), "it was set under this base")
	r.Slide("Exposure", study.Moved, func(s *study.Study, _ *study.Matte) error { s.Base.Exposure.Set(1, 1); return nil })
	assert.True(t, r.Stale(StepPick), "while it is dragged too")
	r.CancelDrag()
	assert.False(t, r.Stale(StepPick))

	expose(1, 1)
	hue := func(_ *study.Study, m *study.Matte) error { m.Pick.Limits[0].Off = !m.Pick.Limits[0].Off; return nil }
	r.Slide("Hue", study.Moved, hue)
	r.CancelDrag()
	assert.True(t, r.Stale(StepPick), "a pick that was dragged and left was not set")
	r.Slide("Hue", study.Moved, hue)
	r.Slide("Hue", study.Done, hue)
	assert.False(t, r.Stale(StepPick))
}
