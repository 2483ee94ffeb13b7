package ui

import (
	"image"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/selection"
)

// How well the dabs are told apart stands beside the field, in place of the numbers.
func TestSeparation(t *testing.T) {
	w, h := newHandWindow(t)
	settled(t, w)
	c := w.win.Canvas()
	numbers := func() bool { return stage.Says(c, "all but this") } // a heading of theirs
	says := func(text string) bool {
		return len(stage.Seen(c, func(p *look.Paragraph) bool { return p.Text() == text })) > 0
	}
	require.True(t, numbers())
	h.PressOn(t, h.Button(t, "Separation"))
	assert.False(t, numbers())
	assertColumnFits(t, w)
	require.NotNil(t, w.desk.Found.Separation)
	assert.True(t, says(w.desk.Found.Separation.Sentence()))
	h.Key(fyne.KeyP, 0)
	assert.True(t, numbers())
	assert.False(t, says(w.desk.Found.Separation.Sentence()))
}

func TestMisclassifiedAreMarked(t *testing.T) {
	w, h := newHandWindow(t)
	settled(t, w)
	vp := w.viewer.Viewport()
	draw := func() *image.RGBA {
		m := image.NewRGBA(image.Rect(0, 0, vp.VW, vp.VH))
		w.viewer.Marks(m, vp, 1)
		return m
	}
	blank := draw()
	h.Key(fyne.KeyP, shift)
	require.True(t, w.desk.ShowMisclassified)
	w.desk.EditMatte("none", func(m *study.Matte) error { // all that is to be kept is lost
		m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.99, To: 1})}
		return nil
	})
	settled(t, w)
	require.NotNil(t, w.desk.Misclassified())
	require.NotEmpty(t, w.desk.Misclassified().Lost)
	assert.NotEqual(t, blank.Pix, draw().Pix)
	w.desk.GoToStep(desk.StepEdge)
	assert.Equal(t, blank.Pix, draw().Pix, "they are of Pick")
}
