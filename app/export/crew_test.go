package export

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A reel is footage in memory: frame n is one picture, moved by n pixels; it begins
// anew after frames, where that is not 0.
type reel struct {
	frames  int
	picture *colour.Image
	path    string // of the file that holds all frames; "" for none
	asked   func(n int) error
}

func (s reel) Path(int) string { return s.path }

func (s reel) Frame(ctx context.Context, n int) (*colour.Image, error) {
	if s.asked != nil {
		if err := s.asked(n); err != nil {
			return nil, err
		}
	}
	if s.frames > 0 {
		n %= s.frames
	}
	w, h := s.picture.Size()
	m := colour.NewImage(w, h)
	for i, p := range []colour.Plane{s.picture.R, s.picture.G, s.picture.B} {
		to := []colour.Plane{m.R, m.G, m.B}[i]
		copy(to.Pix[n:], p.Pix[:len(p.Pix)-n])
	}
	return m, ctx.Err()
}

var smallScene = sync.OnceValues(func() (*scene.Frame, error) { return scene.Render(context.Background(), 1, 1, 320, 180, 0) })

// clipJob exports two mattes of a reel of small frames: one with masks that move,
// smoothed noise, a base, and all of the edge treatment; one with a mask that stands still.
func clipJob(t testing.TB, out string, frames int) (j Job, source *reel) {
	t.Helper()
	f, err := smallScene()
	require.NoError(t, err)
	source = &reel{picture: f.Image}
	s := study.New(study.Clip{Path: "dive.mov", First: 0, Count: frames, Rate: [2]int{25, 1}, Noise: colour.Noise(f.Image)})
	s.Base.Exposure.Set(0, 0.2)
	s.AddMatte("skin", selection.LCh)
	s.AddMatte("sand", selection.HSL)
	a, b := &s.Mattes[0], &s.Mattes[1]
	a.Edge.Despeckle.Fix(12)
	a.Edge.Align.Fix(3)
	a.Edge.Soften.Fix(1.2)
	for _, m := range []*study.Matte{a, b} {
		m.Pick.Limits[selection.Light].Off = false
		m.Pick.Limits[selection.Light].Fix(selection.Range{From: 30, To: 60, Before: 9, After: 9})
		s.AddMask(m, "figure", study.Keep, study.MaskKey{Points: []mask.Point{{X: 20, Y: 10}, {X: 300, Y: 30}, {X: 180, Y: 170}}, Inner: 5, Outer: 5, Opacity: 1})
	}
	key := a.Masks[0].Keys[0]
	key.Frame = 9
	key.Points = []mask.Point{{X: 40, Y: 20}, {X: 300, Y: 30}, {X: 150, Y: 170}}
	a.Masks[0].SetKey(key)
	pattern, err := ParsePattern(DefaultPattern)
	require.NoError(t, err)
	j = Job{
		Study: s, Renderer: render.New(source, 1, render.DefaultCache), Mattes: []*study.Matte{a, b},
		Kind: Matte, Depth: 16, Pattern: pattern, Folder: out,
	}
	for n := range frames {
		j.Frames = append(j.Frames, n)
	}
	return j, source
}

// files returns what is under a folder, by name, but for manifests.
func files(t testing.TB, folder string) map[string]string {
	t.Helper()
	all := map[string]string{}
	err := filepath.WalkDir(folder, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() || isManifest(d.Name()) {
			return err
		}
		text, err := os.ReadFile(path)
		all[path[len(folder)+1:]] = string(text)
		return err
	})
	require.NoError(t, err)
	return all
}

// One worker and several, in one run and in shards, write the same bytes, and tell
// of each picture once.
func TestAnyWorkersWriteTheSame(t *testing.T) {
	const frames = 10
	j, source := clipJob(t, t.TempDir(), frames)
	j.Workers = 1
	want, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Len(t, want, 2*frames)
	wantFiles := files(t, j.Folder)
	for _, path := range []string{"", "dive.mov"} {
		source.path = path
		for _, workers := range []int{2, 3, 7} {
			j.Folder, j.Workers = t.TempDir(), workers
			told := map[string]int{}
			j.Progress = func(s Progress) {
				told[s.Entry.Name]++
				assert.Equal(t, 2*frames, s.Total)
				assert.Len(t, told, s.Done)
				assert.False(t, s.Left)
			}
			got, err := j.Run(t.Context())
			require.NoError(t, err)
			for i := range got {
				got[i].Footage = ""
			}
			require.Equal(t, want, got, "in their order")
			require.Len(t, told, 2*frames)
			require.True(t, maps.Equal(wantFiles, files(t, j.Folder)), "%d workers", workers)
			report, err := Verify(t.Context(), nil, j.Folder)
			require.NoError(t, err)
			require.True(t, report.Sound())
		}
	}
}

// The frames of a movie are decoded in order, one at a time, each once, also for
// several mattes; those that are left are not.
func TestFramesOfAMovieInOrder(t *testing.T) {
	j, source := clipJob(t, t.TempDir(), 12)
	source.path = "dive.mov"
	var asked []int
	source.asked = func(n int) error { // without a lock: the race detector would see two at once
		asked = append(asked, n)
		return nil
	}
	j.Workers = 4
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Equal(t, j.Frames, asked)
	require.NoError(t, os.Remove(filepath.Join(j.Folder, "sand", "dive-sand.000007.png")))
	asked = nil
	_, err = j.Run(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []int{0, 7}, asked, "the first tells the size")
}

// What goes wrong with one frame stops all workers and is what is said.
func TestErrorStopsAllWorkers(t *testing.T) {
	wrong := errors.New("no such light")
	j, source := clipJob(t, t.TempDir(), 60)
	source.asked = func(n int) error {
		if n == 5 {
			return wrong
		}
		return nil
	}
	j.Workers = 3
	done, err := j.Run(t.Context())
	require.ErrorIs(t, err, wrong)
	require.Less(t, len(done), 60)
	source.asked = nil
	told := 0
	j.Notice = func(string) { told++ }
	all, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Len(t, all, 120)
	assert.Equal(t, 1, told, "the next run goes on")

	ctx, cancel := context.WithCancel(t.Context())
	var asked atomic.Int64
	source.asked = func(int) error {
		if asked.Add(1) == 4 {
			cancel()
		}
		return nil
	}
	j.Folder = t.TempDir()
	done, err = j.Run(ctx)
	require.ErrorIs(t, err, context.Canceled)
	require.Less(t, len(done), 20)
}

func TestWorkersWithinMemory(t *testing.T) {
	const hd = 1920 * 1080
	for _, tt := range []struct {
		workers int
		memory  int64
		pixels  int
		want    int
	}{
		{5, 3 * hd * bytesPerPixel, hd, 3},
		{2, 3 * hd * bytesPerPixel, hd, 2},
		{5, 1, hd, 1},
		{1 << 20, 0, 4 * hd, DefaultMemory * runtime.GOMAXPROCS(0) / (4 * hd * bytesPerPixel)},
		{0, 1 << 60, hd, runtime.GOMAXPROCS(0)},
	} {
		assert.Equal(t, tt.want, Job{Workers: tt.workers, Memory: tt.memory}.most(tt.pixels), fmt.Sprint(tt))
	}
}

// Every matte that is made of a frame takes room, once: those of the pictures and all that
// they take in.
func TestRoomForMattesThatAreTakenIn(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	third := j.Study.AddMatte("third", selection.LCh).ID
	skin, sand := &j.Study.Mattes[0], &j.Study.Mattes[1]
	j.Mattes = []*study.Matte{skin}
	assert.Equal(t, bytesPerPixel, j.perPixel())
	sand.TakeIn(third, study.Add)
	skin.TakeIn(sand.ID, study.Add)
	skin.TakeIn(third, study.TakeAway)
	assert.Equal(t, bytesPerPixel+2*bytesPerMatte, j.perPixel())
	assert.Equal(t, 2, j.mostOf(5, 2*1000*(bytesPerPixel+2*bytesPerMatte)))
	assert.Equal(t, 1, j.mostOf(5, 2*1000*(bytesPerPixel+2*bytesPerMatte)-1))
	j.Mattes = []*study.Matte{sand, skin}
	assert.Equal(t, bytesPerPixel+2*bytesPerMatte, j.perPixel(), "each once")
	j.Mattes = nil
	j.Kind = Trial
	assert.Equal(t, bytesPerPixel+2*bytesPerMatte, j.perPixel())
	j.Kind = Base
	assert.Equal(t, bytesPerPixel, j.perPixel())
}

// mostOf is most, for workers and memory, on frames of 1000 pixels.
func (j Job) mostOf(workers int, memory int64) int {
	j.Workers, j.Memory = workers, memory
	return j.most(1000)
}

// Who asks for more workers than memory has room for is told.
func TestTooLittleMemoryIsTold(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 4)
	var told []string
	j.Notice = func(s string) { told = append(told, s) }
	j.Workers, j.Memory = 3, int64(320*180*j.perPixel()*5/2)
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	require.Len(t, told, 1)
	assert.Contains(t, told[0], "2 frames of 320 x 180 pixels are made at once, not 3: more would take over ")
}

// What a manifest says of a frame in time.
func TestFramesHaveTimes(t *testing.T) {
	j, _ := clipJob(t, t.TempDir(), 3)
	j.Study.Clip.Rate = [2]int{30000, 1001}
	done, err := j.Run(t.Context())
	require.NoError(t, err)
	assert.EqualValues(t, "0.066733", done[4].Time) // 2 x 1001 / 30000
	assert.Equal(t, "00:00:00:02", done[4].Timecode)
	seconds, code := frameTime(7, [2]int{}, 0, false)
	assert.Empty(t, seconds)
	assert.Empty(t, code)
	seconds, code = frameTime(7, [2]int{25, 1}, 0.31, true)
	assert.EqualValues(t, "0.310000", seconds)
	assert.Empty(t, code, "the rate varies: it would be shown at 0.28")
	seconds, code = frameTime(7, [2]int{25, 1}, 0.281, true)
	assert.EqualValues(t, "0.281000", seconds)
	assert.Equal(t, "00:00:00:07", code)
}

var (
	_ render.FileSource  = (*clip.Clip)(nil)
	_ render.TimedSource = (*clip.Clip)(nil)
)

// A long clip takes no more memory than a short one, but for the few hundred bytes
// that the manifest knows of each file.
func TestLongClipTakesNoMoreMemory(t *testing.T) {
	const frames = 400
	j, source := clipJob(t, t.TempDir(), frames)
	w, h := 64, 36
	small := colour.NewImage(w, h)
	for i, to := range []colour.Plane{small.R, small.G, small.B} {
		copy(to.Pix, []colour.Plane{source.picture.R, source.picture.G, source.picture.B}[i].Pix)
	}
	source.picture = small
	source.frames = 100
	j.Mattes = j.Mattes[:1]
	j.Workers = 2
	used := map[int]uint64{}
	j.Progress = func(s Progress) {
		if s.Done == 100 || s.Done == frames {
			runtime.GC()
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			used[s.Done] = m.HeapAlloc
		}
	}
	_, err := j.Run(t.Context())
	require.NoError(t, err)
	more := float64(used[frames]) - float64(used[100])
	assert.Less(t, more/(frames-100), 4000., "bytes for each further frame; its planes are %d", 12*w*h)
}
