//go:build unix

package batch

import (
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/study"
)

// longFrames make an export last long enough to be killed in its middle.
const longFrames = 48

// aClip makes a study of a sequence, and what an undisturbed export writes of it.
func aClip(t *testing.T, frames int) (path, whole string) {
	t.Helper()
	b := newBeach(t)
	fit := result[fitReport](t, "fit", b.sequence(t, span(1, frames)...), "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	result[maskResult](t, "mask", fit.Study, "--matte", "skin", "--points", "5,5 150,10 150,110 10,100", "--frame", "1")
	whole = b.at("whole")
	require.Len(t, pictureNames(t, result[exportReport](t, "export", fit.Study, "--out", whole, "--workers", "1")), frames)
	return fit.Study, whole
}

// pictureNames are the names of an export's frames.
func pictureNames(t *testing.T, r exportReport) (names []string) {
	t.Helper()
	for _, e := range r.Files {
		names = append(names, e.Name)
	}
	return names
}

// begin starts the export of a study in a process of its own.
func begin(t *testing.T, path, flags string, said *strings.Builder) *exec.Cmd {
	t.Helper()
	child := exec.Command(os.Args[0])
	child.Env = append(os.Environ(), childOnce+"="+path, childFlags+"="+flags)
	child.Stderr = said
	require.NoError(t, child.Start())
	return child
}

// An export by several workers that is killed, by SIGKILL at any moment, leaves no
// half file; the second run makes what an undisturbed one makes, byte for byte.
func TestKilledWorkersGoOn(t *testing.T) {
	path, whole := aClip(t, longFrames)
	out := path + ".out"
	rng := rand.New(rand.NewPCG(3, 14))
	started := time.Now()
	var said strings.Builder
	require.NoError(t, begin(t, path, "--workers 3", &said).Wait(), "%s", &said)
	took := time.Since(started)
	requireSameFiles(t, whole, out)

	want, amid, left := max(3, kills(t)/4), 0, 0
	if os.Getenv("HALOCLINE_KILLS") != "" {
		want = kills(t)
	}
	for range want {
		require.NoError(t, os.RemoveAll(out))
		child := begin(t, path, "--workers 3", &said)
		time.Sleep(time.Duration(rng.Float64() * 0.9 * float64(took)))
		if err := child.Process.Kill(); err == nil {
			_ = child.Wait() // it may have been done by then
		}
		checkPictures(t, out)
		if n := len(pictures(t, out)); n > 0 && n < longFrames {
			amid++
		}
		if _, err := os.Stat(out); err == nil {
			left += countParts(t, out)
		}
		result[exportReport](t, "export", path, "--out", out, "--workers", "2")
		report := result[verifyReport](t, "verify", out)
		require.Equal(t, longFrames, report.Good)
		require.Empty(t, report.Strangers)
		requireSameFiles(t, whole, out)
	}
	t.Logf("%d kills, %d of them between the first and the last file, %d files left half written", want, amid, left)
	require.Positive(t, amid)
}

// Four processes, each with a part of the frames, write into one folder what one
// writes.
func TestShardProcesses(t *testing.T) {
	const frames = 12
	path, whole := aClip(t, frames)
	out := path + ".out"
	var group sync.WaitGroup
	for i := range 4 {
		group.Go(func() {
			var said strings.Builder
			if err := begin(t, path, fmt.Sprintf("--shard %d/4 --workers 2", i), &said).Wait(); err != nil {
				t.Errorf("shard %d: %v: %s", i, err, &said)
			}
		})
	}
	group.Wait()
	requireSameFiles(t, whole, out)
	require.Equal(t, frames, result[verifyReport](t, "verify", out).Good)

	lost := -1 // a part that wrote nothing beside the pictures: the last ones to end do
	for i := range 4 {
		text, err := os.ReadFile(filepath.Join(out, fmt.Sprintf("manifest.%d-of-4.jsonl", i)))
		require.NoError(t, err)
		if !strings.Contains(string(text), `"kind":"overlay"`) {
			lost = i
		}
	}
	require.NotEqual(t, -1, lost)
	require.NoError(t, os.Remove(filepath.Join(out, fmt.Sprintf("manifest.%d-of-4.jsonl", lost))))
	status, stdout, stderr := run(t, "verify", out)
	require.Equal(t, failed, status)
	require.Contains(t, stderr, fmt.Sprintf(`3 frames of matte "skin" were never written (%d-%d)`, 3*lost+1, 3*lost+3))
	require.Contains(t, stderr, fmt.Sprintf("no export wrote skin/dive-skin.%06d.png, ", 3*lost+1))
	var report verifyReport
	require.NoError(t, json.Unmarshal([]byte(stdout), &report))
	require.Len(t, report.Strangers, 3)
}

// --progress json writes one object a line.
func TestProgressLines(t *testing.T) {
	path, _ := aClip(t, 4)
	status, _, stderr := run(t, "export", path, "--out", path+".out", "--progress", "json")
	require.Zero(t, status, stderr)
	lines := strings.Split(strings.TrimSpace(stderr), "\n")
	require.Len(t, lines, 6)
	for i, text := range lines {
		var line progressLine
		require.NoError(t, json.Unmarshal([]byte(text), &line), text)
		require.Equal(t, []int{i + 1, 6}, []int{line.Done, line.Total})
		if i < 4 {
			require.Equal(t, fmt.Sprintf("skin/dive-skin.%06d.png", line.Frame), line.Name)
		}
		require.NotNil(t, line.ETA)
	}
	require.Contains(t, lines[4], `"name":"dive-skin-overlay.png"`)
	require.Contains(t, lines[5], `"eta":0`)
	for flags, says := range map[string]string{
		"--progress bar": `--progress is "bar", want json`,
		"--shard 4/4":    `shard is "4/4", want I/N`,
		"--workers -1":   "--workers is -1",
	} {
		status, _, stderr = run(t, append([]string{"export", path, "--out", "x"}, strings.Fields(flags)...)...)
		require.Equal(t, misused, status)
		require.Contains(t, stderr, says)
	}
	_, err := study.Load(path)
	require.NoError(t, err)
}

// A movie in, mattes and a movie of them out: by its numbers from 0, with its times,
// and the second run leaves all of it.
func TestExportOfAMovie(t *testing.T) {
	needFFmpeg(t)
	b := newBeach(t)
	b.sequence(t, span(1, 12)...)
	movie := b.at("dive.mkv")
	text, err := exec.Command("ffmpeg", "-v", "error", "-framerate", "24000/1001", "-start_number", "1", "-i", b.at("dive/dive.%04d.png"),
		"-c:v", "ffv1", "-pix_fmt", "gbrp", movie).CombinedOutput()
	require.NoError(t, err, "%s", text)
	fit := result[fitReport](t, "fit", movie, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	out := b.at("mattes")
	args := []string{"export", fit.Study, "--out", out, "--frames", "2-9", "--movie", "--workers", "3"}
	done := result[exportReport](t, args...)
	require.Len(t, done.Files, 8)
	first, last := done.Files[0], done.Files[7]
	require.Equal(t, []any{"skin/dive-skin.000002.png", 2, "dive.mkv", "00:00:00:02"}, []any{first.Name, first.Frame, first.Footage, first.Timecode})
	require.Equal(t, "skin/dive-skin.000009.png", last.Name)
	seconds, err := last.Time.Float64()
	require.NoError(t, err)
	require.InDelta(t, 9*1001./24000, seconds, 0.001, "the file's times are whole milliseconds")
	require.Len(t, done.Beside, 3)
	require.Equal(t, "dive-skin.mkv", done.Beside[1].Name)
	report := result[verifyReport](t, "verify", out)
	require.Equal(t, []int{8, 3}, []int{report.Good, report.Beside})

	status, _, stderr := run(t, args...)
	require.Zero(t, status, stderr)
	require.Contains(t, stderr, "8 of 8 files are there")
	info := result[pictureInfo](t, "info", filepath.Join(out, "dive-skin.mkv"))
	require.Equal(t, []any{0, 8}, []any{info.First, info.Count})

	// The still that every frame is gives the same matte.
	still := result[fitReport](t, "fit", b.picture, "--keep", b.keep, "--drop", b.drop, "--name", "skin")
	single := result[exportReport](t, "export", still.Study, "--out", b.at("still"))
	require.Equal(t, single.Files[0].SHA256, first.SHA256)
}
