package frame

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/selection"
)

// What joined mattes take away has an entry where the matte takes in any.
func TestTheLegendOfAJoinedMatte(t *testing.T) {
	l := newLegend()
	m := &study.Matte{Settings: study.NewSettings(selection.LCh)}
	s := render.Shares{selection.In: 0.5, selection.ByEdge: 0.1, selection.ByJoin: 0.4}
	l.set(m, s, true)
	assert.False(t, l.joined.Visible())
	assert.Equal(t, "10.0 %", l.shares[selection.ByEdge].Text())
	low := l.all.MinSize()
	m.TakeIn(7, study.TakeAway)
	l.set(m, s, true)
	assert.True(t, l.joined.Visible())
	assert.Equal(t, []string{"joined", "40.0 %"}, []string{l.names[selection.ByJoin].Text(), l.shares[selection.ByJoin].Text()})
	assert.Equal(t, low.Width, l.all.MinSize().Width, "it stands below the others")
	assert.Greater(t, l.all.MinSize().Height, low.Height)
}

// What lies beyond a found edge has an entry where a mask searches.
func TestTheLegendOfAFoundEdge(t *testing.T) {
	l := newLegend()
	m := &study.Matte{Settings: study.NewSettings(selection.LCh)}
	s := render.Shares{selection.In: 0.5, selection.ByMask: 0.2, selection.ByFound: 0.3}
	m.Masks = []study.Mask{{}}
	l.set(m, s, true)
	assert.False(t, l.found.Visible())
	low := l.all.MinSize()
	m.Masks[0].Search = 24
	l.set(m, s, true)
	assert.True(t, l.found.Visible())
	assert.False(t, l.joined.Visible())
	assert.Equal(t, []string{"beyond the found edge", "30.0 %"}, []string{l.names[selection.ByFound].Text(), l.shares[selection.ByFound].Text()})
	assert.Equal(t, low.Width, l.all.MinSize().Width, "it stands below the others")
	high := l.all.MinSize()
	assert.Greater(t, high.Height, low.Height)
	m.TakeIn(7, study.TakeAway)
	l.set(m, s, true)
	assert.True(t, l.joined.Visible())
	assert.Equal(t, high, l.all.MinSize(), "both in one row")
}
