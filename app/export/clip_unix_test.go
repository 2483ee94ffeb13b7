//go:build unix

package export

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"halocline/app/clip"
	"halocline/app/render"
	"halocline/app/sample"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// picture16 is a picture as image/png stores it with 16 bits.
type picture16 struct{ *colour.Image }

func (p picture16) ColorModel() color.Model { return color.NRGBA64Model }
func (p picture16) Bounds() image.Rectangle { w, h := p.Size(); return image.Rect(0, 0, w, h) }
func (p picture16) Opaque() bool            { return true }
func (p picture16) At(x, y int) color.Color {
	return color.NRGBA64{R: colour.Code16(p.R.At(x, y)), G: colour.Code16(p.G.At(x, y)), B: colour.Code16(p.B.At(x, y)), A: 0xffff}
}

// clipPictures are how many different pictures a clip has: further frames are
// links to them.
const clipPictures = 4

// drawnShot are pictures of 1080p: the scene at half the size, twice each way, a
// little further along from one to the next.
var drawnShot = sync.OnceValues(func() (all []*colour.Image, err error) {
	f, err := sample.Render(context.Background(), 1, 1, 960, 540, 0)
	if err != nil {
		return nil, err
	}
	for n := range clipPictures {
		m := colour.NewImage(1920, 1080)
		for i, to := range []colour.Plane{m.R, m.G, m.B} {
			from := []colour.Plane{f.Image.R, f.Image.G, f.Image.B}[i]
			for y := range to.H {
				row := from.Row(y % from.H)
				for x := range to.Row(y) {
					to.Row(y)[x] = row[(x+8*n)%from.W]
				}
			}
		}
		all = append(all, m)
	}
	return all, nil
})

// grained fills the low bytes of 16 bits with noise, as a camera does: the scene is
// exposed to 8 bits.
func grained(m *colour.Image, seed uint64) *colour.Image {
	rng := rand.New(rand.NewPCG(seed, 16))
	w, h := m.Size()
	out := colour.NewImage(w, h)
	for i, to := range []colour.Plane{out.R, out.G, out.B} {
		for k, v := range []colour.Plane{m.R, m.G, m.B}[i].Pix {
			to.Pix[k] = min(max(v+(rng.Float32()-0.5)/255, 0), 1)
		}
	}
	return out
}

// clipOnDisk writes a sequence of frames of 1080p, as image/png writes them with
// its usual filters and effort.
func clipOnDisk(t testing.TB, frames, depth int) *clip.Clip {
	t.Helper()
	folder := t.TempDir()
	pictures, err := drawnShot()
	require.NoError(t, err)
	for n := range frames {
		path := filepath.Join(folder, fmt.Sprintf("dive.%05d.png", n))
		if n >= clipPictures {
			require.NoError(t, os.Link(filepath.Join(folder, fmt.Sprintf("dive.%05d.png", n%clipPictures)), path))
			continue
		}
		var m image.Image = pictures[n].RGBA(nil)
		if depth == 16 {
			m = picture16{grained(pictures[n], uint64(n))}
		}
		require.NoError(t, WriteFile(path, func(w io.Writer) error { return png.Encode(w, m) }))
	}
	c, err := clip.OpenSequence(folder)
	require.NoError(t, err)
	return c
}

// clipExport is an export of 16-bit mattes: a pick by HSL in three ranges, softened by
// 4 px, within one feathered mask of 24 points. treated has the noise smoothed and
// the water taken out as well.
func clipExport(t testing.TB, footage *clip.Clip, treated bool, workers int) Job {
	t.Helper()
	s := study.New(study.Clip{Path: footage.Path(footage.First()), First: footage.First(), Count: footage.Count(), Rate: [2]int{25, 1}, Noise: [3]float64{0.008, 0.007, 0.01}})
	m := s.AddMatte("skin", selection.HSL)
	for i, r := range []selection.Range{{From: 0, To: 60, Before: 12, After: 12}, {From: 0.1, To: 0.8, Before: 0.1, After: 0.1}, {From: 0.2, To: 0.8, Before: 0.1, After: 0.1}} {
		m.Pick.Limits[i].Off = false
		m.Pick.Limits[i].Fix(r)
	}
	m.Pick.Smooth = treated
	m.Edge.Despeckle.Fix(0)
	m.Edge.Soften.Fix(4)
	k := study.MaskKey{Inner: 12, Outer: 12, Opacity: 1}
	for i := range 24 {
		a := 2 * math.Pi * float64(i) / 24
		k.Points = append(k.Points, mask.Point{X: 960 + 700*math.Cos(a), Y: 540 + 420*math.Sin(a)})
	}
	s.AddMask(m, "figure", study.Keep, k)
	if treated {
		s.Base.Exposure.Fix(0.4)
		s.Base.Gain[0].Fix(1.6)
		s.Base.Veil[2].Fix(0.02)
		s.Base.Water = "IB"
		s.Base.Path.Fix(2)
	}
	pattern, err := ParsePattern(DefaultPattern)
	require.NoError(t, err)
	return Job{
		Study: s, Renderer: render.New(footage, 1, render.DefaultCache), Mattes: []*study.Matte{&s.Mattes[0]}, Frames: footage.Frames(),
		Kind: Matte, Depth: 16, Pattern: pattern, Folder: t.TempDir(), Workers: workers,
	}
}

// spent returns the processor time that do takes, in milliseconds.
func spent(do func()) float64 {
	at := func() time.Duration {
		var u syscall.Rusage
		_ = syscall.Getrusage(syscall.RUSAGE_SELF, &u)
		var c syscall.Rusage
		_ = syscall.Getrusage(syscall.RUSAGE_CHILDREN, &c)
		return time.Duration(u.Utime.Nano() + u.Stime.Nano() + c.Utime.Nano() + c.Stime.Nano())
	}
	before := at()
	do()
	return float64((at() - before).Microseconds()) / 1000
}

// encodeTime returns the processor time of writing one of the mattes that j wrote.
func encodeTime(b *testing.B, j Job, done []Entry) float64 {
	const times = 8
	least := math.Inf(1)
	matte, _, err := clip.ReadGrey(context.Background(), filepath.Join(j.Folder, filepath.FromSlash(done[0].Name)))
	require.NoError(b, err)
	var file bytes.Buffer
	e := Encoder{Workers: 1}
	for range 3 {
		least = min(least, spent(func() {
			for range times {
				file.Reset()
				require.NoError(b, e.Grey(context.Background(), &file, matte, 16))
			}
		})/times)
	}
	return least
}

// A footageSource is footage for a benchmark: how to open it, and what decodes n
// frames of it and no more.
type footageSource struct {
	name   string
	open   func() *clip.Clip
	decode func(n int)
	twin   func(n int) // the same by package image/png; nil for movies
}

func sequenceSource(b *testing.B, frames, depth int) footageSource {
	footage := clipOnDisk(b, frames, depth)
	return footageSource{fmt.Sprintf("png%d", depth), func() *clip.Clip { return footage }, func(n int) {
		for i := range n {
			_, err := footage.Frame(context.Background(), i)
			require.NoError(b, err)
		}
	}, func(n int) {
		for i := range n {
			file, err := os.ReadFile(footage.Path(i))
			require.NoError(b, err)
			_, err = png.Decode(bytes.NewReader(file))
			require.NoError(b, err)
		}
	}}
}

// movieSource is a movie in H.264, 4:2:0 with 8 bits, a key frame in 250.
func movieSource(b *testing.B, frames int) footageSource {
	needMaker(b)
	path := filepath.Join(b.TempDir(), "dive.mp4")
	stills := clipOnDisk(b, frames, 8)
	run := func(args ...string) {
		out, err := exec.Command(movieMaker, append([]string{"-v", "error", "-nostdin"}, args...)...).CombinedOutput()
		require.NoError(b, err, "%s", out)
	}
	run("-framerate", "25", "-i", filepath.Join(filepath.Dir(stills.Path(0)), "dive.%05d.png"),
		"-c:v", "libx264", "-preset", "veryfast", "-crf", "18", "-g", "250", "-pix_fmt", "yuv420p", path)
	return footageSource{"h264", func() *clip.Clip {
		footage, err := clip.OpenMovie(context.Background(), path, clip.Options{})
		require.NoError(b, err)
		return footage
	}, func(n int) {
		run("-i", path, "-frames:v", fmt.Sprint(n), "-f", "null", "-")
	}, nil}
}

// BenchmarkClip exports a clip and reports frames a second by the clock, the
// processor time of a frame, that on two processors at the best, and the first as
// a multiple of what decoding and encoding take alone in the same run.
func BenchmarkClip(b *testing.B) {
	const frames = 48
	for _, source := range []func() footageSource{
		func() footageSource { return sequenceSource(b, frames, 8) },
		func() footageSource { return sequenceSource(b, frames, 16) },
		func() footageSource { return movieSource(b, frames) },
	} {
		s := source()
		for _, treated := range []bool{false, true} {
			for _, workers := range []int{1, 2} {
				b.Run(fmt.Sprintf("%s/treated=%t/%d", s.name, treated, workers), func(b *testing.B) {
					benchmarkClip(b, s, frames, treated, workers)
				})
			}
		}
	}
}

func benchmarkClip(b *testing.B, s footageSource, frames int, treated bool, workers int) {
	var done []Entry
	var j Job
	least, cpu, decode := time.Duration(math.MaxInt64), math.Inf(1), math.Inf(1)
	for b.Loop() {
		start := time.Now()
		cpu = min(cpu, spent(func() {
			footage := s.open()
			j = clipExport(b, footage, treated, workers)
			var err error
			done, err = j.Run(context.Background())
			require.NoError(b, err)
			require.NoError(b, footage.Close())
		})/float64(frames))
		least = min(least, time.Since(start))
		decode = min(decode, spent(func() { s.decode(frames) })/float64(frames))
	}
	encode := encodeTime(b, j, done)
	if s.twin != nil {
		twin := spent(func() { s.twin(frames / 4) }) / float64(frames/4)
		b.ReportMetric(twin, "image/png-ms")
		b.ReportMetric(cpu/twin, "x-image/png")
	}
	b.ReportMetric(float64(frames)/least.Seconds(), "frames/s")
	b.ReportMetric(cpu, "cpu-ms/frame")
	b.ReportMetric(2000/cpu, "frames/s-on-2")
	b.ReportMetric(decode, "decode-ms")
	b.ReportMetric(encode, "encode-ms")
	b.ReportMetric(cpu/(decode+encode), "x-bare")
}
