package clip

import (
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seeks is how many frames of a movie are looked for: 300 of a long one where
// HALOCLINE_ALL is set, fewer else.
func seeks(long bool) int {
	switch {
	case all() && long:
		return 300
	case all():
		return 60
	}
	return 8
}

// x264 are the settings of a movie whose frames depend on many others.
var x264 = []string{"-c:v", "libx264", "-preset", "veryfast", "-g", "250", "-keyint_min", "250", "-sc_threshold", "0", "-bf", "3", "-b_strategy", "0"}

// numberedMovies are files in which a decoder easily passes the frame that is
// asked for. source says which frame of those made each of its own shows.
var numberedMovies = []struct {
	name, encoder string
	count         int
	output        []string
	variable      bool
	source        func(n int) int
}{
	{name: "long.mp4", encoder: "libx264", count: 600, output: x264},
	{name: "hevc10.mkv", encoder: "libx265", count: 300, output: []string{"-c:v", "libx265", "-preset", "superfast", "-pix_fmt", "yuv420p10le", "-x265-params", "log-level=error:keyint=100:bframes=3"}},
	// Frames are dropped unevenly: 0, 2, 3, 4, 6, 7, 8 of each ten are left.
	{name: "variable.mp4", encoder: "libx264", count: 500, variable: true, source: uneven,
		output: append([]string{"-vf", "select='not(mod(mod(n,10),2))+eq(mod(n,10),3)+eq(mod(n,10),7)'", "-vsync", "passthrough"}, x264...)},
	{name: "counted.avi", encoder: "libx264", count: 60, output: []string{"-c:v", "libx264", "-preset", "veryfast", "-bf", "2"}},
	{name: "prores.mov", encoder: "prores_ks", count: 60, output: []string{"-c:v", "prores_ks", "-profile:v", "0"}},
	{name: "late.mkv", encoder: "libx264", count: 300, output: append([]string{"-output_ts_offset", "7.34"}, x264...)},
	{name: "stream.ts", encoder: "libx264", count: 300, output: []string{"-c:v", "libx264", "-preset", "veryfast", "-g", "50", "-bf", "2"}},
	{name: "open.mp4", encoder: "libx264", count: 300, output: []string{"-c:v", "libx264", "-preset", "veryfast", "-g", "40", "-bf", "3", "-x264-params", "open-gop=1"}},
	{name: "dv.mxf", encoder: "mpeg2video", count: 100, output: []string{"-c:v", "mpeg2video", "-g", "15", "-bf", "2", "-q:v", "3"}},
	{name: "motion.avi", encoder: "mjpeg", count: 60, output: []string{"-c:v", "mjpeg", "-q:v", "3"}},
	{name: "ffv1.mkv", encoder: "ffv1", count: 60, output: []string{"-c:v", "ffv1"}},
}

// uneven is the source of frame n of the movie of variable rate.
func uneven(n int) int { return n/7*10 + [7]int{0, 2, 3, 4, 6, 7, 8}[n%7] }

// Frame n is frame n wherever one comes from. The numbers are burnt into the
// pictures, so that nothing but these is believed.
func TestEverySeekFindsItsFrame(t *testing.T) {
	notInShort(t)
	for i, c := range numberedMovies {
		t.Run(c.name, func(t *testing.T) {
			onlyInAll(t, i > 4)
			needEncoder(t, c.encoder)
			clip := openTest(t, numberedMovie(t, c.name, c.count, c.output...))
			if c.source == nil {
				c.source = func(n int) int { return n }
				require.Equal(t, c.count, clip.Count())
			}
			require.True(t, clip.IsMovie())
			assert.Equal(t, c.variable, clip.Info().Movie.Variable)
			assert.Equal(t, c.name == "counted.avi", clip.Info().Movie.Counted)
			r := rand.New(rand.NewPCG(3, 4))
			for seek := range seeks(c.count >= 300 && i < 3) {
				n := r.IntN(clip.Count())
				if seek%4 != 3 { // else a decoder that waits may go on
					forget(clip)
				}
				require.Equal(t, c.source(n), numberOf(t, clip, n), "frame %d", n)
			}
		})
	}
}

// An edit list leaves out the first frames and moves the times of the rest; sound
// that begins earlier or later moves the file's own beginning.
func TestEditedMovies(t *testing.T) {
	notInShort(t)
	needEncoder(t, "libx264")
	whole := numberedMovie(t, "whole.mp4", 200, "-c:v", "libx264", "-preset", "veryfast", "-g", "60", "-bf", "3")
	for name, args := range map[string][]string{
		"edited.mp4": {"-ss", "3.13", "-i", whole, "-c", "copy"},
		"sound.mp4":  {"-i", whole, "-f", "lavfi", "-itsoffset", "-0.7", "-i", "sine=d=3", "-map", "0:v", "-map", "1:a", "-c:v", "copy", "-copyts"},
		"later.mov":  {"-itsoffset", "1.37", "-i", whole, "-f", "lavfi", "-i", "sine=d=3", "-map", "1:a", "-map", "0:v", "-c:v", "copy"},
	} {
		path := filepath.Join(t.TempDir(), name)
		out, err := exec.Command(decoder, append(append([]string{"-v", "error"}, args...), path)...).CombinedOutput()
		require.NoError(t, err, string(out))
		c := openTest(t, path)
		first := numberOf(t, c, 0)
		assert.Equal(t, 200-first, c.Count(), name)
		assert.Equal(t, name == "edited.mp4", first > 70 && first < 85, "%s begins at %d", name, first)
		r := rand.New(rand.NewPCG(5, 6))
		for range seeks(false) {
			n := r.IntN(c.Count())
			forget(c)
			require.Equal(t, first+n, numberOf(t, c, n), "%s, frame %d", name, n)
		}
		assert.False(t, c.Info().Movie.Variable, name)
		notices := strings.Join(c.Info().Notices, " ")
		assert.NotContains(t, notices, "cut short", name)
		assert.Equal(t, name == "edited.mp4", strings.Contains(notices, "Its edit list leaves out "), name)
	}
}

// Rates as ticks of several fineness show them.
func TestRates(t *testing.T) {
	for _, c := range []struct {
		name     string
		base     [2]int
		tick     func(n int) int64
		claims   [2]string
		want     [2]int
		constant bool
	}{
		{"milliseconds of 24000/1001", [2]int{1, 1000}, func(n int) int64 { return int64(float64(n)*1001/24 + 0.5) }, [2]string{"24000/1001", "24000/1001"}, [2]int{24000, 1001}, true},
		{"the first claim is of fields", [2]int{1, 90000}, func(n int) int64 { return int64(3600 * n) }, [2]string{"50/1", "25/1"}, [2]int{25, 1}, true},
		{"uneven: 99 frames in 4.52 s", [2]int{1, 1000}, func(n int) int64 { return int64(40*n + 40*(n/7)) }, [2]string{"25/1", "22/1"}, [2]int{21903, 1000}, false},
	} {
		x := &movieIndex{base: c.base, n: 100}
		for n := range x.n {
			x.pts = append(x.pts, c.tick(n))
		}
		rate, constant := x.rate(&probedStream{Rate: c.claims[0], AverageRate: c.claims[1]})
		assert.Equal(t, c.constant, constant, c.name)
		assert.InDelta(t, float64(c.want[0])/float64(c.want[1]), float64(rate[0])/float64(rate[1]), 0.01, c.name)
	}
}
