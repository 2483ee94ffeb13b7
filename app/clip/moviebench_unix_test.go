//go:build unix

package clip

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// benchFrames is how many frames are read at a time: the same again and again, so
// that opening the file is a small part of it.
const (
	benchFrames = 240
	benchScene  = 30
)

// seaMovie is of the sample frame, drifting, with grain, at a camera's rate of
// bits.
func seaMovie(b *testing.B, name string, w, h int, output ...string) string {
	b.Helper()
	needPrograms(b)
	scene, path := filepath.Join(b.TempDir(), "scene-"+name), filepath.Join(b.TempDir(), name)
	drift := fmt.Sprintf("scale=%d:%d,crop=%d:%d:x=n:y=n/2,noise=alls=8:allf=t", w*6/5, h*6/5, w, h)
	args := []string{"-v", "error", "-y", "-loop", "1", "-i", "../../assets/sample.png", "-vf", drift, "-frames:v", fmt.Sprint(benchScene)}
	out, err := exec.Command(decoder, append(append(args, output...), scene)...).CombinedOutput()
	require.NoError(b, err, string(out))
	again := []string{"-v", "error", "-stream_loop", fmt.Sprint(benchFrames/benchScene - 1), "-i", scene, "-c", "copy", path}
	out, err = exec.Command(decoder, again...).CombinedOutput()
	require.NoError(b, err, string(out))
	return path
}

// spent is the processor time of this process and of children that have ended.
func spent() (sum time.Duration) {
	for _, who := range []int{syscall.RUSAGE_SELF, syscall.RUSAGE_CHILDREN} {
		var u syscall.Rusage
		_ = syscall.Getrusage(who, &u)
		sum += time.Duration(u.Utime.Nano() + u.Stime.Nano())
	}
	return sum
}

var benchMovies = []struct {
	name   string
	w, h   int
	output []string
}{
	{"h264-8-1080p.mp4", 1920, 1080, []string{"-c:v", "libx264", "-preset", "veryfast", "-b:v", "60M", "-pix_fmt", "yuv420p"}},
	{"h264-10-1080p.mp4", 1920, 1080, []string{"-c:v", "libx264", "-preset", "veryfast", "-b:v", "60M", "-pix_fmt", "yuv420p10le"}},
	{"hevc-10-1080p.mp4", 1920, 1080, []string{"-c:v", "libx265", "-preset", "ultrafast", "-b:v", "40M", "-pix_fmt", "yuv420p10le", "-x265-params", "log-level=error"}},
	{"prores-1080p.mov", 1920, 1080, []string{"-c:v", "prores_ks", "-profile:v", "2", "-pix_fmt", "yuv422p10le"}},
	{"h264-8-2160p.mp4", 3840, 2160, []string{"-c:v", "libx264", "-preset", "ultrafast", "-b:v", "120M", "-pix_fmt", "yuv420p"}},
}

// BenchmarkMovieToPlanes reads movies from their first frame to their last. The
// figure is ms-cpu/frame, of this process and the decoder, against the bare
// decode on one thread, and on as many as ffmpeg takes by itself.
func BenchmarkMovieToPlanes(b *testing.B) {
	for _, m := range benchMovies {
		path := seaMovie(b, m.name, m.w, m.h, m.output...)
		perFrame := func(b *testing.B, run func()) {
			start := spent()
			for b.Loop() {
				run()
			}
			b.ReportMetric(float64(spent()-start)/float64(time.Millisecond)/float64(b.N*benchFrames), "ms-cpu/frame")
		}
		b.Run(m.name+"/planes", func(b *testing.B) {
			perFrame(b, func() {
				c, err := Open(path)
				require.NoError(b, err)
				for n := range c.Count() {
					_, err := c.Frame(background, n)
					require.NoError(b, err)
				}
				require.NoError(b, c.Close())
			})
		})
		for _, threads := range []string{"1", "0"} {
			b.Run(m.name+"/decode-"+threads, func(b *testing.B) {
				perFrame(b, func() {
					require.NoError(b, exec.Command(decoder, "-v", "error", "-threads", threads, "-i", path, "-f", "null", "-").Run())
				})
			})
		}
	}
}

// BenchmarkMovieSingle shows what single frames cost: forward, backward, anywhere.
func BenchmarkMovieSingle(b *testing.B) {
	path := seaMovie(b, "single.mp4", 1920, 1080, "-c:v", "libx264", "-preset", "veryfast", "-b:v", "60M", "-pix_fmt", "yuv420p", "-g", "60")
	for name, frame := range map[string]func(i int) int{
		"forward":  func(i int) int { return i % benchFrames },
		"backward": func(i int) int { return benchFrames - 1 - i%benchFrames },
		"anywhere": func(i int) int { return i * 37 % benchFrames },
	} {
		b.Run(name, func(b *testing.B) {
			c, err := OpenMovie(background, path, Options{})
			require.NoError(b, err)
			defer c.Close()
			c.movie.reader.kept.limit = 12 * c.movie.frameBytes
			for i := 0; b.Loop(); i++ {
				_, err := c.Frame(background, frame(i))
				require.NoError(b, err)
			}
		})
	}
}
