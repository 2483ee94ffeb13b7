package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/selection"
)

// newPickedRig is a desk whose matte picks the tape by its dabs, with the findings
// known.
func newPickedRig(t *testing.T, frames int) *rig {
	t.Helper()
	r := newRig(t, frames)
	r.dab(onTape, onTape2, onGrass, onSand)
	r.rest()
	return r
}

// asked is a pixel whose reason is asked for, and its weight.
func (r *rig) asked(x, y int) (AskedPixel, float64) {
	r.t.Helper()
	a, ok := r.AskAbout(x, y)
	require.True(r.t, ok)
	return a, float64(r.Found.Matte.Row(y)[x])
}

// changed counts the bounds in which two picks differ, and the channels.
func changed(a, b selection.Pick) (bounds, channels int) {
	for c := range a.Limits {
		x, y := a.Limits[c].Range, b.Limits[c].Range
		n := 0
		for _, d := range []float64{x.From - y.From, x.To - y.To, x.Before - y.Before, x.After - y.After} {
			if d > 1e-9 || d < -1e-9 {
				n++
			}
		}
		bounds += n
		if n > 0 {
			channels++
		}
	}
	return bounds, channels
}

func TestWhatKeepsAPixelOut(t *testing.T) {
	r := newPickedRig(t, 1)
	in, w := r.asked(48, 32)
	assert.Equal(t, selection.In, r.ReasonAt(in, w))
	out, w := r.asked(10, 20)
	reason := r.ReasonAt(out, w)
	assert.Equal(t, r.pick().Weakest(out.Value), reason)
	assert.Contains(t, []selection.Reason{selection.ByHue, selection.BySat, selection.ByLight}, reason)
	r.AddMask(study.Keep, box(60, 4, 80, 20))
	assert.Equal(t, selection.ByMask, r.ReasonAt(in, 0), "the mask lets nothing else in")
	assert.Equal(t, selection.In, r.ReasonAt(in, 0.5), "what weighs one half is in")
	r.DeleteMask()
	assert.Equal(t, selection.ByEdge, r.ReasonAt(in, 0), "pick and masks keep it, the edge does not")
}

func TestAPixelIsAskedAboutOnceItIsKnown(t *testing.T) {
	r := newRig(t, 2)
	_, ok := r.AskAbout(10, 10)
	assert.False(t, ok, "not known yet")
	r.rest()
	a, ok := r.AskAbout(10, 10)
	assert.True(t, ok)
	assert.Equal(t, r.Matte().Pick.Model.At(r.Found.Picked.RGB(10, 10)), a.Value)
	for _, p := range [][2]int{{-1, 10}, {10, -1}, {wide, 10}, {10, high}} {
		_, ok = r.AskAbout(p[0], p[1])
		assert.False(t, ok, "%v lies outside", p)
	}
	r.GoToFrame(2)
	_, ok = r.AskAbout(10, 10)
	assert.False(t, ok, "what is known is of another frame")
	r.rest()
	r.DeleteMatte()
	_, ok = r.AskAbout(10, 10)
	assert.False(t, ok, "there is no matte")
}

// Including a pixel opens the bound that rejects it, so that the pick keeps more of it;
// leaving one out moves one bound.
func TestIncludeAndLeaveOut(t *testing.T) {
	r := newPickedRig(t, 1)
	for _, at := range [][2]int{{40 + 16 + 2, 30}, {74, 52}, {10, 20}} {
		a, _ := r.asked(at[0], at[1])
		before := r.pick()
		said := ChangeLine(before, a.Value, before.Weakest(a.Value), r.Found.Dabs)
		r.Include(a)
		after := r.pick()
		bounds, channels := changed(before, after)
		assert.Positive(t, bounds, at)
		assert.Equal(t, 1, channels, "of one channel")
		assert.Greater(t, after.Weight(a.Value), before.Weight(a.Value), at)
		assert.Contains(t, said, "sets ")
		assert.Equal(t, "Include this", r.labels()[0])
		assert.False(t, r.Matte().Pick.Fitted, "it is set by hand")
		r.Undo()
		assert.True(t, r.Matte().Pick.Fitted)
	}
	r.rest()
	a, w := r.asked(48, 32)
	require.Equal(t, selection.In, r.ReasonAt(a, w))
	before := r.pick()
	assert.Contains(t, ChangeLine(before, a.Value, selection.In, r.Found.Dabs), "sets ")
	r.LeaveOut(a)
	bounds, channels := changed(before, r.pick())
	assert.Equal(t, [2]int{1, 1}, [2]int{bounds, channels}, "one bound of one channel")
	assert.Less(t, r.pick().Weight(a.Value), before.Weight(a.Value))
	assert.Equal(t, "Leave this out", r.labels()[0])
}

// What is known just after another matte was chosen is of the one before: its dabs do not
// count.
func TestLeavingOutReadsTheDabsOfItsMatte(t *testing.T) {
	r := newPickedRig(t, 1)
	picked := r.MatteID
	r.rest()
	a, _ := r.asked(48, 32)
	r.LeaveOut(a)
	want := r.pick()
	r.Undo()
	r.NewMatte()
	r.rest()
	require.Empty(t, r.Found.Dabs)
	r.Choose(picked)
	require.False(t, r.Fresh())
	r.LeaveOut(a)
	r.await("an edit", func() bool { return r.labels()[0] == "Leave this out" })
	assert.Equal(t, want, r.pick())
}

func TestWhatNoBoundCanLeaveOut(t *testing.T) {
	r := newRig(t, 1) // no channel is on
	r.rest()
	a, _ := r.asked(10, 10)
	before := r.Study()
	assert.Equal(t, "No single bound can: a drop mask can.", ChangeLine(r.pick(), a.Value, selection.In, nil))
	r.LeaveOut(a)
	p := r.lastProblem()
	assert.Equal(t, "Not left out", p.What)
	assert.Error(t, p.Err)
	assert.Same(t, before, r.Study())
}

func TestChannelsAreSaid(t *testing.T) {
	p := selection.Pick{Model: selection.HSL}
	p.Limits[selection.Hue].Range = selection.Range{From: 20, To: 40}
	p.Limits[selection.Sat].Off = true
	p.Limits[selection.Light].Range = selection.Range{From: 0.5, To: 1}
	assert.Equal(t, "hue 30° weight 1.00, sat off, light 0.25 weight 0.00", ChannelsLine(p, selection.Point{30, 0.5, 0.25}))
	p.Model = selection.LCh
	p.Limits[selection.Sat] = selection.Limit{Range: selection.Range{From: 10, To: 60}}
	assert.Equal(t, "hue none weight "+Fixed(p.Limits[0].Weight(selection.Hue, -1), 2)+", chroma 12 weight 1.00, light 70 weight 0.00", ChannelsLine(p, selection.Point{-1, 12, 70}))
}

// The line under the card says the number that the press then sets.
func TestTheLineSaysWhatIsSet(t *testing.T) {
	p := selection.Pick{Model: selection.HSL}
	p.Limits[selection.Hue].Range = selection.Range{From: 350, To: 370}
	p.Limits[selection.Sat].Range = selection.Range{From: 0.2, To: 0.8}
	p.Limits[selection.Light].Range = selection.Range{From: 0.2, To: 0.8}
	assert.Contains(t, ChangeLine(p, selection.Point{0, 0.5, 0.9}, selection.ByLight, nil), "sets light 'to' to 0.9")
	assert.Contains(t, ChangeLine(p, selection.Point{0, 0.1, 0.5}, selection.BySat, nil), "sets sat 'from' to 0.")
	assert.Regexp(t, `^sets hue 'to' to 2\d°$`, ChangeLine(p, selection.Point{20, 0.5, 0.5}, selection.ByHue, nil))
	assert.Regexp(t, `^sets hue 'from' to 3[34]\d°$`, ChangeLine(p, selection.Point{345, 0.5, 0.5}, selection.ByHue, nil))
	assert.Empty(t, ChangeLine(p, selection.Point{0, 0.5, 0.5}, selection.ByEdge, nil), "nothing is to be moved")
}
