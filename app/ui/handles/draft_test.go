package handles

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ui/look"
	"halocline/mask"
)

func TestDraft(t *testing.T) {
	d := NewDraft()
	d.Back() // nothing to take back
	_, err := d.Close()
	assert.EqualError(t, err, "handles: the outline has 0 vertices, want 3 or more")
	d.Add(100, 100)
	d.Add(100, 100) // the second press of a double click
	assert.Equal(t, 1, d.Len())
	_, err = d.Close()
	assert.EqualError(t, err, "handles: the outline has 1 vertex, want 3 or more")
	assert.False(t, d.Closes(100, 100, plain, 1), "the first vertex alone")
	d.Add(200, 100)
	assert.True(t, d.Closes(106, 105, plain, 1), "within 8")
	assert.False(t, d.Closes(106, 106, plain, 1), "beyond 8")
	assert.True(t, d.Closes(112, 110, plain, 2), "8 units are 16 pixels")
	_, err = d.Close()
	assert.EqualError(t, err, "handles: the outline has 2 vertices, want 3 or more")
	d.Add(150, 180)
	d.Add(120, 150)
	d.Back()
	points, err := d.Close()
	require.NoError(t, err)
	assert.Equal(t, []mask.Point{{X: 100, Y: 100}, {X: 200, Y: 100}, {X: 150, Y: 180}}, points)
	points[0].X = 0 // the caller's own
	again, _ := d.Close()
	assert.Equal(t, 100.0, again[0].X)

	zoomed := plain.ZoomedAt(400, 300, 4)
	x, y := zoomed.ToScreen(100, 100)
	assert.True(t, d.Closes(x+7, y, zoomed, 1), "8 of the screen's, at any zoom")
	assert.False(t, d.Closes(x+9, y, zoomed, 1))
}

// The line to the pointer is there while the pointer is, and the first vertex
// shows when a press would close.
func TestDraftFollowsThePointer(t *testing.T) {
	d := NewDraft()
	m := ground(300, 300)
	d.Draw(m, plain, 1)
	assert.Equal(t, ground(300, 300).Pix, m.Pix, "no vertex yet")
	for _, p := range []mask.Point{{X: 50.5, Y: 50.5}, {X: 200.5, Y: 50.5}, {X: 200.5, Y: 200.5}} {
		d.Add(p.X, p.Y)
	}
	accentAt := func(x, y int) bool {
		m := ground(300, 300)
		d.Draw(m, plain, 1)
		p := m.RGBAAt(x, y)
		return p.R == look.Accent.R && p.G == look.Accent.G && p.B == look.Accent.B
	}
	d.Hover(100.5, 200.5)
	assert.True(t, accentAt(150, 200))
	assert.False(t, accentAt(50, 50))
	d.Hover(52, 53)
	assert.True(t, accentAt(50, 50))
	d.Leave()
	assert.False(t, accentAt(150, 200))
	assert.False(t, accentAt(50, 50))
}
