package clip

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWithoutThePrograms(t *testing.T) {
	path := saved(t, "dive.mp4", []byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00"))
	t.Setenv("PATH", t.TempDir())
	_, err := Open(path)
	require.ErrorIs(t, err, ErrProgram)
	require.ErrorIs(t, err, exec.ErrNotFound)
	assert.ErrorContains(t, err, "apt install ffmpeg")
	checkWords(t, path, err)
	_, err = Open("testdata/blue-purple-pink.png")
	require.NoError(t, err, "pictures need no program")
}

func TestWhatIsNoMovie(t *testing.T) {
	notInShort(t)
	needPrograms(t)
	audio := filepath.Join(t.TempDir(), "waves.mp4")
	out, err := exec.Command(decoder, "-v", "error", "-f", "lavfi", "-i", "sine=d=0.2", audio).CombinedOutput()
	require.NoError(t, err, string(out))
	for path, want := range map[string]struct {
		kind  error
		words string
	}{
		audio: {ErrNotPicture, "a file without a picture track (it has audio)"},
		saved(t, "text.mp4", []byte("#EXTM3U\nfile:///etc/passwd\n")):                {ErrNotPicture, "a playlist, which names other files"},
		saved(t, "empty.mov", nil):                                                   {ErrNotPicture, "the file is empty"},
		saved(t, "head.mp4", []byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00isom")): {ErrDamaged, "moov atom not found"},
		saved(t, "noise.mkv", noisyBytes(5000)):                                      {ErrDamaged, "a movie that ffprobe cannot read"},
		filepath.Join(t.TempDir(), "gone.mp4"):                                       {ErrMissing, "there is no such file"},
	} {
		_, err := Open(path)
		require.ErrorIs(t, err, want.kind, path)
		assert.ErrorContains(t, err, want.words)
		checkWords(t, path, err)
	}
	file, err := os.ReadFile(shortMovie(t, "codec.mp4"))
	require.NoError(t, err)
	_, err = Open(saved(t, "strange.mp4", bytes.ReplaceAll(bytes.ReplaceAll(file, []byte("avc1"), []byte("zz17")), []byte("avcC"), []byte("zz1C"))))
	require.ErrorIs(t, err, ErrUnsupported)
	assert.ErrorContains(t, err, "a codec that ffmpeg cannot decode here")
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err = OpenMovie(ctx, audio, Options{})
	require.ErrorIs(t, err, context.Canceled)
}

func noisyBytes(n int) []byte {
	b := make([]byte, n)
	noise(b, 9)
	return b
}

// shortMovies are the movies of 60 frames by their ending. Each is made once.
var shortMovies = map[string][]byte{}

// shortMovie is a movie of 60 frames, its index in front, so that it can be cut. The file
// is the test's alone.
func shortMovie(t testing.TB, name string) string {
	needEncoder(t, "libx264")
	ending := filepath.Ext(name)
	if shortMovies[ending] == nil {
		made, err := os.ReadFile(numberedMovie(t, name, 60, "-c:v", "libx264", "-preset", "ultrafast", "-g", "20", "-bf", "2", "-movflags", "faststart"))
		require.NoError(t, err)
		shortMovies[ending] = made
	}
	return saved(t, name, shortMovies[ending])
}

// What is before the cut can be had, what is behind it is an error.
func TestACutMovieShowsWhatItHas(t *testing.T) {
	for _, name := range []string{"cut.mp4", "cut.mkv", "cut.ts"} {
		path := shortMovie(t, name)
		stat, err := os.Stat(path)
		require.NoError(t, err)
		require.NoError(t, os.Truncate(path, stat.Size()*6/10))
		c := openTest(t, path)
		require.Greater(t, c.Count(), 20, name)
		require.Less(t, c.Count(), 50, name)
		if name == "cut.mp4" {
			assert.Contains(t, strings.Join(c.Info().Notices, " "), "It claims 60 frames and has")
		}
		for _, n := range []int{0, 5, 19, 24} {
			assert.Equal(t, n, numberOf(t, c, n), name)
		}
		failed := 0
		for n := c.Count() - 4; n < c.Count(); n++ { // the last may lack what it depends on
			m, err := c.Frame(background, n)
			if err != nil {
				require.ErrorIs(t, err, ErrDamaged)
				checkWords(t, path, err)
				failed++
				continue
			}
			assert.Equal(t, n, numberOn(m), name)
		}
		assert.Less(t, failed, 4, name)
		_, err = c.Frame(background, c.Count())
		require.ErrorIs(t, err, ErrNoFrame)
	}
}

// A recording that begins amid pictures that depend on others begins with the
// first that does not.
func TestAMovieWithoutItsBeginning(t *testing.T) {
	path := shortMovie(t, "whole.ts")
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	const packet = 188 // bytes, of ISO/IEC 13818-1
	c := openTest(t, saved(t, "late.ts", file[len(file)/packet/10*packet:]))
	first := numberOf(t, c, 0)
	assert.Contains(t, []int{20, 40}, first, "groups of 20")
	require.Equal(t, 60-first, c.Count())
	for _, n := range []int{1, 15, c.Count() - 1, 3} {
		forget(c)
		require.Equal(t, first+n, numberOf(t, c, n))
	}
}

// children returns the process ids of this process's children that run or are
// zombies.
func children(t testing.TB) (ids []int) {
	t.Helper()
	tasks, err := filepath.Glob("/proc/self/task/*/children")
	require.NoError(t, err)
	if len(tasks) == 0 {
		t.Skip("no /proc to count children in")
	}
	for _, task := range tasks {
		text, err := os.ReadFile(task)
		if err != nil {
			continue // a thread that ended
		}
		for word := range strings.FieldsSeq(string(text)) {
			id, err := strconv.Atoi(word)
			require.NoError(t, err)
			ids = append(ids, id)
		}
	}
	return ids
}

// A decoder that is killed is started again; one that is always killed is an
// error, not an endless try.
func TestAKilledDecoder(t *testing.T) {
	path := shortMovie(t, "killed.mp4")
	c := openTest(t, path)
	require.Equal(t, 3, numberOf(t, c, 3))
	ids := children(t)
	require.Len(t, ids, 1, "one decoder waits")
	process, err := os.FindProcess(ids[0])
	require.NoError(t, err)
	require.NoError(t, process.Kill())
	for n := 4; n < 40; n++ {
		require.Equal(t, n, numberOf(t, c, n))
	}

	real, err := exec.LookPath(decoder)
	require.NoError(t, err)
	folder := t.TempDir()
	script := "#!/bin/sh\ncase $1 in -version) exec " + real + " -version;; esac\nkill -9 $$\n"
	require.NoError(t, os.WriteFile(filepath.Join(folder, decoder), []byte(script), 0o777))
	t.Setenv("PATH", folder+":"+os.Getenv("PATH"))
	other := openTest(t, path)
	_, err = other.Frame(background, 7)
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "frame 7 (signal: killed)")
	checkWords(t, path, err)
}

func TestAMovieThatDisappears(t *testing.T) {
	path := shortMovie(t, "gone.mp4")
	c := openTest(t, path)
	require.Equal(t, 0, numberOf(t, c, 0))
	require.NoError(t, os.Remove(path))
	require.Equal(t, 1, numberOf(t, c, 1), "what is on its way still comes")
	_, err := c.Frame(background, 55)
	require.ErrorIs(t, err, ErrMissing)
	require.ErrorIs(t, err, os.ErrNotExist)
	require.ErrorIs(t, c.Check(background, []int{2}), ErrMissing)

	require.NoError(t, os.WriteFile(path, noisyBytes(100), 0o666))
	_, err = c.Frame(background, 55)
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, "changed since it was opened")
}

func TestFramesNoLongerWanted(t *testing.T) {
	c := openTest(t, shortMovie(t, "scrub.mp4"))
	for n := range 50 {
		ctx, cancel := context.WithTimeout(t.Context(), time.Duration(n%5)*time.Millisecond)
		m, err := c.Frame(ctx, n*37%60)
		cancel()
		if err == nil {
			require.Equal(t, n*37%60, numberOn(m))
		} else {
			require.ErrorIs(t, err, context.DeadlineExceeded)
		}
	}
	require.Eventually(t, func() bool { return len(children(t)) <= mostPipes+1 }, 10*time.Second, 10*time.Millisecond, "those not wanted end soon; one more may be on its way out")
	require.Equal(t, 31, numberOf(t, c, 31))
}

// Workers at several places, each its own way, all get their frames.
func TestManyReadersOfOneMovie(t *testing.T) {
	c := openTest(t, shortMovie(t, "many.mp4"))
	var group sync.WaitGroup
	for worker := range 6 {
		group.Go(func() {
			for i := range 20 {
				n := (worker*10 + i) % 60
				if worker%2 == 1 {
					n = 59 - n
				}
				m, err := c.Frame(background, n)
				if assert.NoError(t, err) {
					assert.Equal(t, n, numberOn(m))
				}
			}
		})
	}
	group.Wait()
	assert.LessOrEqual(t, len(c.movie.reader.cursor), mostPipes)
}

// On the way back and through all frames a decoder is started seldom.
func TestDecodersAreReused(t *testing.T) {
	c := openTest(t, shortMovie(t, "reused.mp4"))
	started := func(frames func(yield func(int) bool)) (n int) {
		seen := map[*cursor]bool{}
		for f := range frames {
			require.Equal(t, f, numberOf(t, c, f))
			c.movie.reader.mu.Lock()
			for _, at := range c.movie.reader.cursor {
				seen[at] = true
			}
			c.movie.reader.mu.Unlock()
		}
		return len(seen)
	}
	assert.LessOrEqual(t, started(func(yield func(int) bool) {
		for n := 0; n < 60 && yield(n); n++ {
		}
	}), 2, "forward")
	c.movie.reader.kept.clear()
	assert.LessOrEqual(t, started(func(yield func(int) bool) {
		for n := 59; n >= 0 && yield(n); n-- {
		}
	}), 6, "backward: a group of 20 at a time")
}

func TestRawFramesStayWithinTheirBytes(t *testing.T) {
	c := newRawFrames(1000)
	for i := range 50 {
		c.put(&rawFrame{frame: i, data: c.buffer(90)})
		require.LessOrEqual(t, c.bytes, 1000)
	}
	assert.Equal(t, 11, c.order.Len())
	assert.Nil(t, c.take(38))
	used := c.take(39)
	require.NotNil(t, used)
	before := &used.data[0]
	for i := 50; i < 80; i++ {
		b := c.buffer(90)
		require.NotSame(t, before, &b[0], "a frame in use is not written over")
		c.put(&rawFrame{frame: i, data: b})
	}
	c.give(used)
	c.put(&rawFrame{frame: 100, data: make([]byte, 5000)})
	assert.Equal(t, 1, c.order.Len(), "the newest stays however large")
}

// descriptors is how many files this process has open.
func descriptors(t testing.TB) int {
	t.Helper()
	list, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Skip("no /proc to count descriptors in")
	}
	return len(list)
}

func heap() uint64 {
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}

// Opened, read and closed again and again: no process, descriptor, goroutine or
// memory is left. 200 times where HALOCLINE_ALL is set.
func TestNothingIsLeftOfAMovie(t *testing.T) {
	path := shortMovie(t, "again.mp4")
	times := 3
	if all() {
		times = 200
	}
	round := func(i int) {
		c, err := Open(path)
		require.NoError(t, err)
		require.Equal(t, i%60, numberOf(t, c, i%60))
		require.Equal(t, (i+30)%60, numberOf(t, c, (i+30)%60))
		require.NoError(t, c.Close())
		require.NoError(t, c.Close())
		_, err = c.Frame(background, 1)
		require.ErrorIs(t, err, os.ErrClosed)
	}
	round(0)
	files, memory, routines := descriptors(t), heap(), runtime.NumGoroutine()
	for i := range times {
		round(i)
		require.Empty(t, children(t), "round %d", i)
	}
	assert.Equal(t, files, descriptors(t))
	// One that has done its work may take a moment to be gone.
	for end := time.Now().Add(10 * time.Second); runtime.NumGoroutine() > routines && time.Now().Before(end); {
		time.Sleep(time.Millisecond)
	}
	assert.LessOrEqual(t, runtime.NumGoroutine(), routines)
	assert.Less(t, heap(), memory+1<<20)
}

// A clip that nobody closed is closed when nobody uses it.
func TestAMovieThatIsForgotten(t *testing.T) {
	path := shortMovie(t, "forgotten.mp4")
	func() {
		c, err := Open(path)
		require.NoError(t, err)
		require.Equal(t, 2, numberOf(t, c, 2))
	}()
	require.Eventually(t, func() bool { runtime.GC(); return len(children(t)) == 0 }, 20*time.Second, 20*time.Millisecond)
}

func TestWhatADecoderSays(t *testing.T) {
	m, ok := markIn("[Parsed_showinfo_0 @ 0x5557d9e522c0] [info] n:   0 pts:  51200 pts_time:4       pos:  2885986 fmt:yuv420p sar:1/1 s:1920x1080 i:P iskey:0 type:P ")
	require.True(t, ok)
	assert.Equal(t, mark{51200, "yuv420p", 1920, 1080}, m)
	m, ok = markIn("[Parsed_showinfo_0 @ 0x1] [info] n:12 pts:NOPTS pts_time:NOPTS duration:1 duration_time:0.04 fmt:gbrp10le cl:left sar:0/1 s:64x48 i:P iskey:1 type:I ")
	require.True(t, ok, "of a newer version")
	assert.Equal(t, mark{noTime, "gbrp10le", 64, 48}, m)
	_, ok = markIn("[Parsed_showinfo_0 @ 0x1] [info] color_range:tv color_space:bt709")
	assert.False(t, ok)
	assert.Equal(t, "moov atom not found", lastWords("[mov,mp4,m4a @ 0x55d] moov atom not found\nfile:a.mp4: Invalid data found when processing input\n"))
	assert.Equal(t, "", lastWords("\n"))
	var own *Error
	assert.False(t, errors.As(errors.New("x"), &own))
}
