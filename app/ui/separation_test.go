package ui

import (
	"image"
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/ink"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/colour"
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

// Pixels of dabs that the pick has wrong are marked: it tells them by the pick as
// it stands.
func TestMisclassified(t *testing.T) {
	keep := study.Dab{ID: 1, Frame: 1, X: 10, Y: 10, Radius: 4, Kind: study.Keep}
	drop := study.Dab{ID: 2, Frame: 1, X: 30, Y: 10, Radius: 4, Kind: study.Drop}
	other := study.Dab{ID: 3, Frame: 2, X: 20, Y: 10, Radius: 4, Kind: study.Drop}
	picked := colour.NewImage(40, 20)
	for y := range 20 {
		for x := range 40 {
			v := float32(0.2)
			if y >= 10 { // the lower half is bright
				v = 0.8
			}
			picked.R.Row(y)[x], picked.G.Row(y)[x], picked.B.Row(y)[x] = v, v, v
		}
	}
	m := &study.Matte{Dabs: []study.Dab{keep, drop, other}}
	m.Settings = study.NewSettings(selection.HSL)
	m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.5, To: 1})}
	m.Pick.Limits[selection.Hue].Off, m.Pick.Limits[selection.Sat].Off = true, true
	got := desk.NewMisclassified(desk.MisclassifiedOf{Frame: 1, Picked: picked}, m)
	assert.Equal(t, got.Kept, got.Drops)
	assert.Len(t, got.Lost, got.Kept/2, "the dark half of what is to be kept")
	assert.Len(t, got.Caught, got.Drops/2, "the bright half of what is to be dropped")
	for _, p := range got.Lost {
		assert.Less(t, p.Y, 10.0)
	}
	for _, p := range got.Caught {
		assert.Greater(t, p.Y, 10.0)
		assert.InDelta(t, 30, p.X, 4, "the dab of another frame has no part")
	}
}

// Large dabs are looked at by some of their pixels.
func TestMisclassifiedOfLargeDabs(t *testing.T) {
	picked := colour.NewImage(400, 400)
	m := &study.Matte{Dabs: []study.Dab{{Frame: 1, X: 200, Y: 200, Radius: 190}}, Settings: study.NewSettings(selection.HSL)}
	m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 0.5, To: 1})}
	got := desk.NewMisclassified(desk.MisclassifiedOf{Frame: 1, Picked: picked}, m)
	assert.Len(t, got.Lost, got.Kept, "all of it is black")
	assert.InDelta(t, math.Pi*190*190/81, got.Kept, 60)
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
