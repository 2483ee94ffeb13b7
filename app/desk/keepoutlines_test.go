package desk

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/follow/kept"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/work"
)

// savedFollowed is a followed rig whose study is in a file beside its frames.
func savedFollowed(t *testing.T) (r *rig, path string) {
	t.Helper()
	r = newFollowedRig(t, 7, 0)
	path = filepath.Join(filepath.Dir(r.Study().Clip.Path), "tape"+study.Ending)
	require.NoError(t, r.SaveTo(path))
	r.moving.Wait()
	return r, path
}

// reopened is a desk on a study's file.
func reopened(t *testing.T, path string) *rig {
	t.Helper()
	r := newIdleRig(t)
	w, err := work.Open(t.Context(), path)
	require.NoError(t, err)
	r.Begin(w, study.NewSession(w.Study, path))
	return r
}

// outlinesBeside counts the files that are kept beside a study.
func outlinesBeside(t *testing.T, path string) int {
	t.Helper()
	all, err := filepath.Glob(filepath.Join(kept.Beside(path), "*.outline"))
	require.NoError(t, err)
	return len(all)
}

// What is found while a study has no file is written beside the one that it gets; opened again,
// it is known without following anything.
func TestFoundOutlinesAreKeptBesideTheStudy(t *testing.T) {
	r := newFollowedRig(t, 7, 0)
	folder := filepath.Dir(r.Study().Clip.Path)
	r.GoToFrame(4)
	o := r.awaitOutline()
	path := filepath.Join(folder, "tape"+study.Ending)
	require.NoDirExists(t, kept.Beside(path))
	require.NoError(t, r.SaveTo(path))
	r.moving.Wait()
	require.Positive(t, outlinesBeside(t, path))

	again := reopened(t, path)
	again.GoToFrame(4)
	found := again.awaitOutline()
	assert.Equal(t, o.Found.Outline, found.Found.Outline)
	assert.Equal(t, o.Confidence, found.Confidence)
	assert.Zero(t, again.Work.Renderer.Runs()[render.FindFlow], "nothing was followed")
}

// What is found once there is a file is written at once, and goes along where the study is
// saved under another name.
func TestKeptOutlinesGoAlongWithTheStudy(t *testing.T) {
	r, path := savedFollowed(t)
	r.GoToFrame(4)
	r.awaitOutline()
	require.Positive(t, outlinesBeside(t, path))
	next := filepath.Join(t.TempDir(), "next"+study.Ending)
	require.NoError(t, r.SaveTo(next))
	r.moving.Wait()
	assert.Equal(t, outlinesBeside(t, path), outlinesBeside(t, next))
	again := reopened(t, next)
	again.GoToFrame(4)
	again.awaitOutline()
	assert.Zero(t, again.Work.Renderer.Runs()[render.FindFlow])
}

// Where nothing can be written beside a study, that is noted once, and the work goes on.
func TestAFolderThatCannotBeWritten(t *testing.T) {
	_, path := savedFollowed(t)
	require.NoError(t, os.RemoveAll(kept.Beside(path)))
	require.NoError(t, os.WriteFile(kept.Beside(path), nil, 0o600))
	r := reopened(t, path)
	for _, frame := range []int{4, 5} {
		r.GoToFrame(frame)
		require.False(t, r.awaitOutline().Found.Lost)
	}
	r.play()
	assert.Empty(t, r.problems)
	var told []string
	for _, n := range r.notes {
		if strings.Contains(n, kept.Beside(path)) {
			told = append(told, n)
		}
	}
	require.Len(t, told, 1)
	assert.Contains(t, told[0], "outlines cannot be kept and are made anew next time")
}

// What is judged over the clip and what is looked at carry a stretch once between them.
func TestTheClipIsJudgedByTheSameOutlines(t *testing.T) {
	r, _ := savedFollowed(t)
	r.await("the verdict", func() bool { v := r.Verdict(); return v.Of == 7 && v.Left == 0 })
	before := r.Work.Renderer.Runs()[render.FindFlow]
	r.GoToFrame(4)
	r.awaitOutline()
	assert.Equal(t, before, r.Work.Renderer.Runs()[render.FindFlow])
}
