package export

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// encoded returns the file of a grey picture.
func encoded(t testing.TB, p colour.Plane, depth int) []byte {
	t.Helper()
	var buf bytes.Buffer
	require.NoError(t, EncodeGrey(&buf, p, depth))
	return buf.Bytes()
}

// requireSame reads a grey file with image/png and compares every sample.
func requireSame(t *testing.T, file []byte, p colour.Plane, depth int) {
	t.Helper()
	m, err := png.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	require.Equal(t, image.Rect(0, 0, p.W, p.H), m.Bounds())
	pix := make([]byte, p.W*p.H*depth/8)
	if depth == 8 {
		colour.Codes8(pix, p.Pix)
		require.IsType(t, &image.Gray{}, m)
		require.True(t, bytes.Equal(pix, m.(*image.Gray).Pix), "samples differ")
		return
	}
	colour.Codes16BE(pix, p.Pix)
	require.IsType(t, &image.Gray16{}, m)
	require.True(t, bytes.Equal(pix, m.(*image.Gray16).Pix), "samples differ")
}

// fills are kinds of content: what each sample is.
var fills = map[string]func(rnd *rand.Rand, x, y int) float32{
	"black":     func(*rand.Rand, int, int) float32 { return 0 },
	"white":     func(*rand.Rand, int, int) float32 { return 1 },
	"half":      func(*rand.Rand, int, int) float32 { return 0.5 },
	"noise":     func(rnd *rand.Rand, _, _ int) float32 { return rnd.Float32() },
	"specks":    func(rnd *rand.Rand, _, _ int) float32 { return float32(rnd.IntN(50) / 49) },
	"slope":     func(_ *rand.Rand, x, y int) float32 { return float32((x*3+y*7)%4001) / 4000 },
	"stripes":   func(_ *rand.Rand, _, y int) float32 { return float32(y / 5 % 2) },
	"unbounded": func(rnd *rand.Rand, _, _ int) float32 { return float32(rnd.NormFloat64()) * 3 },
}

func filled(w, h int, fill func(rnd *rand.Rand, x, y int) float32) colour.Plane {
	rnd := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	p := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			p.Row(y)[x] = fill(rnd, x, y)
		}
	}
	return p
}

func TestGreyIsLossless(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	shapes := [][2]int{{1, 1}, {1, 64}, {1, 65}, {64, 1}, {3, 128}, {7, 129}, {8, 63}, {20000, 10}, {2, 1000}}
	for range 6 {
		shapes = append(shapes, [2]int{1 + rnd.IntN(300), 1 + rnd.IntN(300)})
	}
	for name, fill := range fills {
		for _, s := range shapes {
			p := filled(s[0], s[1], fill)
			for _, depth := range []int{8, 16} {
				t.Run(name, func(t *testing.T) { requireSame(t, encoded(t, p, depth), p, depth) })
			}
		}
	}
}

func TestEveryCodeSurvives(t *testing.T) {
	p := filled(256, 256, func(_ *rand.Rand, x, y int) float32 { return colour.FromCode16(uint16(256*y + x)) })
	m, err := png.Decode(bytes.NewReader(encoded(t, p, 16)))
	require.NoError(t, err)
	for code := range 65536 {
		require.Equal(t, uint16(code), m.(*image.Gray16).Gray16At(code%256, code/256).Y)
	}
}

func TestOddSamples(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	p := colour.Plane{W: 6, H: 1, Pix: []float32{nan, inf, -inf, -0.1, 1.1, 0.5}}
	m, err := png.Decode(bytes.NewReader(encoded(t, p, 16)))
	require.NoError(t, err)
	for x, want := range []uint16{0, 65535, 0, 0, 65535, 32768} {
		assert.Equal(t, want, m.(*image.Gray16).Gray16At(x, 0).Y, "sample %d", x)
	}
}

func TestColourIsLossless(t *testing.T) {
	for _, s := range [][2]int{{1, 1}, {37, 130}, {640, 65}} {
		m := &colour.Image{R: filled(s[0], s[1], fills["noise"]), G: filled(s[0], s[1], fills["slope"]), B: filled(s[0], s[1], fills["stripes"])}
		alpha := filled(s[0], s[1], fills["specks"])
		for _, depth := range []int{8, 16} {
			var three, four bytes.Buffer
			require.NoError(t, EncodeRGB(&three, m, depth))
			require.NoError(t, new(Encoder).RGBA(t.Context(), &four, m, alpha, depth))
			requireSamples(t, three.Bytes(), depth, m.R, m.G, m.B)
			requireSamples(t, four.Bytes(), depth, m.R, m.G, m.B, alpha)
		}
	}
}

// requireSamples compares a colour file, read by image/png, with its channels.
func requireSamples(t *testing.T, file []byte, depth int, channels ...colour.Plane) {
	t.Helper()
	m, err := png.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	var pix []byte // four samples a pixel, whatever the file has
	switch m := m.(type) {
	case *image.RGBA:
		pix = m.Pix
	case *image.NRGBA:
		pix = m.Pix
	case *image.RGBA64:
		pix = m.Pix
	case *image.NRGBA64:
		pix = m.Pix
	}
	require.Len(t, pix, len(channels[0].Pix)*4*depth/8)
	for c, plane := range channels {
		for i, v := range plane.Pix {
			if depth == 8 {
				require.Equal(t, colour.Code8(v), pix[4*i+c], "channel %d, pixel %d", c, i)
				continue
			}
			got := uint16(pix[8*i+2*c])<<8 | uint16(pix[8*i+2*c+1])
			require.Equal(t, colour.Code16(v), got, "channel %d, pixel %d", c, i)
		}
	}
}

func TestBytesDependOnPictureAlone(t *testing.T) {
	p := finishedMatte(500, 333)
	want := encoded(t, p, 16)
	var e Encoder
	for _, workers := range []int{1, 2, 7, 0} {
		e.Workers = workers
		for range 3 {
			var other, got bytes.Buffer // what was written before must not show
			require.NoError(t, e.Grey(context.Background(), &other, filled(900, 200, fills["noise"]), 8))
			require.NoError(t, e.Grey(context.Background(), &got, p, 16))
			require.True(t, bytes.Equal(want, got.Bytes()), "%d workers", workers)
		}
	}
	assert.Less(t, len(want), 2*p.W*p.H/2, "compressed")
}

// The same bytes come from every build: GOAMD64=v3 and GOEXPERIMENT=simd too.
// The samples are made in whole numbers, as a build may round a sine otherwise.
// A newer compressor may change the sums: then they are to be set anew, and the
// version of the engine raised.
func TestBytesOnEveryBuild(t *testing.T) {
	p := colour.NewPlane(640, 200)
	noise := uint32(7)
	for y := range p.H {
		for x, row := 0, p.Row(y); x < p.W; x++ {
			noise = noise*1664525 + 1013904223
			code := (min(max((x+y/3)%400, 100), 250) - 100) * 436
			if code > 0 && y%50 > 40 {
				code += int(noise >> 27)
			}
			row[x] = colour.FromCode16(uint16(code))
		}
	}
	for depth, want := range map[int]string{
		8:  "9a3d1cbe164f3853bf40cb0f920369f840ea129719335baae5ece67b6b3ba83b",
		16: "c6040970fa3cca318e62b5e637af24e7e226bea174fc6c0dc1bc3fc2cbcfbec0",
	} {
		assert.Equal(t, want, fmt.Sprintf("%x", sha256.Sum256(encoded(t, p, depth))), "%d bits", depth)
	}
}

func TestEncodeErrors(t *testing.T) {
	p := colour.NewPlane(4, 3)
	assert.EqualError(t, EncodeGrey(io.Discard, p, 10), "export: depth is 10 bits, want 8 or 16")
	assert.EqualError(t, EncodeGrey(io.Discard, colour.Plane{}, 8), "export: picture is 0 x 0, want 1 to 1048576 pixels each way")
	assert.EqualError(t, EncodeGrey(io.Discard, colour.Plane{W: 1 << 21, H: 1}, 8), "export: picture is 2097152 x 1, want 1 to 1048576 pixels each way")
	assert.EqualError(t, new(Encoder).RGBA(t.Context(), io.Discard, colour.NewImage(4, 3), colour.NewPlane(3, 4), 8), "export: alpha is 3 x 4, its picture 4 x 3")

	full := errors.New("no space")
	for n := range len(encoded(t, p, 8)) {
		err := EncodeGrey(&limited{left: n, err: full}, p, 8)
		require.ErrorIs(t, err, full, "after %d bytes", n)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	var buf bytes.Buffer
	require.ErrorIs(t, new(Encoder).Grey(ctx, &buf, p, 8), context.Canceled)
	assert.Zero(t, buf.Len(), "nothing is written of a picture left out")
}

// limited fails once it has taken so many bytes.
type limited struct {
	left int
	err  error
}

func (l *limited) Write(p []byte) (int, error) {
	if len(p) > l.left {
		return l.left, l.err
	}
	l.left -= len(p)
	return len(p), nil
}

// PNG specification (Third Edition), section 12.4.
func TestSampleDepthScaling(t *testing.T) {
	checked := 0
	for _, row := range testdata.Table(t, "png_sample_depth.csv") {
		var n [4]int
		for i, v := range row.NumbersFrom("in_bits") {
			n[i] = int(v)
		}
		p := colour.Plane{W: 1, H: 1, Pix: []float32{float32(n[1]) / float32(int(1)<<n[0]-1)}}
		m, err := png.Decode(bytes.NewReader(encoded(t, p, n[2])))
		require.NoError(t, err)
		got := 0
		switch m := m.(type) {
		case *image.Gray:
			got = int(m.Pix[0])
		case *image.Gray16:
			got = int(m.Gray16At(0, 0).Y)
		}
		assert.Equal(t, n[3], got, "%d of %d bits in %d bits", n[1], n[0], n[2])
		checked++
	}
	assert.Equal(t, 27, checked)
}

func TestWriteFile(t *testing.T) {
	p := filled(30, 20, fills["slope"])
	path := filepath.Join(t.TempDir(), "skin", "transect-skin.000001.png")
	for range 2 { // the second time it replaces
		require.NoError(t, WriteFile(path, func(w io.Writer) error { return EncodeGrey(w, p, 16) }))
		file, err := os.ReadFile(path)
		require.NoError(t, err)
		requireSame(t, file, p, 16)
	}
	err := WriteFile(path, func(w io.Writer) error { return EncodeGrey(w, p, 9) })
	assert.ErrorContains(t, err, "depth is 9 bits")
	file, err := os.ReadFile(path)
	require.NoError(t, err)
	requireSame(t, file, p, 16)
	left, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	assert.Len(t, left, 1, "nothing else is left in the folder")

	err = WriteFile(filepath.Join(path, "below.png"), func(io.Writer) error { return nil })
	assert.ErrorContains(t, err, "export: no folder for ")
}
