package panels

import (
	"testing"

	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/driver/desktop"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/stage"
	"halocline/mask"
)

var softenID = desk.ValueID{Step: desk.StepEdge, Name: "soften"}

func TestTheNotchOfAValue(t *testing.T) {
	w, h := onClip(t)
	w.desk.GoToStep(desk.StepEdge)
	c := w.win.Canvas()
	notch, row := stage.Notch(t, c, softenID.Words()), stage.Row(t, c, "Soften")
	before := len(w.labels())
	soften := func() *study.Number { return &w.desk.Matte().Edge.Soften }
	h.TypeInRow(t, row, "3")
	assert.Equal(t, study.Constant(3), *soften())
	assert.Equal(t, look.Constant, notch.State())

	h.PressOn(t, notch)
	assert.Equal(t, []int{10}, w.keys(softenID))
	assert.Equal(t, 3.0, soften().At(10))
	assert.Equal(t, look.Here, notch.State())
	assert.Equal(t, "Soften: add key", w.labels()[0])
	assert.Equal(t, "soften: key made at frame 10", w.notes[len(w.notes)-1])

	w.desk.GoToFrame(20)
	assert.Equal(t, look.Elsewhere, notch.State())
	h.TypeInRow(t, row, "5")
	assert.Equal(t, look.Here, notch.State(), "a change makes a key")
	assert.Equal(t, 4.0, soften().At(15))
	w.desk.GoToFrame(15)
	assert.Equal(t, 4.0, row.Value(), "the row shows the value of the frame")
	h.PressOn(t, notch)
	assert.Equal(t, []int{10, 15, 20}, w.keys(softenID))
	assert.Equal(t, 4.0, soften().At(15), "a key of the value that there was")

	assert.Equal(t, []desk.ValueKeys{{ID: softenID, Label: "Soften", Keys: []desk.TimedKey{{Frame: 10, Way: mask.Straight}, {Frame: 15, Way: mask.Straight}, {Frame: 20, Way: mask.Straight}}}}, w.desk.KeyedValues())
	h.PressOn(t, notch)
	w.desk.GoToFrame(10)
	h.PressOn(t, notch)
	w.desk.GoToFrame(20)
	h.PressOn(t, notch)
	assert.Equal(t, look.Constant, notch.State())
	assert.Equal(t, study.Constant(5), *soften(), "the last key to go")
	assert.Equal(t, "Soften: remove key", w.labels()[0])
	for range len(w.labels()) - before {
		w.desk.Undo()
	}
	assert.Equal(t, study.Constant(0), *soften())
}

// A value's menu goes from key to key, says how the value travels, and makes it constant.
func TestTheMenuOfAValue(t *testing.T) {
	w, h := onClip(t)
	w.desk.GoToStep(desk.StepEdge)
	w.desk.EditMatte("Keys", func(m *study.Matte) error {
		m.Edge.Soften.SetKey(4, 1, mask.Straight)
		m.Edge.Soften.SetKey(22, 2, mask.Straight)
		return nil
	})
	c := w.win.Canvas()
	choose := func(line string) {
		t.Helper()
		h.Tap(h.Middle(t, stage.Notch(t, c, softenID.Words())), desktop.MouseButtonSecondary)
		h.PressOn(t, stage.Find(t, c, line, func(o *canvas.Text) bool { return o.Text == line }))
		require.Nil(t, c.Overlays().Top())
	}
	choose("Next key")
	assert.Equal(t, 22, w.desk.Frame)
	choose("Previous key")
	assert.Equal(t, 4, w.desk.Frame)
	w.desk.GoToFrame(10)
	choose("After key 4: curved")
	assert.Equal(t, mask.Curved, w.value(softenID).Keys()[0].Way)
	choose("Add key")
	assert.Equal(t, []int{4, 10, 22}, w.keys(softenID))
	choose("Remove key")
	assert.Equal(t, []int{4, 22}, w.keys(softenID))
	choose("Make constant")
	assert.Empty(t, w.keys(softenID))
	assert.Equal(t, "Soften: constant", w.labels()[0])
}

// The value whose row has the keyboard is the one whose keys are turned and walked; with
// none the open step's are walked.
func TestTheValueInFocus(t *testing.T) {
	w, h := onClip(t)
	w.desk.GoToStep(desk.StepEdge)
	w.desk.EditMatte("Keys", func(m *study.Matte) error {
		m.Edge.Soften.SetKey(4, 1, mask.Straight)
		m.Edge.Grow.SetKey(15, 2, mask.Straight)
		return nil
	})
	assert.False(t, w.column.CanTurnKey())
	assert.Nil(t, w.column.ValueInFocus())
	w.column.GoToKey(1)
	assert.Equal(t, 15, w.desk.Frame)
	w.column.GoToKey(1)
	assert.Equal(t, 15, w.desk.Frame, "there is none beyond")

	row := stage.Row(t, w.win.Canvas(), "Soften")
	h.Tap(h.Middle(t, row).AddXY(row.Size().Width/2-40, 0), desktop.MouseButtonPrimary)
	assert.True(t, w.column.CanTurnKey())
	require.NotNil(t, w.column.ValueInFocus())
	assert.Equal(t, []int{4}, desk.FramesIn(w.column.ValueInFocus().Keys()))
	w.column.TurnKey()
	assert.Equal(t, []int{4, 15}, w.keys(softenID))
	w.column.GoToKey(-1)
	w.column.TurnKey()
	assert.Equal(t, []int{15}, w.keys(softenID))
	w.column.TurnKey()
	w.desk.GoToFrame(15)
	w.column.TurnKey()
	w.desk.GoToFrame(4)
	w.column.TurnKey()
	assert.True(t, w.column.CanTurnKey())
	assert.Nil(t, w.column.ValueInFocus(), "it is constant")
	w.win.Canvas().Focus(stage.Notch(t, w.win.Canvas(), softenID.Words()))
	assert.True(t, w.column.CanTurnKey(), "its notch is of it too")
	w.win.Canvas().Unfocus()
	assert.False(t, w.column.CanTurnKey())
}

// On one frame no value has a control of keys.
func TestAStillHasNoNotches(t *testing.T) {
	w, _ := onSample(t)
	for _, st := range desk.Steps {
		w.desk.GoToStep(st)
		for _, k := range w.column.values.controls {
			assert.False(t, k.Visible(), k.id.Label())
		}
	}
	assert.Len(t, w.column.values.controls, len(desk.ValueIDs()), "each value has one")
}

func TestKeysAroundAFrame(t *testing.T) {
	keys := []desk.TimedKey{{Frame: 4}, {Frame: 10}, {Frame: 22}}
	for _, tt := range []struct {
		frame                  int
		before, leading, after int // 0: none
	}{
		{1, 0, 0, 4}, {4, 0, 4, 10}, {7, 4, 4, 10}, {10, 4, 10, 22}, {22, 10, 22, 0}, {30, 22, 22, 0},
	} {
		at := func(k *desk.TimedKey) int {
			if k == nil {
				return 0
			}
			return k.Frame
		}
		before, leading, after := around(keys, tt.frame)
		assert.Equal(t, []int{tt.before, tt.leading, tt.after}, []int{at(before), at(leading), at(after)}, tt.frame)
	}
}
