package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/mask"
)

// In the smallest window all figures have room, also the area of a matte that is full; the
// matte's card has the same area.
func TestFiguresHaveRoom(t *testing.T) {
	w, _ := newDiscWindow(t)
	w.win.Resize(fyne.NewSize(1280, 800))
	area := func() *look.Label {
		return stage.Find(t, w.win.Canvas(), "the area", func(l *look.Label) bool { return l.Text() == "100.0 %" })
	}
	fyne.DoAndWait(func() {
		w.desk.RemoveDabs()
		w.desk.EditMatte("All", func(m *study.Matte) error {
			for c := range m.Pick.Limits {
				m.Pick.Limits[c].Off = true
			}
			return nil
		})
	})
	stage.Eventually(t, "the figures", w.desk.Fresh)
	fyne.DoAndWait(func() {
		l := area()
		assert.LessOrEqual(t, look.Style{Size: look.SmallSize}.Measure(l.Text()).Width, l.Size().Width)
		require.Len(t, w.mattes.cards, 1)
		assert.Equal(t, "area 100.0 %", w.mattes.cards[0].area.Text())
	})
}

// A matte's card has the area that Judge has, not that of its small picture.
func TestTheCardHasJudgesArea(t *testing.T) {
	w, _ := newDiscWindow(t)
	fyne.DoAndWait(func() {
		w.desk.AddMask(study.Keep, []mask.Point{{X: 155, Y: 50}, {X: 330, Y: 50}, {X: 330, Y: 220}, {X: 155, Y: 220}})
	})
	stage.Eventually(t, "the figures", w.desk.Fresh)
	f := &w.desk.Found
	assert.Equal(t, f.Figures.Area, f.Thumbs[f.MatteID].Area)
}
