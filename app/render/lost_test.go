package render

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
	"halocline/selection"
)

// Edges that were not found are known by the mask, on the frame, in mattes that take the
// mask's in too, and after the cache has forgotten what came of them.
func TestLostEdges(t *testing.T) {
	s := searching(t, 160, 90, 0)
	m := s.matte()
	m.Masks = m.Masks[:1]
	lost := m.Masks[0].ID
	m.MaskDabs = []study.Dab{{ID: 900, Frame: s.request().Frame, X: 80, Y: 45, Radius: 300, Kind: study.Drop}}
	away := study.Mask{ID: 950, Name: "away", Track: mask.Track{Search: 12, Keys: []study.MaskKey{{Opacity: 1, Points: []study.Point{{X: 900, Y: 0}, {X: 990, Y: 0}, {X: 990, Y: 90}}}}}}
	m.Masks = append(m.Masks, away)
	r := New(s, 2, DefaultCache)
	q := s.request()
	assert.Empty(t, r.LostEdges(s.study, &m.Settings, q.Frame), "none was looked for")
	_, err := r.Mask(t.Context(), q)
	require.NoError(t, err)
	assert.Equal(t, []int{lost}, r.LostEdges(s.study, &m.Settings, q.Frame), "of a mask off the picture no edge is missed")
	assert.Equal(t, 2, r.Runs()[FindEdge])
	r.Forget()
	assert.Equal(t, []int{lost}, r.LostEdges(s.study, &m.Settings, q.Frame))
	assert.Equal(t, 2, r.Runs()[FindEdge], "none is looked for to tell")

	other := s.study.AddMatte("both", selection.LCh)
	other.Joins = []study.Join{{With: s.matte().ID}}
	assert.Equal(t, []int{lost}, r.LostEdges(s.study, &other.Settings, q.Frame))

	m = s.matte()
	m.MaskDabs[0].Radius = 1
	q = s.request()
	_, err = r.Mask(t.Context(), q)
	require.NoError(t, err)
	assert.Empty(t, r.LostEdges(s.study, &m.Settings, q.Frame))
}
