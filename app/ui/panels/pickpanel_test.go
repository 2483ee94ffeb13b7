package panels

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/selection"
)

func TestTypedNumbersKeepARange(t *testing.T) {
	r := selection.Range{From: 0.2, To: 0.6, Before: 0.1, After: 0.1}
	assert.Equal(t, selection.Range{From: 0.7, To: 0.7, Before: 0.1, After: 0.1}, withNumber(selection.HSL, selection.Sat, r, 1, 0.7), "to gives way")
	assert.Equal(t, selection.Range{From: 0.1, To: 0.1, Before: 0.1, After: 0.1}, withNumber(selection.HSL, selection.Sat, r, 2, 0.1), "from gives way")
	assert.Equal(t, 0.3, withNumber(selection.HSL, selection.Sat, r, 3, 0.3).After)
	hue := selection.Range{From: 350, To: 370}
	across := withNumber(selection.HSL, selection.Hue, hue, 2, 22)
	assert.InDelta(t, 32, across.Span(), 1e-9, "from 350 through 0 to 22")
	across = withNumber(selection.HSL, selection.Hue, hue, 1, 5)
	assert.InDelta(t, 5, across.Span(), 1e-9, "from 5 to 10")
}

func TestTypedNumbers(t *testing.T) {
	w, h := onSample(t)
	w.desk.GoToStep(desk.StepPick)
	number := w.column.pick.rows[selection.Light].numbers[1]
	w.desk.Edit("Light", func(_ *study.Study, m *study.Matte) error {
		m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 20, To: 80})}
		return nil
	})
	put := func(text string, end fyne.KeyName) {
		w.win.Canvas().Unfocus()
		h.PressOn(t, number)
		h.Write(text)
		h.Key(end, 0)
	}
	from := func() float64 { return pickOf(w).Limits[selection.Light].From }
	put("25", fyne.KeyReturn)
	assert.Equal(t, 25.0, from())
	put("31,5", fyne.KeyTab)
	assert.Equal(t, 31.5, from(), "a comma; left by Tab")
	n := len(w.labels())
	for _, wrong := range []string{"ten", "700", "-1", "NaN", "1e999"} {
		put(wrong, fyne.KeyReturn)
		assert.Equal(t, 31.5, from(), wrong)
		assert.NotEmpty(t, number.Problem(), wrong)
		assert.Equal(t, number.Problem(), w.wrong, "the status row says it")
	}
	put("90", fyne.KeyEscape)
	assert.Equal(t, 31.5, from(), "Esc restores")
	assert.Len(t, w.labels(), n)
	assert.Empty(t, w.wrong)
}

func TestTheRangesAreKeyed(t *testing.T) {
	w, h := onClip(t)
	w.desk.GoToStep(desk.StepPick)
	w.desk.EditMatte("Hue", func(m *study.Matte) error {
		m.Pick.Limits[selection.Hue] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 350, To: 370, Before: 5, After: 5})}
		return nil
	})
	hue := desk.ValueID{Step: desk.StepPick, Name: "hue"}
	notch := stage.Notch(t, w.win.Canvas(), "hue")
	h.PressOn(t, notch)
	w.desk.GoToFrame(30)
	pick := w.column.pick
	pick.typed(selection.Hue, 1, 0, study.Done)
	l := &w.desk.Matte().Pick.Limits[selection.Hue]
	assert.Equal(t, []int{10, 30}, w.keys(hue))
	assert.Equal(t, 350.0, l.HueAt(10).From)
	assert.InDelta(t, 355, l.HueAt(20).From, 1e-9, "by the short way")
	w.desk.GoToFrame(20)
	pick.typed(selection.Light, 1, 0.25, study.Done)
	assert.Equal(t, 0.25, w.desk.Matte().Pick.At(20).Limits[selection.Light].From)
	assert.Equal(t, []int{10, 30}, w.keys(hue), "another channel leaves the hue alone")
	h.PressOn(t, notch)
	assert.InDelta(t, 355, w.desk.Matte().Pick.Limits[selection.Hue].HueAt(20).From, 1e-9)
}

// What the dabs ask for is shown in place of the controls until it is taken.
func TestTheCardOfAnOffer(t *testing.T) {
	w, h := onSample(t)
	w.desk.EditMatte("Hue", func(m *study.Matte) error {
		p := m.Pick.At(1)
		p.Limits[selection.Hue].From -= 5
		desk.PutPick(m, p, 1)
		return nil
	})
	w.desk.GoToStep(desk.StepPick)
	suggest := func() {
		h.PressOn(t, h.Button(t, desk.SuggestLabel))
		stage.Eventually(t, "a suggestion", func() bool { return w.desk.Offer != nil })
		assert.True(t, w.column.pick.card.all.Visible())
		assert.False(t, w.column.pick.controls.Visible())
	}
	suggest()
	h.PressOn(t, h.Button(t, "Back"))
	assert.Nil(t, w.desk.Offer)
	assert.True(t, w.column.pick.controls.Visible())
	suggest()
	want := w.desk.Offer.Pick
	h.PressOn(t, h.Button(t, "Take it"))
	assert.Equal(t, want, pickOf(w))
	assert.False(t, w.column.pick.card.all.Visible())
}

func TestWhatDabsAreForIsChosen(t *testing.T) {
	w, h := onClip(t)
	w.desk.GoToStep(desk.StepPick)
	p := w.column.panels[desk.StepPick].(*pickPanel)
	use := p.use
	for _, u := range []desk.DabUse{desk.ForMasks, desk.ForBoth, desk.ForPick} {
		h.PressSegment(t, use, int(u), len(desk.DabUseNames))
		assert.Equal(t, u, w.desk.DabUse())
	}
	assert.True(t, p.uses.Visible())
	assert.False(t, p.forMasks.Visible(), "there is no dab for masks")
	w.desk.SetDabUse(desk.ForMasks)
	w.desk.AddDab(study.Dab{X: 80, Y: 60, Radius: 4, Kind: study.Drop})
	assert.True(t, stage.Says(w.win.Canvas(), "0 keep, 1 drop dabs for masks"))
	assert.Equal(t, "Drop dab  2", p.drop.Label(), "those of the pick are counted by themselves")
	w.desk.Undo()
	w.desk.SlideSearch(0, study.Done)
	assert.False(t, p.uses.Visible(), "no mask searches for an edge")
}

// The row of dabs and models fits the column, however many dabs there are.
func TestTheRowOfDabsFitsTheColumn(t *testing.T) {
	w, _ := onSample(t)
	w.desk.GoToStep(desk.StepPick)
	for range 4 {
		w.desk.Edit("Dabs", func(s *study.Study, m *study.Matte) error {
			for i := range 10 {
				s.AddDab(m, study.Dab{Frame: w.desk.Frame, X: 20 + 3*float64(i), Y: 30, Radius: 2, Kind: study.Kind(i % 2)})
			}
			return nil
		})
		assert.LessOrEqual(t, w.column.pick.all.MinSize().Width, float32(lostWidth), "%d dabs", len(w.desk.Matte().Dabs))
	}
}
