package contact

import (
	"context"
	"errors"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/view"
	"halocline/colour"
	"halocline/selection"
)

// A clip has frames of one grey each: the frame's number over 100. Frame 7 cannot be read.
type greys struct{}

var errGone = errors.New("frame 7 cannot be read")

func (greys) Frame(_ context.Context, n int) (*colour.Image, error) {
	if n == 7 {
		return nil, errGone
	}
	m := colour.NewImage(960, 540)
	for _, p := range []colour.Plane{m.R, m.G, m.B} {
		for i := range p.Pix {
			p.Pix[i] = float32(n) / 100
		}
	}
	return m, nil
}

func newClip(v view.View, frames ...int) Clip {
	s := study.New(study.Clip{Path: "greys", First: 0, Count: 100})
	m := s.AddMatte("sand", selection.LCh)
	return Clip{Study: s, Renderer: render.New(greys{}, 0, render.DefaultCache), Matte: m, View: v, Frames: frames}
}

// Few frames are drawn large, many small, and progress tells each.
func TestClipOnASheet(t *testing.T) {
	c := newClip(view.Trial, 10, 20)
	var told [][3]int
	c.Progress = func(done, total, frame int) { told = append(told, [3]int{done, total, frame}) }
	few, err := c.Draw(t.Context())
	require.NoError(t, err)
	assert.Equal(t, [][3]int{{1, 2, 10}, {2, 2, 20}}, told)
	assert.Equal(t, 16+2*496, few.Rect.Dx())
	for i, want := range []float32{0.1, 0.2} {
		assert.InDelta(t, colour.Code8(want), few.RGBAAt(16+496*i+240, 16+135).G, 1)
	}

	many := newClip(view.Matte, Every([]int{1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 21, 22, 23}, 2)...)
	require.Len(t, many.Frames, 11)
	sheet, err := many.Draw(t.Context())
	require.NoError(t, err)
	assert.Equal(t, 16+5*336, sheet.Rect.Dx())
	assert.Equal(t, 16+3*238, sheet.Rect.Dy(), "three rows of five")
	assert.EqualValues(t, 255, sheet.RGBAAt(16+160, 16+90).R, "a matte that asks for nothing keeps all")
}

func TestAFrameThatCannotBeRead(t *testing.T) {
	_, err := newClip(view.Hatch, 6, 7, 8).Draw(t.Context())
	require.ErrorIs(t, err, errGone)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = newClip(view.Hatch, 6).Draw(ctx)
	require.ErrorIs(t, err, context.Canceled)
}
