package panels

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/work"
	"halocline/colour"
	"halocline/selection"
)

// lights are those of six strips, in which two things stand side by side.
var lights = [6]float64{-16, -9, -3, 4, 10, 17}

// onSlope is a window on three frames of two things, on the left and on the right, that differ
// in one direction aslant to hue, chroma and lightness alone, with dabs of them in six lights.
func onSlope(t testing.TB) (*window, *stage.Hand) {
	t.Helper()
	const strip, half = 20, 80
	rng := rand.New(rand.NewPCG(5, 18))
	m := image.NewNRGBA(image.Rect(0, 0, 2*half, strip*len(lights)))
	for y := range strip * len(lights) {
		for x := range 2 * half {
			side := -4.0
			if x < half {
				side = 4
			}
			light := lights[y/strip]
			c := colour.Lab{L: 50 + light + side + rng.NormFloat64(), A: 5 + light - side + rng.NormFloat64(), B: 12 + rng.NormFloat64()}.RGB()
			m.SetNRGBA(x, y, color.NRGBA{colour.Code8(float32(c.R)), colour.Code8(float32(c.G)), colour.Code8(float32(c.B)), 255})
		}
	}
	folder := t.TempDir()
	for n := 1; n <= 3; n++ {
		f, err := os.Create(filepath.Join(folder, fmt.Sprintf("slope.%04d.png", n)))
		require.NoError(t, err)
		require.NoError(t, png.Encode(f, m))
		require.NoError(t, f.Close())
	}
	w, h := newWindow(t)
	wk, err := work.Open(context.Background(), folder)
	require.NoError(t, err)
	matte := wk.Study.AddMatte("skin", selection.LCh)
	for i := range lights {
		wk.Study.AddDab(matte, study.Dab{Frame: 1, X: half / 2, Y: strip*float64(i) + 10, Radius: 6, Kind: study.Keep})
		wk.Study.AddDab(matte, study.Dab{Frame: 1, X: 3 * half / 2, Y: strip*float64(i) + 10, Radius: 6, Kind: study.Drop})
	}
	w.begin(t, wk)
	w.desk.GoToStep(desk.StepPick)
	w.settled(t)
	return w, h
}

// The plane is offered in words, taken by a press, and taken back by one undo; the switch
// has it as long as there is one, or one is offered.
func TestThePlaneIsOfferedAndTried(t *testing.T) {
	w, h := onSlope(t)
	p := w.column.pick
	stage.Eventually(t, "the offer", func() bool { return p.offer.all.Visible() })
	assert.Regexp(t, `^A plane tells \d+ of 100 apart, the ranges \d+\.$`, w.desk.PlaneOffer())
	assert.Equal(t, w.desk.PlaneOffer(), p.offer.text.Text())
	assert.True(t, p.models.Visible())
	assert.False(t, p.model.Visible())
	assert.False(t, p.plane.all.Visible())
	assert.LessOrEqual(t, p.all.MinSize().Width, p.all.Size().Width, "it fits the column")

	h.PressOn(t, h.Button(t, "Try the plane"))
	stage.Eventually(t, "the plane", func() bool { return pickOf(w).Model == selection.PlaneModel })
	w.settled(t)
	assert.True(t, w.desk.Matte().Pick.Fitted)
	assert.True(t, p.plane.all.Visible())
	assert.False(t, p.rows[0].all.Visible())
	assert.False(t, p.offer.all.Visible(), "it was taken")
	assert.Equal(t, 2, p.models.At())
	assert.Equal(t, "Pick by plane", w.labels()[0])
	assert.LessOrEqual(t, p.all.MinSize().Width, p.all.Size().Width)

	w.desk.Undo()
	w.settled(t)
	assert.Equal(t, selection.LCh, pickOf(w).Model)
	assert.False(t, p.plane.all.Visible())
	stage.Eventually(t, "the offer", func() bool { return p.offer.all.Visible() })
	h.PressSegment(t, p.models, 2, 3)
	stage.Eventually(t, "the plane", func() bool { return pickOf(w).Model == selection.PlaneModel })
}

// A study without such dabs has no word of a plane.
func TestNoPlaneIsOfferedOnTheSample(t *testing.T) {
	w, _ := onSample(t)
	w.desk.GoToStep(desk.StepPick)
	assert.Empty(t, w.desk.PlaneOffer())
	assert.False(t, w.column.pick.models.Visible())
	assert.True(t, w.column.pick.model.Visible())
}

// byPlane is such a window with the plane taken.
func byPlane(t testing.TB) (*window, *stage.Hand) {
	t.Helper()
	w, h := onSlope(t)
	w.desk.UseModel(selection.PlaneModel)
	stage.Eventually(t, "the plane", func() bool { return pickOf(w).Model == selection.PlaneModel })
	w.settled(t)
	return w, h
}

// The level is dragged on the line: one edit for the whole drag, which counts as set by hand.
func TestTheLevelIsDragged(t *testing.T) {
	w, h := byPlane(t)
	line := w.column.pick.plane.line
	before, n := pickOf(w), len(w.labels())
	origin := fyne.CurrentApp().Driver().AbsolutePositionForObject(line)
	at := origin.Add(line.HandlePlace(1))
	h.Drag(desktop.MouseButtonPrimary, at, at.AddXY(-10, 0), at.AddXY(-24, 0))
	after := pickOf(w)
	assert.Less(t, after.Limits[selection.Across].From, before.Limits[selection.Across].From-0.5)
	assert.Equal(t, before.Limits[selection.Across].Before, after.Limits[selection.Across].Before, "the fade goes along")
	assert.Equal(t, before.Normal, after.Normal)
	assert.Len(t, w.labels(), n+1)
	assert.False(t, w.desk.Matte().Pick.Fitted)
	w.desk.Undo()
	assert.Equal(t, before, pickOf(w))
}

func TestAPlanesNumbersAreTyped(t *testing.T) {
	w, h := byPlane(t)
	part := w.column.pick.plane
	put := func(i int, text string) {
		w.win.Canvas().Unfocus()
		h.PressOn(t, part.numbers[i])
		h.Write(text)
		h.Key(fyne.KeyReturn, 0)
	}
	put(1, "-12,5")
	put(0, "3")
	put(2, "1.5")
	assert.Equal(t, selection.LevelRange(-12.5, 3, 1.5), pickOf(w).Limits[selection.Across].Range)
	n := len(w.labels())
	put(1, "300")
	assert.NotEmpty(t, part.numbers[1].Problem())
	assert.Len(t, w.labels(), n)

	h.PressOn(t, part.allBut)
	assert.True(t, pickOf(w).Limits[selection.Across].Inverted)
	h.PressOn(t, part.on)
	assert.True(t, pickOf(w).Limits[selection.Across].Off)
}

// The range across a plane is keyed over time as a whole, and the ranges of channels are
// not there to be keyed.
func TestAPlaneIsKeyed(t *testing.T) {
	w, h := byPlane(t)
	id := desk.ValueID{Step: desk.StepPick, Name: desk.PlaneValue}
	h.PressOn(t, stage.Notch(t, w.win.Canvas(), "plane"))
	w.desk.GoToFrame(3)
	w.settled(t)
	w.column.pick.typedOfPlane(study.LevelSpec, 40, study.Done)
	assert.Equal(t, []int{1, 3}, w.keys(id))
	first := w.desk.Matte().Pick.At(1).Limits[selection.Across].From
	assert.InDelta(t, (first+40)/2, w.desk.Matte().Pick.At(2).Limits[selection.Across].From, 1e-9)
	assert.Nil(t, w.value(desk.ValueID{Step: desk.StepPick, Name: "lightness"}))
}
