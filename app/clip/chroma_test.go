package clip

import (
	"bytes"
	"fmt"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

var everyRatio = []image.YCbCrSubsampleRatio{
	image.YCbCrSubsampleRatio444, image.YCbCrSubsampleRatio422, image.YCbCrSubsampleRatio420,
	image.YCbCrSubsampleRatio440, image.YCbCrSubsampleRatio411, image.YCbCrSubsampleRatio410,
}

// lumaPerChroma is what the names of the ratios mean, across and down.
var lumaPerChroma = map[image.YCbCrSubsampleRatio][2]int{
	image.YCbCrSubsampleRatio444: {1, 1}, image.YCbCrSubsampleRatio422: {2, 1}, image.YCbCrSubsampleRatio420: {2, 2},
	image.YCbCrSubsampleRatio440: {1, 2}, image.YCbCrSubsampleRatio411: {4, 1}, image.YCbCrSubsampleRatio410: {4, 2},
}

// awkwardSizes reach the borders, odd ends and bands of every ratio.
var awkwardSizes = [][2]int{
	{1, 1}, {1, 2}, {2, 1}, {3, 5}, {4, 4}, {5, 3}, {7, 1}, {1, 7}, {8, 8}, {9, 17}, {16, 33}, {101, 67},
}

// plainChroma is the chroma of a plane at pixel x, y, in codes from 128. Sample
// i of chroma lies at n/2 - 1/2 + i n luma samples (JFIF version 1.02, "Spatial
// Relationship of Components"); between samples it is linear, beyond them level.
func plainChroma(m *image.YCbCr, plane []byte, x, y int) float64 {
	n := lumaPerChroma[m.SubsampleRatio]
	axis := func(at, n, size int) (int, int, float64) {
		i := (float64(at) - (float64(n)/2 - 0.5)) / float64(n)
		last := float64((size+n-1)/n - 1)
		i = min(max(i, 0), last)
		return int(i), int(min(math.Floor(i)+1, last)), i - math.Floor(i)
	}
	x0, x1, wx := axis(x, n[0], m.Rect.Dx())
	y0, y1, wy := axis(y, n[1], m.Rect.Dy())
	sample := func(x, y int) float64 { return float64(plane[y*m.CStride+x]) - 128 }
	upper := (1-wx)*sample(x0, y0) + wx*sample(x1, y0)
	lower := (1-wx)*sample(x0, y1) + wx*sample(x1, y1)
	return (1-wy)*upper + wy*lower
}

// plainYCbCr is JFIF as ITU-T T.871, 7, prints it, without its rounding, or the
// same from the narrower codes of Rec. 601.
func plainYCbCr(m *image.YCbCr, studio bool) *colour.Image {
	out := colour.NewImage(m.Rect.Dx(), m.Rect.Dy())
	black, span, chroma := 0., 255., 255.
	if studio {
		black, span, chroma = 16, 219, 224
	}
	unit := func(v float64) float32 { return float32(min(max(v, 0), 1)) }
	for i := range out.R.Pix {
		x, y := i%out.R.W, i/out.R.W
		luma := (float64(m.Y[y*m.YStride+x]) - black) / span
		cb, cr := plainChroma(m, m.Cb, x, y)/chroma, plainChroma(m, m.Cr, x, y)/chroma
		out.R.Pix[i] = unit(luma + 1.402*cr)
		out.G.Pix[i] = unit(luma - (0.114*1.772*cb+0.299*1.402*cr)/0.587)
		out.B.Pix[i] = unit(luma + 1.772*cb)
	}
	return out
}

// repeatedRows is the plainest way with chroma: each sample stands for all its
// pixels. It is what interpolation is measured against.
func repeatedRows(m *image.YCbCr, studio bool) rowReader {
	across, down := chromaShift(m.SubsampleRatio)
	return func(y int, r, g, b []float32) {
		line := image.NewYCbCr(image.Rect(0, 0, len(r), 1), image.YCbCrSubsampleRatio444)
		copy(line.Y, m.Y[y*m.YStride:])
		for x := range r {
			at := y>>down*m.CStride + x>>across
			line.Cb[x], line.Cr[x] = m.Cb[at], m.Cr[at]
		}
		ycbcrRows(line, studio)(0, r, g, b)
	}
}

func throughRows(w, h int, read rowReader) *colour.Image {
	m := colour.NewImage(w, h)
	for y := range h {
		read(y, m.R.Row(y), m.G.Row(y), m.B.Row(y))
	}
	return m
}

func noisyYCbCr(w, h int, ratio image.YCbCrSubsampleRatio) *image.YCbCr {
	m := image.NewYCbCr(image.Rect(0, 0, w, h), ratio)
	noise(m.Y, 1)
	noise(m.Cb, 2)
	noise(m.Cr, 3)
	return m
}

func flatChroma(w, h int, ratio image.YCbCrSubsampleRatio, cb, cr byte) *image.YCbCr {
	m := noisyYCbCr(w, h, ratio)
	copy(m.Cb, bytes.Repeat([]byte{cb}, len(m.Cb)))
	copy(m.Cr, bytes.Repeat([]byte{cr}, len(m.Cr)))
	return m
}

func planesOf(t *testing.T, m *image.YCbCr, studio bool) *colour.Image {
	t.Helper()
	h := &header{Info: Info{Width: m.Rect.Dx(), Height: m.Rect.Dy()}, studio: studio}
	got, err := h.planes(background, m)
	require.NoError(t, err)
	return got
}

func requireNear(t *testing.T, want, got *colour.Image, within float64, what string) {
	t.Helper()
	for c, p := range []colour.Plane{got.R, got.G, got.B} {
		q := []colour.Plane{want.R, want.G, want.B}[c]
		require.Len(t, p.Pix, len(q.Pix), what)
		for i, v := range p.Pix {
			if d := math.Abs(float64(v) - float64(q.Pix[i])); !(d <= within) {
				t.Fatalf("%s: channel %d of pixel %d,%d is %v, want %v within %v", what, c, i%p.W, i/p.W, v, q.Pix[i], within)
			}
		}
	}
}

func TestYCbCrFollowsItsFormula(t *testing.T) {
	for _, ratio := range everyRatio {
		for _, size := range awkwardSizes {
			m := noisyYCbCr(size[0], size[1], ratio)
			for _, studio := range []bool{false, true} {
				requireNear(t, plainYCbCr(m, studio), planesOf(t, m, studio), 1e-6, fmt.Sprint(ratio, size, studio))
			}
		}
	}
}

// The integers of Go's image/color, whose chroma is 0.4 % small, where no
// chroma is interpolated: every sample its own, or all alike.
func TestYCbCrFollowsTheLibrary(t *testing.T) {
	pictures := []*image.YCbCr{noisyYCbCr(101, 67, image.YCbCrSubsampleRatio444)}
	for _, ratio := range everyRatio {
		pictures = append(pictures, flatChroma(101, 67, ratio, 90, 170), flatChroma(101, 67, ratio, 255, 0))
	}
	for _, m := range pictures {
		requireNear(t, plainPlanes(m), planesOf(t, m, false), 1./255, m.SubsampleRatio.String())
	}
}

// Where no chroma is interpolated, the bits are those of the table: at 4:4:4
// and wherever neighbours are alike, which grey is for all.
func TestConstantChromaIsExact(t *testing.T) {
	m := noisyYCbCr(101, 67, image.YCbCrSubsampleRatio444)
	requireSame(t, throughRows(101, 67, repeatedRows(m, false)), planesOf(t, m, false), "4:4:4")
	for _, ratio := range everyRatio {
		for code := range 256 {
			flat := flatChroma(19, 6, ratio, byte(code), byte(255-code))
			requireSame(t, throughRows(19, 6, repeatedRows(flat, false)), planesOf(t, flat, false), fmt.Sprint(ratio, code))
		}
		for _, size := range awkwardSizes {
			grey := planesOf(t, flatChroma(size[0], size[1], ratio, 128, 128), false)
			require.Equal(t, grey.R.Pix, grey.G.Pix, "%v %v", ratio, size)
			require.Equal(t, grey.R.Pix, grey.B.Pix, "%v %v", ratio, size)
		}
	}
}

// The integer form of libjpeg 6b (jdsample.c, h2v2_fancy_upsample): thrice the
// nearer row and the next, then the same along it, rounded to codes.
func TestInterpolationFollowsLibjpeg(t *testing.T) {
	const w, h = 34, 22
	m := noisyYCbCr(w, h, image.YCbCrSubsampleRatio420)
	for y := range h {
		next := min(max(y/2+y%2*2-1, 0), h/2-1)
		sum := func(x int) int { return 3*int(m.Cr[y/2*m.CStride+x]) + int(m.Cr[next*m.CStride+x]) }
		for x := range w {
			code := (sum(x/2)*4 + 8 - x%2) >> 4
			if across := x/2 + x%2*2 - 1; 0 <= across && across < w/2 {
				code = (sum(x/2)*3 + sum(across) + 8 - x%2) >> 4
			}
			assert.InDelta(t, code, 128+plainChroma(m, m.Cr, x, y), 0.5, "pixel %d,%d", x, y)
		}
	}
}

// The samples that fill up the last blocks are not the picture's: whatever they
// hold, the planes are the same, also for pictures a decoder gave.
func TestPaddingIsNotRead(t *testing.T) {
	for _, ratio := range everyRatio {
		for _, size := range awkwardSizes {
			tight := noisyYCbCr(size[0], size[1], ratio)
			large := noisyYCbCr(size[0]+32, size[1]+32, ratio)
			n := lumaPerChroma[ratio]
			for y := range size[1] {
				copy(large.Y[y*large.YStride:], tight.Y[y*tight.YStride:][:size[0]])
			}
			for y := range (size[1] + n[1] - 1) / n[1] {
				copy(large.Cb[y*large.CStride:], tight.Cb[y*tight.CStride:][:tight.CStride])
				copy(large.Cr[y*large.CStride:], tight.Cr[y*tight.CStride:][:tight.CStride])
			}
			part := large.SubImage(tight.Rect).(*image.YCbCr)
			requireSame(t, planesOf(t, tight, false), planesOf(t, part, false), fmt.Sprint(ratio, size))
		}
	}
}

func TestOddJPEGs(t *testing.T) {
	for _, size := range awkwardSizes {
		file := asJPEG(noisyRGBA(size[0], size[1]))
		picture, err := jpeg.Decode(bytes.NewReader(file))
		require.NoError(t, err)
		m := picture.(*image.YCbCr)
		require.Equal(t, image.YCbCrSubsampleRatio420, m.SubsampleRatio)
		got, _, err := readImage(background, memory(file))
		require.NoError(t, err)
		requireNear(t, plainYCbCr(m, false), got, 1e-6, fmt.Sprint(size))
	}
}

// What a row gives does not depend on the rows read before it, nor planes on
// the number of workers.
func TestRowsInAnyOrder(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, ratio := range everyRatio {
		m := noisyYCbCr(101, 67, ratio)
		read, want := ycbcrRows(m, false), colour.NewImage(101, 67)
		for _, y := range rand.New(rand.NewPCG(5, 5)).Perm(67) {
			read(y, want.R.Row(y), want.G.Row(y), want.B.Row(y))
		}
		for _, workers := range []int{1, 2, 7} {
			runtime.GOMAXPROCS(workers)
			requireSame(t, want, planesOf(t, m, false), fmt.Sprint(ratio, workers))
		}
	}
}

// asYCbCr is a picture in codes, luma at each pixel and chroma the mean of the
// pixels it stands for, as JFIF advises for its siting.
func asYCbCr(p *colour.Image, ratio image.YCbCrSubsampleRatio) *image.YCbCr {
	m, n := image.NewYCbCr(image.Rect(0, 0, p.R.W, p.R.H), ratio), lumaPerChroma[ratio]
	code := func(v float64) byte { return byte(math.Round(min(max(v, 0), 255))) }
	luma := func(i int) float64 {
		return 255 * (0.299*float64(p.R.Pix[i]) + 0.587*float64(p.G.Pix[i]) + 0.114*float64(p.B.Pix[i]))
	}
	for i := range m.Y {
		m.Y[i] = code(luma(i))
	}
	for i := range m.Cb {
		var cb, cr, count float64
		x0, y0 := i%m.CStride*n[0], i/m.CStride*n[1]
		for y := y0; y < min(y0+n[1], p.R.H); y++ {
			for x := x0; x < min(x0+n[0], p.R.W); x++ {
				at := y*p.R.W + x
				cb += (255*float64(p.B.Pix[at]) - luma(at)) / 1.772
				cr += (255*float64(p.R.Pix[at]) - luma(at)) / 1.402
				count++
			}
		}
		m.Cb[i], m.Cr[i] = code(128+cb/count), code(128+cr/count)
	}
	return m
}

// edgeError is the root of the mean square difference over pixels at colour
// edges: those that differ in red or blue by over 0.1 from one two pixels on.
func edgeError(want, got *colour.Image) float64 {
	var sum, count float64
	for y := range want.R.H {
		for x := range want.R.W {
			edge := false
			for _, p := range []colour.Plane{want.R, want.B} {
				v := p.Row(y)[x]
				edge = edge || abs32(p.Row(y)[min(x+2, p.W-1)]-v) > 0.1 || abs32(p.Row(min(y+2, p.H-1))[x]-v) > 0.1
			}
			if !edge {
				continue
			}
			a, b := want.RGB(x, y), got.RGB(x, y)
			sum += sq(a.R-b.R) + sq(a.G-b.G) + sq(a.B-b.B)
			count += 3
		}
	}
	return math.Sqrt(sum / count)
}

func abs32(v float32) float32 { return max(v, -v) }

func sq[T float32 | float64](v T) float64 { return float64(v) * float64(v) }

// orangeDisc is an orange float on blue-green water, its rim soft over some two
// pixels as a lens leaves it, its centre off the grid.
func orangeDisc(w, h int) *colour.Image {
	m := colour.NewImage(w, h)
	for i := range m.R.Pix {
		d := math.Hypot(float64(i%w)-float64(w)/2+0.3, float64(i/w)-float64(h)/2+0.7) - float64(h)/3
		t := float32(min(max(0.5-d/2.4, 0), 1))
		m.R.Pix[i], m.G.Pix[i], m.B.Pix[i] = 0.1+0.85*t, 0.45, 0.5-0.4*t
	}
	return m
}

// shrunk is the mean of n x n pixels: what was blurred by 4:2:0 is sharp again.
func shrunk(m *colour.Image, n int) *colour.Image {
	out := colour.NewImage(m.R.W/n, m.R.H/n)
	for c, p := range []colour.Plane{m.R, m.G, m.B} {
		q := []colour.Plane{out.R, out.G, out.B}[c]
		for i := range q.Pix {
			var sum float32
			for k := range n * n {
				sum += p.Row(i/q.W*n + k/n)[i%q.W*n+k%n]
			}
			q.Pix[i] = sum / float32(n*n)
		}
	}
	return out
}

// gain is the error at colour edges over that of repeated chroma, both against
// the same codes at 4:4:4, so that codes themselves count for nothing.
func gain(t *testing.T, p *colour.Image, ratio image.YCbCrSubsampleRatio) float64 {
	source := planesOf(t, asYCbCr(p, image.YCbCrSubsampleRatio444), false)
	m := asYCbCr(p, ratio)
	repeated := edgeError(source, throughRows(p.R.W, p.R.H, repeatedRows(m, false)))
	interpolated := edgeError(source, planesOf(t, m, false))
	t.Logf("%v %dx%d: error at colour edges %.4f repeated, %.4f interpolated, ratio %.2f",
		ratio, p.R.W, p.R.H, repeated, interpolated, interpolated/repeated)
	return interpolated / repeated
}

func TestEdgesAreNearerToTheirSource(t *testing.T) {
	picture, _, err := Read(background, "testdata/blue-purple-pink.png")
	require.NoError(t, err)
	for _, ratio := range everyRatio[1:] {
		assert.Less(t, gain(t, orangeDisc(161, 121), ratio), 0.9, "disc, %v", ratio)
		assert.Less(t, gain(t, picture, ratio), 1., "picture, %v", ratio)
	}
}

// Photographs under water (SUIM, Islam et al. 2020). Made a third as large they
// have edges of one pixel, at which interpolation may gain nothing.
func TestEdgesOfPhotographs(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(openData(t, "underwater"), "*.jpg"))
	require.NoError(t, err)
	require.NotEmpty(t, files)
	var sum float64
	for _, path := range files {
		m, _, err := Read(background, path)
		require.NoError(t, err)
		sum += gain(t, shrunk(m, 3), image.YCbCrSubsampleRatio420)
	}
	mean := sum / float64(len(files))
	t.Logf("mean ratio %.2f", mean)
	assert.Less(t, mean, 0.9)
}
