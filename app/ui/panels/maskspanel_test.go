package panels

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
)

func masksOf(w *window) *masksPanel { return w.column.panels[desk.StepMasks].(*masksPanel) }

func TestFramesOfAMask(t *testing.T) {
	w, h := onClip(t)
	time := masksOf(w).time
	assert.Equal(t, []float64{1, 30}, []float64{time.in.Value(), time.out.Value()})
	typeIn := func(n *look.Number, text string) {
		h.PressOn(t, n)
		h.Write(text)
		h.Key(fyne.KeyReturn, 0)
	}
	typeIn(time.in, "12")
	typeIn(time.out, "20")
	m := w.desk.Mask()
	assert.False(t, m.Works(11))
	assert.True(t, m.Works(12))
	assert.False(t, m.Works(21))
	typeIn(time.in, "25")
	assert.Equal(t, study.Bound{Set: true, Frame: 25}, w.desk.Mask().Out, "the other end gives way")
	typeIn(time.out, "30")
	typeIn(time.in, "1")
	assert.Equal(t, study.Bound{}, w.desk.Mask().In)
	assert.Equal(t, study.Bound{}, w.desk.Mask().Out)
	typeIn(time.in, "31")
	assert.NotEmpty(t, time.in.Problem())
}

// The list chooses a mask, which leaves no vertex chosen; its keys go up and down, rename
// and open the menu.
func TestTheListOfMasks(t *testing.T) {
	w, h := onClip(t)
	w.desk.DuplicateMask()
	p := masksOf(w)
	require.Len(t, p.rows, 2)
	w.masks.vertex = 3
	w.desk.Refresh()
	assert.True(t, stage.Says(w.win.Canvas(), "4 of 4"))
	h.PressOn(t, p.rows[0].name)
	assert.Equal(t, w.desk.Matte().Masks[0].ID, w.desk.MaskID)
	assert.Equal(t, -1, w.masks.vertex)
	assert.True(t, stage.Says(w.win.Canvas(), "4, none chosen"))
	look.Focus(p.rows[0].Pressable)
	h.Key(fyne.KeyDown, 0)
	assert.Equal(t, w.desk.Matte().Masks[1].ID, w.desk.MaskID)
	h.Key(fyne.KeyReturn, 0)
	h.Tap(h.Middle(t, p.rows[1].name), desktop.MouseButtonSecondary)
	assert.Equal(t, []string{"rename", "Mask"}, w.asked)
	h.PressOn(t, p.rows[0].on)
	assert.True(t, w.desk.Matte().Masks[0].Off)
	assert.False(t, w.desk.Matte().Masks[1].Off)
}

// What is done on the frame is asked of what edits masks there.
func TestMasksAreDrawnByTheTool(t *testing.T) {
	w, h := onClip(t)
	keep, drop := h.Button(t, "New keep mask"), h.Button(t, "New drop mask")
	h.PressOn(t, drop)
	assert.Equal(t, study.Drop, w.masks.kind)
	w.masks.draws = false
	w.desk.Refresh()
	keepThen, dropThen := w.drawn(keep), w.drawn(drop)
	w.masks.draws = true
	w.desk.Refresh()
	assert.NotEqual(t, dropThen, w.drawn(drop), "it is chosen while one is drawn")
	assert.Equal(t, keepThen, w.drawn(keep))
	h.PressOn(t, h.Button(t, "Add"))
	h.PressOn(t, h.Button(t, "Delete"))
	assert.Equal(t, []string{"insert", "delete"}, w.masks.did)
}

// Where a matte has several masks, their feathers are one number too.
func TestAllFeathersAreOneNumber(t *testing.T) {
	w, h := onClip(t)
	p := masksOf(w)
	assert.False(t, p.feathers.Visible(), "there is one mask")
	w.desk.DuplicateMask()
	require.True(t, p.feathers.Visible())
	h.TypeInRow(t, p.feathers, "17")
	for _, m := range w.desk.Matte().Masks {
		assert.Equal(t, 17.0, m.At(w.desk.Frame).Outer)
	}
	assert.Equal(t, "All feathers", w.labels()[0])
	w.desk.DeleteMask()
	assert.False(t, p.feathers.Visible())
}
