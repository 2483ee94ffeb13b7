package look

import (
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
)

func TestNotch(t *testing.T) {
	turned, menus := 0, []fyne.Position{}
	n := NewNotch("soften", func() { turned++ }, func(at fyne.Position) { menus = append(menus, at) })
	shown(t, Pad(30, 20, 0, 0, n), 100, 60)
	assert.Equal(t, Constant, n.State())
	n.Set(Here)
	assert.Zero(t, turned, "silent")
	n.Tapped(nil)
	key(n, fyne.KeySpace, fyne.KeyReturn)
	assert.Equal(t, 3, turned)
	n.TappedSecondary(&fyne.PointEvent{AbsolutePosition: fyne.NewPos(7, 8)})
	key(n, fyne.KeyDown)
	below := fyne.CurrentApp().Driver().AbsolutePositionForObject(n).AddXY(0, n.Size().Height)
	assert.Equal(t, []fyne.Position{{X: 7, Y: 8}, below}, menus, "the keyboard's opens below it")
	n.Disable()
	n.Tapped(nil)
	n.TappedSecondary(&fyne.PointEvent{})
	assert.Equal(t, 3, turned)
	assert.Len(t, menus, 2)
	assert.GreaterOrEqual(t, n.MinSize().Width, float32(target))
}

// While its notch is hidden the row is as without one.
func TestANotchInARow(t *testing.T) {
	r := NewValueRow(metres, 100, nil)
	n := NewNotch("path", nil, nil)
	n.Hide()
	r.SetNotch(n)
	shown(t, r, 300, 28)
	wide := r.hinted.Size().Width
	n.Show()
	r.Refresh()
	assert.Less(t, r.hinted.Size().Width, wide)
	assert.Equal(t, r.hinted.Size().Width, n.Position().X, "after the words")
	assert.True(t, r.Holds(n))
	assert.True(t, r.Holds(r.slider))
	assert.True(t, r.Holds(r.number.edit))
	assert.False(t, r.Holds(nil))
	r.Disable()
	assert.True(t, n.Disabled())
}

func TestGoldenNotches(t *testing.T) {
	row := HBox(8)
	for _, k := range []Keyed{Constant, Elsewhere, Here} {
		n := NewNotch("", nil, nil)
		n.Set(k)
		row.Add(n)
	}
	off := NewNotch("", nil, nil)
	off.Set(Here)
	off.Disable()
	focused := NewNotch("", nil, nil)
	focused.FocusGained()
	row.Add(off)
	row.Add(focused)
	for _, m := range []Mark{KeyBefore, KeyAfter, KeyAdd, KeyRemove} {
		row.Add(NewIconButton(m, "", nil))
	}
	golden(t, "notches", row, 332, 44)
}
