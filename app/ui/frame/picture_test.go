package frame

import (
	"image"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/desk"
	"halocline/app/desk/watch"
	"halocline/app/view"
	"halocline/colour"
)

// While the figures are worked out, a weight is read from the picture that is shown: a
// part of the frame, made smaller.
func TestAWeightIsReadFromTheProxy(t *testing.T) {
	d := desk.NewDesk(desk.Listener{})
	defer d.Stop()
	p := picture{d, new(watch.Preview)}
	_, known := p.weightAt(10, 10)
	assert.False(t, known, "nothing is shown yet")
	m := colour.NewPlane(4, 3)
	m.Row(1)[2] = 0.7
	p.preview.Last.Store(&watch.Showing{Layers: view.Layers{Matte: &m, Factor: 5, Region: image.Rect(100, 50, 120, 65)}})
	for _, at := range []image.Point{{110, 55}, {114, 59}} {
		weight, known := p.weightAt(at.X, at.Y)
		assert.True(t, known)
		assert.InDelta(t, 0.7, weight, 1e-6)
	}
	weight, _ := p.weightAt(115, 59)
	assert.Zero(t, weight, "the next one")
	_, known = p.weightAt(120, 55)
	assert.False(t, known, "beyond the part")
	_, known = p.weightAt(99, 55)
	assert.False(t, known)
}

// Marks are of the frame that is shown while the playhead is dragged.
func TestTheFrameOfAPicture(t *testing.T) {
	d := desk.NewDesk(desk.Listener{})
	defer d.Stop()
	d.Frame = 9
	p := picture{d, new(watch.Preview)}
	assert.Equal(t, 9, p.frame())
	p.preview.Last.Store(&watch.Showing{Request: watch.Request{Frame: 7, Kind: watch.ScrubRequest}})
	assert.Equal(t, 9, p.frame(), "the playhead rests")
	d.Scrubbing = true
	assert.Equal(t, 7, p.frame())
	p.preview.Last.Store(&watch.Showing{Request: watch.Request{Frame: 7}})
	assert.Equal(t, 9, p.frame(), "one of before the drag")
}
