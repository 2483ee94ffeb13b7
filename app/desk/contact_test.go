package desk

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/view"
)

// The sheet shows every n-th frame of the part in work, and the matte as it is when it is asked for.
func TestContactOfThePartInWork(t *testing.T) {
	r := newRig(t, 9, 4, 5)
	sheet := r.ContactOf(view.Hatch, 2)
	assert.Equal(t, []int{1, 3, 7, 9}, sheet.Frames)
	assert.Equal(t, r.MatteID, sheet.Matte.ID)
	r.Set(func() { r.Ends = [2]int{2, 7} })
	assert.Equal(t, []int{2, 3, 6, 7}, r.ContactOf(view.Matte, 1).Frames)
	before, err := sheet.Draw(t.Context())
	require.NoError(t, err)
	r.Slide("Soften", 0, softened(3))
	again, err := sheet.Draw(t.Context())
	require.NoError(t, err)
	assert.Equal(t, before.Pix, again.Pix, "edits go on meanwhile")
}
