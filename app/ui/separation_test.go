package ui

import (
	"image"
	"image/color"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/ink"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/selection"
)

// How well the dabs are told apart stands beside the field, in place of the numbers.
func TestSeparation(t *testing.T) {
	w, h := newHandWindow(t)
	settled(t, w)
	p := w.pickPanel()
	require.True(t, p.grid.Visible())
	h.PressOn(t, h.Button(t, "Separation"))
	assert.False(t, p.grid.Visible())
	assert.True(t, p.separation.all.Visible())
	assert.LessOrEqual(t, w.column.middle.MinSize().Height, w.column.scroll.Size().Height)
	require.NotNil(t, w.desk.Found.Separation)
	part := separabilities(w.desk.Found.Separation)[3]
	assert.Equal(t, desk.Hundred(part.Set), p.separation.set[3].Text())
	assert.Equal(t, w.desk.Found.Separation.Sentence(), p.separation.sentence.Text())
	assert.Equal(t, part.SetCurve, p.separation.plot.curves[3])
	h.Key(fyne.KeyP, 0)
	assert.True(t, p.grid.Visible())
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

// A curve is drawn where its points say.
func TestROCPlot(t *testing.T) {
	perfect := []selection.ROCPoint{{}, {Kept: 1}, {Kept: 1, Caught: 1}}
	m := drawROC(108, 108, 1, [][]selection.ROCPoint{nil, nil, nil, perfect, nil})
	assert.Equal(t, color.RGBA(look.Bone), m.RGBAAt(4, 54), "up the left")
	assert.Equal(t, color.RGBA(look.Bone), m.RGBAAt(54, 4), "along the top")
	assert.NotEqual(t, color.RGBA(look.Bone), m.RGBAAt(70, 70))
	assert.Equal(t, ink.Pen{Width: 4, Dash: []float64{2, 6}}, scaled(ink.Pen{Width: 2, Dash: []float64{1, 3}}, 2))
}
