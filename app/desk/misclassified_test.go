package desk

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

func TestMisclassified(t *testing.T) {
	t.Parallel()
	r := newRig(t, 2)
	assert.Nil(t, r.Misclassified())
	assert.Equal(t, "… lost, … caught", r.MisclassifiedText())
	r.rest()
	assert.Equal(t, "No dabs on this frame", r.MisclassifiedText())
	r.dab(onTape, onGrass)
	r.rest()
	assert.Equal(t, "Here 0 % of keep lost, 0 % of drop caught", r.MisclassifiedText())
	all := *r.Misclassified()
	assert.Positive(t, all.Kept)
	assert.Positive(t, all.Drops)
	invert := func(_ *study.Study, m *study.Matte) error {
		for c := range m.Pick.Limits {
			m.Pick.Limits[c].Off, m.Pick.Limits[c].Inverted = c != int(selection.Hue), true
		}
		return nil
	}
	r.Slide("All but this", study.Moved, invert)
	assert.Equal(t, "Here 100 % of keep lost, 100 % of drop caught", r.MisclassifiedText(), "by the pick as it is dragged")
	assert.Len(t, r.Misclassified().Lost, all.Kept)
	assert.Len(t, r.Misclassified().Caught, all.Drops)
	r.CancelDrag()
	assert.Empty(t, r.Misclassified().Lost)
	r.GoToFrame(2)
	assert.Nil(t, r.Misclassified(), "the frame is not known yet")
	r.rest()
	assert.Equal(t, "No dabs on this frame", r.MisclassifiedText())
	r.NewMatte()
	assert.Nil(t, r.Misclassified(), "nor the matte")
}

// Pixels of dabs that the pick has wrong are told by the pick as it stands.
func TestWhichPixelsAreMisclassified(t *testing.T) {
	keep := study.Dab{ID: 1, Frame: 1, X: 10, Y: 10, Radius: 4, Kind: study.Keep}
	drop := study.Dab{ID: 2, Frame: 1, X: 30, Y: 10, Radius: 4, Kind: study.Drop}
	other := study.Dab{ID: 3, Frame: 2, X: 20, Y: 10, Radius: 4, Kind: study.Drop}
	picked := colour.NewImage(40, 20)
	for y := 10; y < 20; y++ { // the lower half is bright
		for x := range 40 {
			picked.R.Row(y)[x], picked.G.Row(y)[x], picked.B.Row(y)[x] = 0.8, 0.8, 0.8
		}
	}
	m := &study.Matte{Dabs: []study.Dab{keep, drop, other}}
	m.Settings = study.NewSettings(selection.HSL)
	m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(rangeOf(0.5, 1))}
	got := newMisclassified(misclassifiedOf{frame: 1, picked: picked}, m)
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
	for _, tt := range []struct {
		radius float64
		every  int
	}{{19, 1}, {39, 1}, {40, 2}, {190, 9}} {
		m := &study.Matte{Dabs: []study.Dab{{Frame: 1, X: 200, Y: 200, Radius: tt.radius}}, Settings: study.NewSettings(selection.HSL)}
		m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(rangeOf(0.5, 1))}
		got := newMisclassified(misclassifiedOf{frame: 1, picked: picked}, m)
		assert.Len(t, got.Lost, got.Kept, "all of it is black")
		area := math.Pi * tt.radius * tt.radius
		assert.InEpsilon(t, area/float64(tt.every*tt.every), got.Kept, 0.05)
	}
}
