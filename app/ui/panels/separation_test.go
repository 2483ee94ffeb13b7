package panels

import (
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/selection"
)

// How well the dabs are told apart stands beside the field, in place of the numbers.
func TestSeparation(t *testing.T) {
	w, h := onSample(t)
	w.desk.GoToStep(desk.StepPick)
	p := w.column.pick
	require.True(t, p.grid.Visible())
	h.PressOn(t, h.Button(t, "Separation"))
	assert.False(t, p.grid.Visible())
	assert.True(t, p.separation.all.Visible())
	require.NotNil(t, w.desk.Found.Separation)
	part := separabilities(w.desk.Found.Separation)[3]
	assert.Equal(t, desk.Hundred(part.Set), p.separation.set[3].Text())
	assert.Equal(t, w.desk.Found.Separation.Sentence(), p.separation.sentence.Text())
	assert.Equal(t, part.SetCurve, p.separation.plot.curves[3])
	h.PressOn(t, p.separation.marks)
	assert.True(t, w.desk.ShowMisclassified)
	h.PressOn(t, h.Button(t, "Separation"))
	assert.True(t, p.grid.Visible())
	w.desk.NewMatte()
	w.desk.ToggleSeparation()
	assert.Equal(t, "Set dabs of both kinds to learn how well colour tells them apart.", p.separation.sentence.Text())
	assert.Nil(t, p.separation.plot.curves)
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
