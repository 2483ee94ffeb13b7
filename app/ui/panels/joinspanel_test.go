package panels

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/selection"
)

// withMattes adds mattes of these names, which are not chosen, and returns their ids.
func (w *window) withMattes(t testing.TB, names ...string) (ids []int) {
	t.Helper()
	require.True(t, w.desk.Edit("Mattes", func(s *study.Study, _ *study.Matte) error {
		for _, n := range names {
			ids = append(ids, s.AddMatte(n, selection.LCh).ID)
		}
		return nil
	}))
	return ids
}

// Joined mattes have a line each, which says how, changes it and takes them out.
func TestTheListOfJoinedMattes(t *testing.T) {
	w, h := onClip(t)
	l := masksOf(w).joins
	assert.False(t, stage.Says(w.win.Canvas(), "Joined"), "there is no other matte")
	ids := w.withMattes(t, "legs", "gloves", "reel")
	assert.True(t, stage.Says(w.win.Canvas(), "Joined"))
	h.PressOn(t, h.Button(t, "Join matte…"))
	assert.Equal(t, []string{"join"}, w.asked)
	w.desk.JoinMatte(ids[0], study.Add)
	w.desk.JoinMatte(ids[1], study.TakeAway)
	require.Len(t, l.rows, 2)
	assert.Equal(t, []string{"legs", "add", "gloves", "take away"}, []string{l.rows[0].name.Text(), l.rows[0].how.Shown(), l.rows[1].name.Text(), l.rows[1].how.Shown()})

	look.Focus(l.rows[0].how)
	h.Key(fyne.KeyDown, 0)
	assert.Equal(t, study.Touching, w.desk.Matte().Joins[0].How)
	look.Focus(l.rows[0].Pressable)
	h.Key(fyne.KeyDown, 0)
	assert.Equal(t, []string{"gloves", "legs"}, []string{l.rows[0].name.Text(), l.rows[1].name.Text()})
	assert.Equal(t, fyne.Focusable(l.rows[1].Pressable), w.win.Canvas().Focused(), "the keyboard goes along")
	h.Key(fyne.KeyDown, 0)
	assert.Equal(t, ids[0], w.desk.Matte().Joins[1].With, "it is the last")
	h.Tap(h.Middle(t, l.rows[0].name), desktop.MouseButtonSecondary)
	h.PressOn(t, stage.Find(t, w.win.Canvas(), "Move down", func(x *canvas.Text) bool { return x.Text == "Move down" }))
	assert.Equal(t, ids[1], w.desk.Matte().Joins[1].With)
	h.PressOn(t, l.rows[1].off)
	assert.Equal(t, []study.Join{{With: ids[0], How: study.Touching}}, w.desk.Matte().Joins)
	assert.Len(t, l.rows, 1)
	look.Focus(l.rows[0].Pressable)
	h.Key(fyne.KeyDelete, 0)
	assert.Empty(t, w.desk.Matte().Joins)
	w.desk.Undo()
	h.PressOn(t, l.rows[0].name)
	assert.Equal(t, "legs", w.desk.Matte().Name, "a press goes to that matte")
	assert.Empty(t, l.rows)
}

// Where every other matte would make a circle, or is there already, none can be joined.
func TestNoMatteCanBeJoinedTwice(t *testing.T) {
	w, h := onClip(t)
	ids := w.withMattes(t, "legs")
	w.desk.JoinMatte(ids[0], study.Add)
	h.PressOn(t, h.Button(t, "Join matte…"))
	assert.Empty(t, w.asked)
}

func TestMaskAloneIsOnePress(t *testing.T) {
	w, h := onClip(t)
	h.PressOn(t, h.Button(t, "Mask alone"))
	for _, l := range w.desk.Matte().Pick.Limits {
		assert.True(t, l.Off)
	}
	assert.False(t, masksOf(w).joins.alone.Visible(), "the ranges are off already")
	w.desk.Undo()
	assert.True(t, masksOf(w).joins.alone.Visible())
}
