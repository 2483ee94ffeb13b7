package export

import (
	"context"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
)

func TestShardsDivideFrames(t *testing.T) {
	for _, frames := range []int{0, 1, 3, 4, 9, 100} {
		numbers := make([]int, frames)
		for i := range numbers {
			numbers[i] = i + 7
		}
		for _, of := range []int{1, 2, 4, 7} {
			var all []int
			for i := range of {
				part := Shard{i, of}.Part(numbers)
				assert.InDelta(t, float64(frames)/float64(of), float64(len(part)), 1)
				all = append(all, part...)
			}
			assert.Len(t, all, frames)
			assert.Subset(t, numbers, all)
		}
	}
	s, err := ParseShard("2/4")
	require.NoError(t, err)
	assert.Equal(t, Shard{2, 4}, s)
	assert.Equal(t, "manifest.2-of-4.jsonl", s.ManifestName())
	assert.Equal(t, ManifestName, Shard{0, 1}.ManifestName())
	for _, wrong := range []string{"", "4", "4/4", "-1/4", "1/0", "a/b", "1/2/3", "0/99999999"} {
		_, err := ParseShard(wrong)
		assert.ErrorContains(t, err, "want I/N", wrong)
	}
}

// shards runs a job in n parts at the same time, in one folder.
func shards(t *testing.T, j Job, n int) {
	t.Helper()
	var group sync.WaitGroup
	for i := range n {
		part := j
		part.Shard = Shard{i, n}
		group.Go(func() {
			_, err := part.Run(context.Background())
			assert.NoError(t, err)
		})
	}
	group.Wait()
}

// Four shards at once write what one run writes, and their folder verifies; where
// one is not run, its frames are missing.
func TestShardsAreOneRun(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 11)
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	want := files(t, j.Folder)

	j.Folder = t.TempDir()
	shards(t, j, 4)
	require.True(t, maps.Equal(want, files(t, j.Folder)))
	for i := range 4 {
		require.FileExists(t, filepath.Join(j.Folder, Shard{i, 4}.ManifestName()))
	}
	require.NoFileExists(t, filepath.Join(j.Folder, ManifestName))
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	require.Equal(t, Report{Good: 22}, report)

	several := []string{t.TempDir(), t.TempDir()}
	for i, of := range []int{0, 2} {
		j.Folder, j.Shard = several[i], Shard{of, 4}
		_, err := j.Run(t.Context())
		require.NoError(t, err)
	}
	report, err = Verify(t.Context(), nil, several...)
	require.NoError(t, err)
	assert.Equal(t, []Gap{{Matte, "sand", 1, "2-4,8-10", 6}, {Matte, "skin", 1, "2-4,8-10", 6}}, report.Missing)
	assert.False(t, report.Sound())
	report, err = Verify(t.Context(), []clip.Span{{From: 0, To: 1}, {From: 5, To: 7}}, several...)
	require.NoError(t, err)
	assert.True(t, report.Sound())
	j.Folder = several[1]
	j.Shard = Shard{0, 4}
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	report, err = Verify(t.Context(), nil, several...)
	require.NoError(t, err)
	require.Len(t, report.Duplicates, 4)
	assert.Equal(t, 0, report.Duplicates[0].Frame)
	assert.Equal(t, filepath.ToSlash(filepath.Join(several[1], "sand", "dive-sand.000000.png")), report.Duplicates[0].Names[1])
}

// An export takes over what another manifest of its folder lists: whichever wrote a
// file last counts, also where the first has another turn.
func TestManifestsTakeTurns(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 6)
	runs := func(change func()) {
		change()
		_, err := j.Run(t.Context())
		require.NoError(t, err)
		report, err := Verify(t.Context(), nil, j.Folder)
		require.NoError(t, err)
		require.Empty(t, report.Faults)
	}
	runs(func() {})
	var told []string
	j.Notice = func(s string) { told = append(told, s) }
	runs(func() { j.Shard = Shard{1, 2} })
	require.Contains(t, told[0], "6 of 6 files are there", "another manifest knows them")
	require.FileExists(t, filepath.Join(j.Folder, "manifest.1-of-2.jsonl"), "the plan is in it")
	told = nil
	runs(func() { j.Depth = 8 })
	runs(func() { j.Shard, j.Depth = Shard{}, 16 })
	runs(func() { j.Shard, j.Depth = Shard{0, 3}, 8 })
	runs(func() { j.Shard, j.Depth = Shard{1, 2}, 16 })
	runs(func() { j.Depth = 8 })
	require.Len(t, told, 2, "those of the second and of the fourth run stood")
	assert.Contains(t, told[0], "6 of 12 files are there")
	assert.Contains(t, told[1], "6 of 6 files are there")
}

func TestVerifyTellsOfStrangers(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 2)
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	for _, name := range []string{"skin/dive-skin.000009.png", "notes.txt", ".halocline-0.part", "skin/.thumb.png"} {
		require.NoError(t, os.WriteFile(filepath.Join(j.Folder, filepath.FromSlash(name)), []byte("x"), 0o666))
	}
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	assert.Equal(t, []string{"skin/dive-skin.000009.png"}, report.Strangers)
	assert.True(t, report.Sound())
	require.NoError(t, os.Remove(filepath.Join(j.Folder, "skin", "dive-skin.000000.png")))
	report, err = Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	assert.Equal(t, 3, report.Good)
	assert.Equal(t, "no such file", report.Faults[0].Found)
	assert.Empty(t, report.Missing, "it is listed")
}

// Each frame is of the newest plan that lists it, also one of other footage of the same
// name: the other frames' plans stand.
func TestTheNewestPlanOfAFrameCounts(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 9)
	all := j.Frames
	skin := func() map[int]string {
		m, err := openManifest(j.Folder, ManifestName)
		require.NoError(t, err)
		stand, err := standingOf(m.plans)
		require.NoError(t, err)
		frames := map[int]string{}
		for _, s := range stand {
			if s.matte == "skin" {
				spans, err := clip.ParseSpans(strings.Trim(frames[s.plan]+","+s.Span.String(), ","))
				require.NoError(t, err)
				frames[s.plan] = strings.ReplaceAll(clip.SpansText(spans), ", ", ",")
			}
		}
		return frames
	}
	run := func(frames []int) {
		j.Frames = frames
		_, err := j.Run(t.Context())
		require.NoError(t, err)
	}
	run(all[:3])
	run(all[6:])
	run(all[1:4])
	assert.Equal(t, map[int]string{1: "0", 2: "6-8", 3: "1-3"}, skin())
	run(all[6:])
	assert.Equal(t, map[int]string{1: "0", 2: "6-8", 3: "1-3"}, skin(), "the same export is the same plan")
	run(all[:3])
	assert.Equal(t, map[int]string{2: "6-8", 3: "3", 4: "0-2"}, skin(), "unless another came between")
	j.Study.Clip.SHA256, j.Overwrite = "other", true
	run(all[2:3])
	assert.Equal(t, map[int]string{2: "6-8", 3: "3", 4: "0-1", 5: "2"}, skin())
	report, err := Verify(t.Context(), nil, j.Folder)
	require.NoError(t, err)
	assert.True(t, report.Sound())
}

func TestSpansAreDivided(t *testing.T) {
	var s spanSet
	span := func(from, to int) clip.Span { return clip.Span{From: from, To: to} }
	assert.Equal(t, []clip.Span{span(5, 9)}, s.add(span(5, 9)))
	assert.Equal(t, []clip.Span{span(20, 30)}, s.add(span(20, 30)))
	assert.Empty(t, s.add(span(6, 8)))
	assert.Equal(t, []clip.Span{span(1, 4), span(10, 19), span(31, 40)}, s.add(span(1, 40)))
	assert.Equal(t, spanSet{span(1, 40)}, s)
	assert.True(t, s.meets(span(40, 50)))
	assert.False(t, s.meets(span(41, 50)))
	// Against a set of single numbers.
	r := rand.New(rand.NewPCG(3, 4))
	s = nil
	want := map[int]bool{}
	for range 500 {
		from := r.IntN(300)
		part := span(from, from+r.IntN(12))
		var fresh, got []int
		for n := part.From; n <= part.To; n++ {
			if !want[n] {
				fresh = append(fresh, n)
			}
			want[n] = true
		}
		numbers, err := numbersIn(s.add(part))
		require.NoError(t, err)
		got = numbers
		require.Equal(t, fresh, got)
	}
}

func TestFramesAsText(t *testing.T) {
	_, err := numbersIn([]clip.Span{{From: 0, To: 999_999_999}})
	require.ErrorContains(t, err, "more than")
	assert.Equal(t, "1-3,5,8-9", FramesText([]int{1, 2, 3, 5, 8, 9}))
	assert.Empty(t, FramesText(nil))
}
