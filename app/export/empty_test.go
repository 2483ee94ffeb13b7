package export

import (
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/mask"
)

// A matte that keeps nothing is told of, with its frames, also where its files are left as
// they are; nothing is rendered for it.
func TestBlackMattesAreToldOf(t *testing.T) {
	j, source := clipJob(t, t.TempDir(), 4)
	j.Sheets, j.Depth = true, 8
	skin, sand := j.Mattes[0], j.Mattes[1]
	far := []mask.Point{{X: 900, Y: 900}, {X: 950, Y: 900}, {X: 950, Y: 950}}
	beyond := study.MaskKey{Points: far, Opacity: 1}
	sand.Masks = nil
	j.Study.AddMask(sand, "beyond", study.Keep, beyond)
	j.Study.AddMask(skin, "beyond", study.Keep, beyond)
	skin.Masks[0].In = study.Bound{Set: true, Frame: 2} // before that the other mask is alone
	var read atomic.Int32
	source.asked = func(int) error {
		read.Add(1)
		return nil
	}
	for _, again := range []bool{false, true} {
		done, err := j.Run(t.Context())
		require.NoError(t, err)
		assert.Equal(t, []string{
			`matte "skin" keeps nothing on frames 0-1 (of 4 exported): it is black there`,
			`matte "sand" keeps nothing on frames 0-3 (of 4 exported): it is black there`,
		}, EmptyLines(done), again)
		if again {
			assert.LessOrEqual(t, read.Load(), int32(1), "a frame for its size, as ever")
		}
		read.Store(0)
		j.Sheets = false
	}
	j.Kind, j.Folder = Mask, t.TempDir()
	done, err := j.Run(t.Context())
	require.NoError(t, err)
	assert.Empty(t, EmptyLines(done), "of mattes alone")
	assert.Empty(t, EmptyLines(nil))
}
