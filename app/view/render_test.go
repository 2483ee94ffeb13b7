package view

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// A still is a source of one picture.
type still struct{ picture *colour.Image }

func (s still) Frame(context.Context, int) (*colour.Image, error) { return s.picture, nil }

// reds is a study of a still on which two mattes, of its reds and of its blues, are
// graded differently.
func reds() (*render.Renderer, *study.Study) {
	m := colour.NewImage(70, 40)
	for i := range m.R.Pix {
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = 0.9-float32(i%70)/100, 0.3, 0.2+float32(i%70)/100
	}
	s := study.New(study.Clip{Path: "still", First: 1, Count: 1})
	for i, hue := range []selection.Range{{From: 330, To: 20}, {From: 220, To: 260}} {
		p := s.AddMatte([]string{"reds", "blues"}[i], selection.HSL)
		p.Pick.Limits[selection.Hue].Off = false
		p.Pick.Limits[selection.Hue].Fix(hue)
		p.Trial.Slope[i].Fix(0.5)
	}
	return render.New(still{m}, 1, render.DefaultCache), s
}

// Layers are what the renderer gives, no more than is needed, and they say which
// part of the frame they are of.
func TestRender(t *testing.T) {
	r, s := reds()
	for _, q := range []render.Request{
		{Study: s, Settings: &s.Mattes[0].Settings, Frame: 1},
		{Study: s, Settings: &s.Mattes[0].Settings, Frame: 1, Region: image.Rect(10, 5, 31, 44), Factor: 3},
	} {
		shown, err := r.Shown(t.Context(), q)
		require.NoError(t, err)
		w, h := shown.Size()
		for _, view := range All {
			l, err := Render(t.Context(), r, q, view)
			require.NoError(t, err)
			gw, gh, err := l.size(view)
			require.NoError(t, err, "%v", view)
			assert.Equal(t, [2]int{w, h}, [2]int{gw, gh})
			assert.Equal(t, image.Pt(w, h).Mul(l.Factor), l.Region.Size(), "whole samples")
			needShown, needMatte, needReasons, needTrial := view.Needs()
			assert.Equal(t, []bool{needShown, needMatte, needReasons, needTrial}, []bool{l.Shown != nil, l.Matte != nil, l.Reasons != nil, l.Trial != nil})
		}
	}
	two, err := Render(t.Context(), r, render.Request{Study: s, Settings: &s.Mattes[0].Settings, Frame: 1}, Trial, Matte)
	require.NoError(t, err)
	assert.True(t, two.Trial != nil && two.Matte != nil)
	none, err := Render(t.Context(), r, render.Request{Study: s, Frame: 1}, Frame, Matte, Reasons)
	require.NoError(t, err)
	assert.True(t, none.Shown != nil && none.Matte == nil && none.Reasons == nil, "there is no matte")
	_, err = Render(t.Context(), r, render.Request{Study: s, Frame: 1, Region: image.Rect(70, 0, 80, 9)}, Frame)
	assert.ErrorContains(t, err, "lies outside the frame")
}

// Alone, a matte's trial grades without those of the others.
func TestRenderAlone(t *testing.T) {
	r, s := reds()
	q := render.Request{Study: s, Settings: &s.Mattes[0].Settings, Frame: 1}
	all, err := Render(t.Context(), r, q, Trial, Frame)
	require.NoError(t, err)
	one, err := RenderAlone(t.Context(), r, q, Trial)
	require.NoError(t, err)
	red, blue := 0, 65
	assert.NotEqual(t, all.Shown.RGB(red, 9), one.Trial.RGB(red, 9))
	assert.Equal(t, all.Trial.RGB(red, 9), one.Trial.RGB(red, 9))
	assert.NotEqual(t, all.Trial.RGB(blue, 9), one.Trial.RGB(blue, 9))
	assert.Equal(t, all.Shown.RGB(blue, 9), one.Trial.RGB(blue, 9))
}
