package desk

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/check/shot"
	"halocline/app/desk/watch"
	"halocline/app/proof"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

func TestFindingsAreOfWhatIsChosen(t *testing.T) {
	t.Parallel()
	r := newRig(t, 3)
	assert.False(t, r.Fresh())
	r.rest()
	assert.Contains(t, r.learned, NewFindings)
	f := r.Found
	assert.Same(t, r.Study(), f.About)
	require.NotNil(t, f.Matte)
	assert.InDelta(t, 1, f.Figures.Area, 1e-6, "it picks everything")
	assert.NotNil(t, f.Density)
	assert.Nil(t, f.Separation, "there are no dabs")
	assert.Contains(t, f.Thumbs, r.MatteID)
	for name, act := range map[string]func(){
		"an edit":       func() { r.Edit("Soften", softened(1)) },
		"another frame": func() { r.MoveFrame(1) },
		"another matte": func() { r.NewMatte() },
	} {
		act()
		assert.False(t, r.Fresh(), name)
		r.rest()
		assert.Equal(t, [2]int{r.MatteID, r.Frame}, [2]int{r.Found.MatteID, r.Found.Frame}, name)
	}
	r.Slide("Soften", study.Moved, softened(2))
	r.CancelDrag()
	assert.True(t, r.Fresh(), "it is as it was found")
	for r.Matte() != nil {
		r.DeleteMatte()
	}
	r.rest()
	assert.Nil(t, r.Found.Matte)
	assert.NotNil(t, r.Found.Source)
}

func TestTheFrameIsKnownOfItselfAlone(t *testing.T) {
	r := newRig(t, 2)
	assert.Nil(t, r.SourceNow())
	r.rest()
	assert.NotNil(t, r.SourceNow())
	r.Edit("Soften", softened(1))
	assert.NotNil(t, r.SourceNow(), "an edit changes no source")
	c, ok := r.PixelAt(48, 32)
	assert.True(t, ok)
	assert.Greater(t, c.R, c.B, "the tape is yellow")
	r.GoToFrame(2)
	assert.Nil(t, r.SourceNow())
	_, ok = r.PixelAt(48, 32)
	assert.False(t, ok)
}

// A true matte is of one matte and one frame: elsewhere there is nothing to judge by.
func TestATruthIsOfItsMatteAndFrame(t *testing.T) {
	t.Parallel()
	r := newRig(t, 2)
	truth := colour.NewPlane(wide, high)
	for i := range truth.Pix {
		truth.Pix[i] = 1
	}
	r.Set(func() { r.Truth, r.TrueOf, r.TrueAt = &truth, r.MatteID, 1 })
	r.await("a comparison", func() bool { return r.Found.Truth != nil })
	assert.InDelta(t, 1, r.Found.Truth.Overlap, 1e-6, "all of it is true")
	r.GoToFrame(2)
	r.rest()
	assert.Nil(t, r.Found.Truth)
	r.NewMatte()
	r.GoToFrame(1)
	r.rest()
	assert.Nil(t, r.Found.Truth)
	r.NextMatte(-1)
	r.rest()
	assert.NotNil(t, r.Found.Truth)
	r.ForgetTruth()
	r.await("its end", func() bool { return r.Found.Truth == nil })
	assert.True(t, r.Fresh())
}

// judged waits until all frames are judged as they are.
func (r *rig) judged() {
	r.t.Helper()
	r.await("the clip judged", func() bool {
		v := r.Verdict()
		return v.Of > 0 && v.Left == 0 && !slices.ContainsFunc(v.Judged, func(j shot.Judged) bool { return j.Stale })
	})
}

// A mask that follows the tape, but for one frame where it is far off: that one is the
// worst, it is gone to, mended, and is no longer.
func TestTheWorstFrameIsFoundAndSeenMended(t *testing.T) {
	t.Parallel()
	r := newRig(t, 14)
	around := func(n int, off float64) study.MaskKey {
		x := float64(tapeLeft(n)) + off
		return study.MaskKey{Frame: n, Inner: 1, Outer: 2, Opacity: 1, Points: box(x-4, 16, x+tapeWidth+4, 48)}
	}
	r.set(func(m *study.Matte) {
		m.Settings = study.NewSettings(selection.HSL)
		m.Pick.Limits[selection.Sat] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.6, To: 1})}
	})
	r.AddMask(study.Keep, around(1, 0).Points)
	r.EditMask("Keys", func(m *study.Mask) error {
		m.Rounded = false
		m.Keys = nil
		for _, k := range []study.MaskKey{around(1, 0), around(7, 0), around(8, 26), around(9, 0), around(14, 0)} {
			m.SetKey(k)
		}
		return nil
	})
	assert.False(t, r.KnowsWorst())
	assert.Equal(t, "The clip is not judged yet", ClipWords(r.Verdict(), 0))
	r.judged()
	assert.Contains(t, r.learned, NewVerdict)
	assert.Len(t, r.Verdict().Judged, 14)
	require.True(t, r.KnowsWorst())
	r.NextWorst()
	assert.Equal(t, 8, r.Frame)
	assert.Less(t, r.Verdict().At(8).Area, 0.7*r.Verdict().At(7).Area)

	r.EditMask("Mend", func(m *study.Mask) error { m.SetKey(around(8, 0)); return nil })
	r.await("what the edit reaches marked", func() bool { return r.Verdict().At(8).Stale })
	assert.False(t, r.Verdict().At(3).Stale, "what it does not reach stays")
	r.judged()
	assert.False(t, slices.ContainsFunc(r.Verdict().Findings, func(f shot.Finding) bool { return f.Frame == 8 && f.StandsOut() }))
	assert.InDelta(t, r.Verdict().At(7).Area, r.Verdict().At(8).Area, 0.01)
}

func TestTheWorstAreGoneThroughInTheirOrder(t *testing.T) {
	r := newRig(t, 9)
	line := r.line(r.MatteID)
	verdict := watch.Verdict{MatteID: r.MatteID, Line: line, Of: 9, Findings: []shot.Finding{{Frame: 5}, {Frame: 2}, {Frame: 9}}}
	r.takeVerdict(verdict)
	var seen []int
	for range 5 {
		r.NextWorst()
		seen = append(seen, r.Frame)
	}
	assert.Equal(t, []int{5, 2, 9, 5, 2}, seen)
	r.GoToFrame(7)
	r.NextWorst()
	assert.Equal(t, 5, r.Frame, "from another frame to the worst")

	other := verdict
	other.Line = new(shot.Timeline)
	other.Of = 3
	r.takeVerdict(other)
	assert.Equal(t, 9, r.Verdict().Of, "what is of another line is dropped")
	r.NewMatte()
	r.takeVerdict(verdict)
	assert.Equal(t, watch.Verdict{MatteID: r.MatteID}, r.Verdict(), "nothing is known of this matte")
	assert.False(t, r.KnowsWorst())
}

// While the hand is at work, and while something else needs the machine, nothing is
// judged.
func TestWhatKeepsTheClipFromBeingJudged(t *testing.T) {
	r := newRig(t, 4)
	require.NotNil(t, r.CheckJob().Line)
	for name, c := range map[string]struct{ begin, end func() }{
		"a drag":         {func() { r.Slide("Soften", study.Moved, softened(1)) }, func() { r.CancelDrag() }},
		"playing":        {func() { r.Play(false, 1, func() {}) }, func() { r.EndPlay() }},
		"the playhead":   {func() { r.Seek(3, study.Moved) }, func() { r.Seek(3, study.Done) }},
		"something else": {func() { r.Busy = true }, func() { r.Busy = false }},
		"no matte":       {func() { r.DeleteMatte() }, func() { r.Undo() }},
	} {
		c.begin()
		assert.Equal(t, watch.CheckJob{}, r.CheckJob(), name)
		c.end()
		j := r.CheckJob()
		require.NotNil(t, j.Line, name)
		assert.Equal(t, r.MatteID, j.MatteID)
		assert.Same(t, r.Study(), j.Shot.Study)
		assert.Equal(t, []int{1, 2, 3, 4}, j.Shot.Frames)
		assert.Same(t, j.Line, r.CheckJob().Line, "one line for each matte")
	}
	still := newRig(t, 1)
	assert.Nil(t, still.CheckJob().Line, "one frame is no clip")
}

// Over the clip a matte is judged by the dabs of all that is in it.
func TestTheClipIsJudgedByTheDabsOfAllThatIsJoined(t *testing.T) {
	r := newRig(t, 2)
	r.dab(onTape)
	r.NewMatte()
	r.dab(onTape2)
	first := r.Study().Mattes[0].ID
	r.set(func(m *study.Matte) { m.TakeIn(first, study.TakeAway) })
	want := r.Study().Mattes[0].Dabs[0]
	want.Kind = study.Drop
	assert.Equal(t, []study.Dab{r.Matte().Dabs[0], want}, r.CheckJob().Shot.Dabs)
	assert.Len(t, r.Matte().Dabs, 1, "they stay its own for the pick")
}

// The matte is reviewed against its last proof where that is wanted.
func TestAReviewAgainstTheLastProof(t *testing.T) {
	t.Parallel()
	r := newRig(t, 2)
	r.dab(onTape, onGrass)
	r.set(func(m *study.Matte) { m.Edge.Soften = study.Constant(3) })
	r.KeepProof()
	r.WantReview = true
	r.Refresh()
	r.await("a review", func() bool { return r.Reviewed.Study == r.Study() })
	assert.Contains(t, r.learned, NewReview)
	assert.True(t, r.Reviewed.Same)
	assert.Equal(t, "proof 1", r.Reviewed.Proof.Name)
	assert.Equal(t, r.Reviewed.Last.Specks, r.Reviewed.Now.Specks)

	r.set(func(m *study.Matte) { m.Edge.Soften = study.Constant(0) })
	r.await("another", func() bool { return r.Reviewed.Study == r.Study() })
	assert.False(t, r.Reviewed.Same)
	require.NotNil(t, r.Reviewed.Now.EdgeWidth)
	assert.Less(t, *r.Reviewed.Now.EdgeWidth, *r.Reviewed.Last.EdgeWidth, "it is sharper than the proof")
	r.learned = nil
	r.Refresh()
	r.passes(50 * time.Millisecond)
	assert.NotContains(t, r.learned, NewReview, "it is known")
}

// Each edit of a matte's settings counts until one gains something.
func TestEditsWithoutGain(t *testing.T) {
	r := newRig(t, 1)
	r.set(func(m *study.Matte) { m.Edge.Soften = study.Constant(3) })
	r.KeepProof()
	soften := func(v float64) { r.set(func(m *study.Matte) { m.Edge.Soften = study.Constant(v) }) }
	soften(4)
	assert.Zero(t, r.EditsWithoutGain(), "there was no review yet")
	at := func(v float64) *float64 { return &v }
	review := func(misfit float64) {
		m := r.Matte()
		r.takeReview(watch.Review{Study: r.Study(), MatteID: m.ID, Frame: r.Frame, Proof: &m.Proofs[len(m.Proofs)-1], Last: proof.Figures{Misfit: at(1)}, Now: proof.Figures{Misfit: at(misfit)}})
	}
	review(1)
	for v := range IdleEdits {
		soften(float64(v) / 10)
	}
	assert.Equal(t, IdleEdits, r.EditsWithoutGain())
	require.NoError(t, r.RenameMatte("reel"))
	r.NoteProof(r.Matte().Proofs[0].ID, "x")
	assert.Equal(t, IdleEdits, r.EditsWithoutGain(), "a name is no setting")
	first := r.MatteID
	r.NewMatte()
	assert.Zero(t, r.EditsWithoutGain(), "each matte has its own")
	r.Choose(first)
	review(0.5)
	assert.Zero(t, r.EditsWithoutGain())
	soften(9)
	assert.Equal(t, 1, r.EditsWithoutGain())
	r.KeepProof()
	review(1)
	assert.Zero(t, r.EditsWithoutGain(), "another proof begins anew")
	soften(8)
	assert.Equal(t, 1, r.EditsWithoutGain())
	for _, p := range r.Matte().Proofs {
		r.ForgetProof(p.ID)
	}
	assert.Zero(t, r.EditsWithoutGain(), "there is none to gain on")
	assert.Nil(t, r.Reviewed.Study)
}

// Edits count from the last time that a figure was better than ever since the proof;
// a figure that is regained gains nothing.
func TestGainCountsIdleEdits(t *testing.T) {
	at := func(v float64) *float64 { return &v }
	kept := &study.Proof{ID: 3}
	seen := func(misfit, specks float64) watch.Review {
		return watch.Review{Proof: kept, Frame: 1, Last: proof.Figures{Misfit: at(1), Specks: at(5)}, Now: proof.Figures{Misfit: at(misfit), Specks: at(specks)}}
	}
	g := new(Gain)
	g.Take(seen(1, 5))
	g.Edits = 4
	g.Take(seen(0.8, 9))
	assert.Zero(t, g.Edits, "misfit is better, whatever the specks")
	g.Edits = 6
	g.Take(seen(1.2, 5))
	g.Take(seen(0.8, 5))
	assert.Equal(t, 6, g.Edits, "regained")
	g.Take(seen(0.78, 5))
	assert.Equal(t, 6, g.Edits, "nobody would call that a change")
	g.Take(seen(0.9, 4))
	assert.Zero(t, g.Edits)
	g.Edits = 9
	elsewhere := seen(0.9, 9)
	elsewhere.Frame = 7
	elsewhere.Last.Misfit = at(0.5)
	g.Take(elsewhere)
	assert.Equal(t, 9, g.Edits, "another frame has figures of its own, and the edits go on")
	other := seen(0.9, 4)
	other.Proof = &study.Proof{ID: 4}
	g.Take(other)
	assert.Zero(t, g.Edits, "another proof begins anew")
}

// Reviews are made where there is a proof, they are wanted, and the hand rests.
func TestWhatKeepsAReviewFromBeingMade(t *testing.T) {
	for name, act := range map[string]func(r *rig){
		"not wanted": func(r *rig) { r.WantReview = false },
		"no proof":   func(r *rig) { r.ForgetProof(r.Matte().Proofs[0].ID) },
		"busy":       func(r *rig) { r.Busy = true },
		"a drag":     func(r *rig) { r.Slide("Soften", study.Moved, softened(1)) },
		"no matte":   func(r *rig) { r.DeleteMatte() },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := newRig(t, 1)
			r.KeepProof()
			r.WantReview = true
			act(r)
			r.Refresh()
			r.passes(1500 * time.Millisecond)
			assert.Nil(t, r.Reviewed.Study)
		})
	}
}

// Who listens is told once for each act, and by name of what is learned.
func TestChangesAreToldOnce(t *testing.T) {
	r := newRig(t, 4)
	r.AddMask(study.Keep, box(8, 8, 40, 40))
	for name, act := range map[string]func(){
		"choose":     func() { r.Choose(r.MatteID) },
		"edit":       func() { r.Edit("Soften", softened(5)) },
		"undo":       r.Undo,
		"redo":       r.Redo,
		"frame":      func() { r.MoveFrame(1) },
		"step":       func() { r.GoToStep(StepEdge) },
		"reach":      func() { r.SetReach(mask.Onward) },
		"ends":       func() { r.SetEnds(1, 2) },
		"shown":      func() { r.SetShown(r.MatteID, false) },
		"compare":    r.ToggleCompare,
		"neighbours": r.ToggleNeighbours,
		"truth":      r.ForgetTruth,
	} {
		r.changes = 0
		act()
		assert.Equal(t, 1, r.changes, name)
	}
}
