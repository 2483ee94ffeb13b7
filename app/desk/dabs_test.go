package desk

import (
	"fmt"
	"os"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// fitOf is the fit of the dabs that a matte has, worked out beside the desk.
func (r *rig) fitOfDabs() selection.Pick {
	r.t.Helper()
	samples, err := r.Work.Renderer.DabSamples(r.t.Context(), r.Study(), r.Matte())
	require.NoError(r.t, err)
	f, err := selection.Fit(samples, r.Matte().Pick.Model)
	require.NoError(r.t, err)
	return f.Pick
}

// assertPick compares picks to what typed numbers can tell.
func assertPick(t *testing.T, want, got selection.Pick, what string) {
	t.Helper()
	require.Equal(t, want.Model, got.Model, what)
	for c := range want.Limits {
		a, b := want.Limits[c], got.Limits[c]
		assert.Equal(t, a.Off, b.Off, "%s: %d", what, c)
		assert.Equal(t, a.Inverted, b.Inverted, "%s: %d", what, c)
		for i, pair := range [4][2]float64{{a.Before, b.Before}, {a.From, b.From}, {a.To, b.To}, {a.After, b.After}} {
			assert.InDelta(t, pair[0], pair[1], 1e-9, "%s: number %d of channel %d", what, i, c)
		}
	}
}

func TestADabIsOneEdit(t *testing.T) {
	r := newRig(t, 1)
	r.AddDab(onTape)
	assert.Empty(t, r.Matte().Dabs, "its colours are being read")
	assert.Len(t, r.Dabs, 1)
	r.await("a dab", func() bool { return len(r.Matte().Dabs) == 1 })
	assert.Empty(t, r.Dabs)
	d := r.Matte().Dabs[0]
	assert.NotZero(t, d.ID)
	d.ID = 0
	assert.Equal(t, onTape, d)
	assert.Equal(t, []string{"Keep dab"}, r.labels())
	r.dab(onGrass)
	assert.Equal(t, []string{"Drop dab", "Keep dab"}, r.labels())
	r.Undo()
	r.Undo()
	assert.Empty(t, r.Matte().Dabs)
}

// However fast dabs come, the pick is what all of them ask for.
func TestDabsInQuickSuccessionAllCount(t *testing.T) {
	for _, model := range []selection.Model{selection.HSL, selection.LCh} {
		r := newRig(t, 1)
		r.set(func(m *study.Matte) { m.Settings = study.NewSettings(model) })
		all, before := []study.Dab{onTape, onGrass, onTape2, onSand}, len(r.labels())
		for _, d := range all {
			r.AddDab(d)
		}
		r.await("all dabs", func() bool { return len(r.Matte().Dabs) == len(all) })
		for i, d := range r.Matte().Dabs {
			assert.Equal(t, all[i].X, d.X, "in their order")
		}
		assertPick(t, r.fitOfDabs(), r.pick(), model.String())
		assert.True(t, r.Matte().Pick.Fitted)
		assert.Len(t, r.labels(), before+len(all), "an edit each")
	}
}

// A dab's turn comes again where something else was edited while its colours were
// read.
func TestADabOutlastsOtherEdits(t *testing.T) {
	r := newRig(t, 1)
	r.AddDab(onTape)
	r.AddDab(onGrass)
	r.Edit("Soften", softened(3))
	r.await("both", func() bool { return len(r.Matte().Dabs) == 2 })
	assert.Equal(t, 3.0, r.soften())
	assertPick(t, r.fitOfDabs(), r.pick(), "fitted to both")
}

func TestADabGoesToTheMatteThatWasPressed(t *testing.T) {
	r := newRig(t, 2)
	first := r.MatteID
	r.NewMatte()
	second := r.MatteID
	r.AddDab(onTape)
	r.Choose(first) // before its colours are read
	r.AddDab(onGrass)
	r.GoToFrame(2)
	r.await("both dabs", func() bool { return len(r.Study().Matte(first).Dabs)+len(r.Study().Matte(second).Dabs) == 2 })
	assert.Equal(t, study.Keep, r.Study().Matte(second).Dabs[0].Kind)
	assert.Equal(t, study.Drop, r.Study().Matte(first).Dabs[0].Kind)
	assert.Equal(t, 1, r.Study().Matte(first).Dabs[0].Frame, "and to the frame")
	assert.Equal(t, first, r.MatteID, "what is chosen stays")
}

// A dab whose matte goes before it is there goes with it; those behind it do not.
func TestADabWhoseMatteGoesGoesWithIt(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.NewMatte()
	r.AddDab(onTape)
	r.AddDab(onGrass)
	gone := r.MatteID
	r.DeleteMatte()
	require.Equal(t, first, r.MatteID)
	r.AddDab(onTape2)
	r.await("the last", func() bool { return len(r.Matte().Dabs) == 1 })
	assert.Equal(t, onTape2.Y, r.Matte().Dabs[0].Y)
	assert.Nil(t, r.Study().Matte(gone))
	assert.Empty(t, r.Dabs)
	assert.Empty(t, r.problems)
}

func TestAMatteGoesUnderAPressedDab(t *testing.T) {
	r := newRig(t, 1)
	r.rest()
	require.NotEmpty(t, r.PressDab(onTape))
	r.DeleteMatte()
	_, known := r.Would()
	assert.False(t, known)
	assert.Nil(t, r.PressDab(onTape))
	r.EndPress()
	r.AddDab(onTape)
	r.play()
	assert.Empty(t, r.Dabs)
}

func TestDabsThatCannotBeReadAreReported(t *testing.T) {
	r := newRig(t, 3)
	r.GoToFrame(3)
	require.NoError(t, os.Remove(r.Clip().Path(3)))
	r.AddDab(study.Dab{X: 48, Y: 32, Radius: 4})
	r.await("the report", func() bool { return len(r.problems) > 0 })
	assert.Equal(t, "The dabs cannot be read", r.lastProblem().What)
	assert.Empty(t, r.Dabs, "it does not wait for ever")
	assert.Empty(t, r.Matte().Dabs)
	r.GoToFrame(1)
	r.dab(onTape)
	assert.Len(t, r.Matte().Dabs, 1, "the next one is taken")
}

func TestAPressedDabIsFittedBeforeItIsLetGo(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape)
	r.rest()
	before := r.pick()
	colours := r.PressDab(onGrass)
	n := 0
	colour.EachInDisc(onGrass.X, onGrass.Y, onGrass.Radius, wide, high, func(int, int) { n++ })
	assert.Len(t, colours, n)
	r.learned = nil
	var would selection.Pick
	r.await("the preview", func() (known bool) { would, known = r.Would(); return known })
	assert.Equal(t, []News{NewPreview}, r.learned)
	assert.Equal(t, before, r.pick(), "nothing is changed yet")
	r.EndPress()
	_, known := r.Would()
	assert.False(t, known, "nothing is pressed")
	r.AddDab(onGrass)
	require.Len(t, r.Matte().Dabs, 2, "at once: the fit is known")
	assertPick(t, would, r.pick(), "what was shown")
	assertPick(t, r.fitOfDabs(), r.pick(), "what the dabs ask for")
}

// A dab that is pressed to move it is shown as it would be there, and is so once it is
// let go.
func TestAPressedDabThatIsMoved(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onSand)
	r.rest()
	d := r.Matte().Dabs[1]
	d.X, d.Y = onGrass.X, onGrass.Y
	r.PressDab(d)
	r.await("the preview", func() bool { _, known := r.Would(); return known })
	would, _ := r.Would()
	r.EndPress()
	r.MoveDab(d)
	r.await("the move", func() bool { return r.Matte().Dabs[1].X == d.X })
	assertPick(t, would, r.pick(), "what was shown")
	assertPick(t, r.fitOfDabs(), r.pick(), "without the place that it left")
}

// A press is shown by the fit of its place last asked for, and a press elsewhere is
// not shown by the fit of the one before.
func TestWouldIsOfThePressThatIsShown(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape)
	r.rest()
	r.PressDab(onGrass)
	r.await("the preview", func() bool { _, known := r.Would(); return known })
	r.EndPress() // given up
	r.PressDab(onSand)
	_, known := r.Would()
	assert.False(t, known, "not of this dab yet")
	r.await("the other", func() bool { _, known := r.Would(); return known })
	would, _ := r.Would()
	r.EndPress()
	r.AddDab(onSand)
	r.await("the dab", func() bool { return len(r.Matte().Dabs) == 2 })
	assertPick(t, would, r.pick(), "what was shown")
}

// A dab pressed so soon after another that the findings lack that one still counts
// both, as a dab without a press does.
func TestAPressCountsTheDabBeforeIt(t *testing.T) {
	r := newRig(t, 1)
	r.rest()
	for _, d := range []study.Dab{onTape, onGrass, onSand} {
		r.PressDab(d)
		r.passes(20 * time.Millisecond) // time for a fit
		n := len(r.Matte().Dabs)
		r.EndPress()
		r.AddDab(d)
		r.await("a dab", func() bool { return len(r.Matte().Dabs) == n+1 })
	}
	assertPick(t, r.fitOfDabs(), r.pick(), "all three")
}

// A press on a matte that was chosen a moment ago is fitted to its own dabs.
func TestAPressIsFittedToTheDabsOfItsMatte(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.dab(onTape, onGrass)
	r.NewMatte()
	r.dab(onSand) // a drop dab alone
	r.Choose(first)
	r.rest()
	r.NextMatte(1)
	r.PressDab(onTape2)
	r.passes(20 * time.Millisecond) // time for a fit
	r.EndPress()
	r.AddDab(onTape2)
	r.await("the dab", func() bool { return len(r.Matte().Dabs) == 2 })
	assertPick(t, r.fitOfDabs(), r.pick(), "of both dabs of this matte")
}

func TestAPressOutsideTheFrameHasNoColours(t *testing.T) {
	r := newRig(t, 1)
	assert.Nil(t, r.PressDab(onTape), "the frame is not known yet")
	r.await("its fit, once the frame is known", func() bool { _, known := r.Would(); return known })
	assert.Empty(t, r.PressDab(study.Dab{Frame: 1, X: -50, Y: -50, Radius: 4}), "dragged off the frame")
	_, known := r.Would()
	assert.False(t, known)
}

// A pick that is set by hand stays under dabs, but for its ranges being opened.
func TestAPickSetByHandIsNotFittedAgain(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onGrass)
	require.True(t, r.Matte().Pick.Fitted)
	r.set(func(m *study.Matte) {
		p := m.Pick.At(1)
		p.Limits[selection.Light].From += 2
		p.Limits[selection.Light].Before = 0
		PutPick(m, p, 1)
	})
	require.False(t, r.Matte().Pick.Fitted, "put by hand")
	tuned := r.pick()
	r.dab(onSand)
	assert.Equal(t, tuned, r.pick(), "a drop dab leaves it")
	dark := study.Dab{X: 20, Y: 20, Radius: 3, Kind: study.Keep}
	r.dab(dark)
	assert.False(t, r.Matte().Pick.Fitted)
	assert.Less(t, r.pick().Limits[selection.Light].From, tuned.Limits[selection.Light].From, "opened to take the keep dab in")
	assert.Equal(t, tuned.Limits[selection.Light].To, r.pick().Limits[selection.Light].To, "the other end stays")

	for _, d := range r.Matte().Dabs {
		if d.Kind == study.Drop {
			before, n := r.pick(), len(r.Matte().Dabs)
			r.RemoveDab(d.ID)
			r.await("its end", func() bool { return len(r.Matte().Dabs) == n-1 })
			assert.Equal(t, before, r.pick(), "nor does it follow one that goes")
		}
	}
}

func TestARemovedDabIsAsIfItHadNotBeen(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onGrass)
	want := r.pick()
	r.dab(onSand)
	id := r.Matte().Dabs[2].ID
	r.RemoveDab(id)
	r.await("its end", func() bool { return len(r.Matte().Dabs) == 2 })
	assertPick(t, want, r.pick(), "as before")
	assert.True(t, r.Matte().Pick.Fitted)
	assert.Equal(t, "Remove dab", r.labels()[0])
	r.RemoveDab(id)
	r.passes(30 * time.Millisecond)
	assert.Equal(t, "Remove dab", r.labels()[0], "there is no such dab")
	assert.Len(t, r.labels(), 4)
}

func TestAMovedDabIsAsIfItHadBeenThere(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onSand)
	there := r.Matte().Dabs[1]
	there.X, there.Y = onGrass.X, onGrass.Y
	r.MoveDab(there)
	r.await("the move", func() bool { return r.Matte().Dabs[1].X == onGrass.X })
	assert.Equal(t, there.ID, r.Matte().Dabs[1].ID, "it is the same one, in its place")
	assert.Equal(t, "Move dab", r.labels()[0])
	assertPick(t, r.fitOfDabs(), r.pick(), "fitted again")
	r.Undo()
	assert.Equal(t, onSand.X, r.Matte().Dabs[1].X)
	there.ID = 4711
	r.MoveDab(there)
	r.passes(30 * time.Millisecond)
	assert.Equal(t, []string{"Drop dab", "Keep dab"}, r.labels())
}

// Dabs that are removed faster than colours can be read all go.
func TestDabsRemovedInQuickSuccessionAllGo(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onGrass, onSand)
	for _, d := range r.Matte().Dabs[1:] {
		r.RemoveDab(d.ID)
	}
	r.await("their end", func() bool { return len(r.Matte().Dabs) == 1 })
	assert.Equal(t, []string{"Remove dab", "Remove dab"}, r.labels()[:2])
	assertPick(t, r.fitOfDabs(), r.pick(), "fitted to the one that is left")
}

// What is done to a dab is given up where the user goes on to another matte or frame.
func TestAMoveOfADabIsGivenUpWhereTheUserGoesOn(t *testing.T) {
	for name, on := range map[string]func(r *rig){
		"another matte": func(r *rig) { r.NextMatte(1) },
		"another frame": func(r *rig) { r.GoToFrame(2) },
	} {
		r := newRig(t, 2)
		first := r.MatteID
		r.NewMatte()
		r.Choose(first)
		r.dab(onTape)
		r.RemoveDab(r.Matte().Dabs[0].ID)
		on(r)
		r.passes(100 * time.Millisecond)
		assert.Len(t, r.Study().Matte(first).Dabs, 1, name)
		assert.Equal(t, "Keep dab", r.labels()[0], name)
	}
}

func TestRemoveAllDabsLeavesThePick(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onGrass)
	before := r.pick()
	r.RemoveDabs()
	assert.Empty(t, r.Matte().Dabs)
	assert.Equal(t, before, r.pick())
	assert.Equal(t, "Remove all dabs", r.labels()[0])
}

// Whether a pick is a fit is the study's: it outlasts saving and undo.
func TestFittedIsKeptInTheStudy(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onGrass)
	path := t.TempDir() + "/a" + study.Ending
	require.NoError(t, r.SaveTo(path))
	again, err := study.Load(path)
	require.NoError(t, err)
	assert.True(t, again.Mattes[0].Pick.Fitted)
	r.set(func(m *study.Matte) { PutPick(m, m.Pick.At(1), 1) })
	assert.False(t, r.Matte().Pick.Fitted)
	r.Undo()
	assert.True(t, r.Matte().Pick.Fitted)
}

// A dab's ranges become keys where the pick is keyed, and only those that change.
func TestADabOnAKeyedPickMakesKeys(t *testing.T) {
	r := newRig(t, 3)
	r.dab(onTape, onGrass)
	r.set(func(m *study.Matte) {
		ValueOf(r.Study(), m, ValueID{StepPick, "hue"}).Add(1)
	})
	r.GoToFrame(3)
	r.dab(study.Dab{X: 20, Y: 20, Radius: 3, Kind: study.Keep})
	assert.Equal(t, []int{1, 3}, FramesIn(ValueOf(r.Study(), r.Matte(), ValueID{StepPick, "hue"}).Keys()))
	assert.Empty(t, ValueOf(r.Study(), r.Matte(), ValueID{StepPick, "lightness"}).Keys())
	assert.Equal(t, "hue: key made at frame 3", r.notes[len(r.notes)-1])
}

func TestPutPickKeysOnlyWhatChanges(t *testing.T) {
	settings := study.NewSettings(selection.HSL)
	m := &study.Matte{Settings: settings}
	for c := range m.Pick.Limits {
		m.Pick.Limits[c].AddKey(1, selection.Range{From: 0.2, To: 0.8})
	}
	p := m.Pick.At(9)
	p.Limits[selection.Sat].To = 0.6
	p.Limits[selection.Light].Off, p.Limits[selection.Hue].Inverted = true, true
	PutPick(m, p, 9)
	for c, want := range [][]int{{1}, {1, 9}, {1}} {
		assert.Equal(t, want, FramesIn(limitOver(&m.Pick.Limits[c], selection.Channel(c)).Keys()), "%d", c)
	}
	assert.Equal(t, p, m.Pick.At(9))
	assert.True(t, m.Pick.Limits[selection.Hue].Inverted)

	other := study.NewSettings(selection.LCh)
	m.Pick.Smooth = false
	PutPick(m, other.Pick.At(1), 9)
	assert.Equal(t, selection.LCh, m.Pick.Model)
	assert.Empty(t, m.Pick.Limits[selection.Sat].Keys, "keys in another model say nothing")
	assert.False(t, m.Pick.Smooth, "that is no part of a fit")
}

func TestDabKindsAreUsed(t *testing.T) {
	r := newRig(t, 1)
	r.GoToStep(StepTrial)
	r.UseDab(study.Drop)
	assert.Equal(t, StepPick, r.Step)
	assert.Equal(t, study.Drop, r.DabKind)
	keep, drop := CountDabs(&study.Matte{Dabs: []study.Dab{onTape, onGrass, onSand}})
	assert.Equal(t, [2]int{1, 2}, [2]int{keep, drop})
}

func TestAnotherModelAsksTheDabsAgain(t *testing.T) {
	r := newRig(t, 1)
	r.dab(onTape, onGrass)
	r.set(func(m *study.Matte) { m.Pick.Smooth = false })
	for _, model := range []selection.Model{selection.HSL, selection.LCh} {
		r.UseModel(model)
		r.await("the model", func() bool { return r.Matte().Pick.Model == model })
		assert.Equal(t, fmt.Sprintf("Pick in %s", ModelName(model)), r.labels()[0])
		assertPick(t, r.fitOfDabs(), r.pick(), ModelName(model))
		assert.True(t, r.Matte().Pick.Fitted)
		assert.False(t, r.Matte().Pick.Smooth, "it stays")
		n := len(r.labels())
		r.UseModel(model)
		r.passes(30 * time.Millisecond)
		assert.Len(t, r.labels(), n, "it has it")
	}
}

func TestAMatteWithoutDabsPicksEverythingInAnotherModel(t *testing.T) {
	r := newRig(t, 1)
	r.set(func(m *study.Matte) { m.Pick.Limits[0].Off = false })
	r.UseModel(selection.HSL)
	r.await("the model", func() bool { return r.Matte().Pick.Model == selection.HSL })
	everything := study.NewSettings(selection.HSL)
	assert.Equal(t, everything.Pick.At(1), r.pick())
}

// The model is the matte's that was chosen, whatever is done meanwhile; one that
// goes takes it along.
func TestAnotherModelOutlastsOtherEdits(t *testing.T) {
	r := newRig(t, 1)
	first := r.MatteID
	r.dab(onTape)
	r.UseModel(selection.HSL)
	r.NewMatte()
	r.await("the model", func() bool { return r.Study().Matte(first).Pick.Model == selection.HSL })
	assert.Equal(t, selection.LCh, r.Matte().Pick.Model)
	r.UseModel(selection.HSL)
	r.DeleteMatte()
	r.passes(100 * time.Millisecond)
	assert.Equal(t, "Delete matte", r.labels()[0])
	assert.Empty(t, r.problems)
}

func flatDab(keep bool, c colour.RGB, n int) selection.Dab {
	d := selection.Dab{Keep: keep}
	for i := range n {
		f := 1 + 0.02*float64(i%5)
		d.Colours = append(d.Colours, colour.RGB{R: c.R * f, G: c.G * f, B: c.B})
	}
	return d
}

var (
	tapeDab  = flatDab(true, colour.RGB{R: 0.7, G: 0.5, B: 0.4}, 50)
	paleDab  = flatDab(true, colour.RGB{R: 0.8, G: 0.7, B: 0.62}, 50)
	sandyDab = flatDab(false, colour.RGB{R: 0.6, G: 0.57, B: 0.45}, 50)
)

func TestADabOnAPickThatFollowsDabsFitsItAgain(t *testing.T) {
	fresh := study.NewSettings(selection.LCh)
	everything := fresh.Pick.At(1)
	none, fits := PickWith(everything, true, []selection.Dab{sandyDab})
	assert.Equal(t, everything, none, "nothing to keep yet")
	assert.True(t, fits, "the next dab may bring it")
	one, _ := PickWith(everything, true, []selection.Dab{tapeDab})
	two, fits := PickWith(one, true, []selection.Dab{tapeDab, sandyDab})
	want, err := selection.Fit([]selection.Dab{tapeDab, sandyDab}, selection.LCh)
	assert.NoError(t, err)
	assert.Equal(t, want.Pick, two)
	assert.True(t, fits)
}

func TestADabOnAPickSetByHandOnlyOpensIt(t *testing.T) {
	everything := study.NewSettings(selection.HSL)
	tuned, _ := PickWith(everything.Pick.At(1), true, []selection.Dab{tapeDab})
	tuned.Limits[selection.Light].From += 0.05
	left, fits := PickWith(tuned, false, []selection.Dab{tapeDab, sandyDab})
	assert.Equal(t, tuned, left, "a drop dab leaves it")
	assert.False(t, fits)
	opened, fits := PickWith(tuned, false, []selection.Dab{tapeDab, paleDab})
	assert.False(t, fits)
	assert.GreaterOrEqual(t, opened.Weight(selection.HSL.At(paleDab.Colours[25])), 0.99)
	assert.Equal(t, tuned.Limits[selection.Light].From, opened.Limits[selection.Light].From, "the other end stays")
}

// A pick follows its dabs while it is a fit, or asks for nothing.
func TestWhichPicksFollowTheirDabs(t *testing.T) {
	for mask := range 16 {
		m := &study.Matte{Settings: study.NewSettings(selection.HSL)}
		m.Pick.Fitted = mask&8 != 0
		for c := range m.Pick.Limits {
			m.Pick.Limits[c].Off = mask>>c&1 == 0
		}
		assert.Equal(t, mask >= 8 || mask == 0, followsDabs(m), "%b", mask)
	}
}
