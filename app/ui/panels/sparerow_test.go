package panels

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/mask"
)

// The row is there where keys might go: it looks, can be stopped, and asks which are to go.
func TestTheRowOfSpareKeys(t *testing.T) {
	w, h := onFollowed(t)
	row := masksOf(w).time.spare
	assert.False(t, row.all.Visible())
	w.desk.EditMask("Follow", func(m *study.Mask) error {
		m.Keys[0].Way = mask.Follow
		k := m.Keys[0]
		k.Frame, k.Points = 7, about(7)
		m.SetKey(k)
		return nil
	})
	require.True(t, row.all.Visible())
	assert.Equal(t, lookLabel, row.look.Label())
	h.PressOn(t, row.look)
	assert.Equal(t, stopLabel, row.look.Label())
	assert.Regexp(t, `^(looking|key 1 of 1)$`, row.words.Text())
	h.PressOn(t, row.look)
	assert.False(t, w.desk.SeeksSpareKeys())
	assert.Equal(t, lookLabel, row.look.Label())
	assert.Empty(t, row.words.Text())
	h.PressOn(t, row.look)
	stage.Eventually(t, "the search", func() bool { return !w.desk.SeeksSpareKeys() })
	require.Equal(t, "1 key can go", row.words.Text())
	assert.Equal(t, removeLabel, row.look.Label())
	h.PressOn(t, row.look)
	assert.Contains(t, w.asked, "spare keys")
	w.desk.RemoveSpareKeys(7)
	assert.False(t, row.all.Visible(), "the first and the last stay")
}
