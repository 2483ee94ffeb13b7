package batch

import (
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/work"
)

// What the demo writes is what the window opens: a study of the whole clip with
// keyed masks and base.
func TestClipsStudyOpens(t *testing.T) {
	folder := t.TempDir()
	demo, err := makeTake(t.Context(), folder, "demo", 1, size{320, 180}, 8)
	require.NoError(t, err)
	require.NoError(t, demo.SetBase(t.Context()))
	require.NoError(t, demo.save(t.Context()))
	w, err := work.OpenStudy(t.Context(), filepath.Join(folder, "demo.halocline"))
	require.NoError(t, err)
	require.Equal(t, 8, w.Clip.Count())
	base := &w.Study.Base
	require.Equal(t, []int{1, 4, 8}, []int{base.Gain[0].Keys[0].Frame, base.Gain[0].Keys[1].Frame, base.Gain[0].Keys[2].Frame})
	require.Len(t, base.Veil[2].Keys, 3)
	skin := &w.Study.Mattes[0]
	require.NotEmpty(t, skin.Masks)
	require.Greater(t, len(skin.Masks[0].Keys), 2)
	dabbed := map[int]int{}
	for _, d := range skin.Dabs {
		dabbed[d.Frame]++
	}
	require.Len(t, dabbed, 3)
	require.Len(t, w.Study.Mattes[1].Masks[0].Keys, 3, "the line above the sand too")
	files, err := demo.exportMattes(t.Context(), demo.mattes()[:1], demo.Frames)
	require.NoError(t, err)
	require.Len(t, files, 8)
	v, err := demo.ScoreClip(t.Context(), demo.exported(files))
	require.NoError(t, err)
	again, err := demo.ScoreClip(t.Context(), demo.RenderedSkin)
	require.NoError(t, err)
	require.InDelta(t, again.Mean, v.Mean, 1e-4, "16 bits lose nothing")
	require.True(t, slices.Contains(demo.Frames, v.At))
}
