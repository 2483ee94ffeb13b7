package clip

import (
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// seeks is how many frames of each movie are looked for: 300 where
// HALOCLINE_ALL is set.
func seeks(t *testing.T) int {
	switch {
	case os.Getenv("HALOCLINE_ALL") != "":
		return 300
	case testing.Short():
		return 3
	}
	return 8
}

// x264 are the settings of a movie whose frames depend on many others.
var x264 = []string{"-c:v", "libx264", "-preset", "veryfast", "-g", "250", "-keyint_min", "250", "-sc_threshold", "0", "-bf", "3", "-b_strategy", "0"}

// numberedMovies are files in which the frame that is asked for is easily
// missed. source says which frame of those made each of its own shows.
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
	{name: "late.mkv", encoder: "libx264", count: 300, output: append([]string{"-output_ts_offset", "7.34"}, x264...)},
	{name: "stream.ts", encoder: "libx264", count: 300, output: []string{"-c:v", "libx264", "-preset", "veryfast", "-g", "50", "-bf", "2"}},
	{name: "open.mp4", encoder: "libx264", count: 300, output: []string{"-c:v", "libx264", "-preset", "veryfast", "-g", "40", "-bf", "3", "-x264-params", "open-gop=1"}},
	{name: "counted.avi", encoder: "libx264", count: 60, output: []string{"-c:v", "libx264", "-preset", "veryfast", "-bf", "2"}},
	{name: "dv.mxf", encoder: "mpeg2video", count: 100, output: []string{"-c:v", "mpeg2video", "-g", "15", "-bf", "2", "-q:v", "3"}},
	{name: "prores.mov", encoder: "prores_ks", count: 60, output: []string{"-c:v", "prores_ks", "-profile:v", "0"}},
	{name: "motion.avi", encoder: "mjpeg", count: 60, output: []string{"-c:v", "mjpeg", "-q:v", "3"}},
	{name: "ffv1.mkv", encoder: "ffv1", count: 60, output: []string{"-c:v", "ffv1"}},
}

// uneven is the source of frame n of the movie of variable rate.
func uneven(n int) int { return n/7*10 + [7]int{0, 2, 3, 4, 6, 7, 8}[n%7] }

// Frame n is frame n wherever one comes from. The numbers are burnt into the
// pictures, so that nothing but these is believed.
func TestEverySeekFindsItsFrame(t *testing.T) {
	for _, c := range numberedMovies {
		t.Run(c.name, func(t *testing.T) {
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
			for range seeks(t) {
				n := r.IntN(clip.Count())
				require.Equal(t, c.source(n), numberOf(t, clip, n), "frame %d", n)
			}
		})
	}
}
