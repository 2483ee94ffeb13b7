package clip

import (
	"bytes"
	stdflate "compress/flate"
	"fmt"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/klauspost/compress/flate"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inflated is inflater.inflate for a test.
func inflated(deflated []byte, n int) (out []byte, taken int, ok bool) {
	out = make([]byte, n)
	padded := append(bytes.Clone(deflated), bytes.Repeat([]byte{0xaa}, inflatePad)...)
	taken, ok = new(inflater).inflate(out, padded, len(deflated))
	return out, taken, ok
}

func quickPNG(file []byte) *pngPicture { return new(pngScratch).quick(file) }

// texts are kinds of data that call for every kind of block and code.
func texts(rng *rand.Rand) map[string][]byte {
	all := map[string][]byte{"empty": {}, "one": {7}, "zeros": make([]byte, 300_000)}
	noisy, rare, far := make([]byte, 100_000), make([]byte, 100_000), make([]byte, 200_000)
	for i := range noisy {
		noisy[i] = byte(rng.Uint32())
		rare[i] = byte(min(255, int(rng.ExpFloat64()*rng.ExpFloat64()*8))) // codes of up to 15 bits
	}
	for i := range far {
		far[i] = byte(rng.Uint32() & 7)
		if n := 3 + rng.IntN(40); i > 33000 && i%50 == 0 && i+n < len(far) {
			copy(far[i:i+n], far[i-1-rng.IntN(32768):]) // overlaps too
		}
	}
	all["noise"], all["rare"], all["far"] = noisy, rare, far
	return all
}

// What the standard library and another deflate comes back, from every level, and
// nothing that is damaged or of another length does.
func TestInflate(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for name, text := range texts(rng) {
		for level := flate.HuffmanOnly; level <= 9; level++ {
			var std, other bytes.Buffer
			a, err := stdflate.NewWriter(&std, level)
			require.NoError(t, err)
			b, err := flate.NewWriter(&other, level)
			require.NoError(t, err)
			for at := 0; at < len(text); at += 70_000 {
				part := text[at:min(at+70_000, len(text))]
				a.Write(part)
				b.Write(part)
				require.NoError(t, b.Flush())
			}
			require.NoError(t, a.Close())
			require.NoError(t, b.Close())
			for _, deflated := range [][]byte{std.Bytes(), other.Bytes()} {
				got, taken, ok := inflated(deflated, len(text))
				require.True(t, ok, "%s at level %d", name, level)
				require.True(t, bytes.Equal(text, got), "%s at level %d", name, level)
				require.Equal(t, len(deflated), taken)
				_, _, ok = inflated(deflated, len(text)+1)
				require.False(t, ok)
				if len(text) > 0 {
					_, _, ok = inflated(deflated, len(text)-1)
					require.False(t, ok)
				}
				for range 20 {
					_, _, ok = inflated(deflated[:rng.IntN(len(deflated))], len(text))
					require.False(t, ok, "cut short")
				}
			}
		}
	}
}

// FuzzInflate: whatever the data are, what is taken for sound is what the standard
// library makes of it.
func FuzzInflate(f *testing.F) {
	for _, text := range texts(rand.New(rand.NewPCG(3, 4))) {
		for _, level := range []int{0, 1, 6, flate.HuffmanOnly} {
			var b bytes.Buffer
			z, _ := stdflate.NewWriter(&b, level)
			z.Write(text[:min(len(text), 2000)])
			z.Close()
			f.Add(b.Bytes(), min(len(text), 2000))
		}
	}
	f.Fuzz(func(t *testing.T, b []byte, n int) {
		if n < 0 || n > 1<<20 {
			return
		}
		got, taken, ok := inflated(b, n)
		if !ok {
			return
		}
		in := bytes.NewReader(b)
		var want bytes.Buffer
		_, err := want.ReadFrom(stdflate.NewReader(in))
		require.NoError(t, err)
		require.True(t, bytes.Equal(want.Bytes(), got))
		require.Equal(t, len(b)-in.Len(), taken)
	})
}

// filtered is a picture's rows of random samples, each reduced by a filter.
func filtered(rng *rand.Rand, h, stride, px int, filter func(y int) byte) []byte {
	var out []byte
	above := make([]byte, stride)
	for y := range h {
		row := make([]byte, stride)
		for i := range row {
			row[i] = byte(rng.Uint32())
			if rng.IntN(3) > 0 { // so that all three ways of the last filter are taken
				row[i] = above[i] + byte(rng.IntN(5))
			}
		}
		kind := filter(y)
		out = append(out, kind)
		for i := range row {
			var a, c int
			if i >= px {
				a, c = int(row[i-px]), int(above[i-px])
			}
			out = append(out, row[i]-slowPredicted(kind, a, int(above[i]), c))
		}
		above = row
	}
	return out
}

// slowPredicted is the specification's section 9.2, word by word.
func slowPredicted(filter byte, a, b, c int) byte {
	abs := func(v int) int { return max(v, -v) }
	switch p := a + b - c; filter {
	case 1:
		return byte(a)
	case 2:
		return byte(b)
	case 3:
		return byte((a + b) / 2)
	case 4:
		switch pa, pb, pc := abs(p-a), abs(p-b), abs(p-c); {
		case pa <= pb && pa <= pc:
			return byte(a)
		case pb <= pc:
			return byte(b)
		default:
			return byte(c)
		}
	}
	return 0
}

// Every kind that the quick decoder takes comes out as image/png's pixels do.
func TestQuickPNG(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for kind, shape := range map[byte]int{0: 1, 2: 3, 4: 2, 6: 4} {
		for _, depth := range []byte{8, 16} {
			for _, size := range [][2]int{{1, 1}, {2, 3}, {37, 21}, {64, 7}} {
				for filter := byte(0); filter < 6; filter++ {
					px := shape * int(depth) / 8
					rows := filtered(rng, size[1], size[0]*px, px, func(y int) byte {
						if filter == 5 {
							return byte(rng.IntN(5))
						}
						return filter
					})
					file := pngFile(size[0], size[1], depth, kind, 0, rows)
					quick := quickPNG(file)
					require.NotNil(t, quick, "kind %d, %d bits, filter %d, %v", kind, depth, filter, size)
					want, err := png.Decode(bytes.NewReader(file))
					require.NoError(t, err)
					h := &header{Info: Info{Width: size[0], Height: size[1]}}
					a, err := h.planes(t.Context(), want)
					require.NoError(t, err)
					b, err := h.planes(t.Context(), quick)
					require.NoError(t, err)
					requireSame(t, a, b, fmt.Sprintf("kind %d, %d bits, filter %d", kind, depth, filter))
					_, isGrey, err := h.plane(t.Context(), quick)
					require.NoError(t, err)
					require.Equal(t, shape < 3, isGrey)
				}
			}
		}
	}
}

// What is not as it should be is left to image/png, and so are kinds that are rare.
func TestQuickPNGIsStrict(t *testing.T) {
	file := asPNG(noisyRGBA(9, 7))
	require.NotNil(t, quickPNG(file))
	for n := range file {
		require.Nil(t, quickPNG(file[:n]), "cut at %d", n)
	}
	for i := range file {
		spoilt := bytes.Clone(file)
		spoilt[i] ^= 0x10
		require.Nil(t, quickPNG(spoilt), "byte %d", i)
	}
	rows := filtered(rand.New(rand.NewPCG(7, 8)), 7, 9, 1, func(int) byte { return 0 })
	assert.NotNil(t, quickPNG(pngFile(9, 7, 8, 0, 0, rows)))
	wrong := bytes.Clone(rows)
	wrong[10] = 5
	for name, file := range map[string][]byte{
		"no such filter": pngFile(9, 7, 8, 0, 0, wrong),
		"a row more":     pngFile(9, 7, 8, 0, 0, append(bytes.Clone(rows), rows[:10]...)),
		"interlaced":     pngFile(9, 7, 8, 0, 1, rows),
		"4 bits":         pngFile(9, 7, 4, 0, 0, rows),
		"palette":        pngFile(9, 7, 8, 3, 0, rows, chunk("PLTE", make([]byte, 768))),
	} {
		assert.Nil(t, quickPNG(file), name)
	}
}

// PngSuite by Willem van Schaik: what the quick decoder takes is as image/png has it.
func TestQuickPNGOnPngSuite(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(openData(t, "pngsuite"), "*", "*.png"))
	require.NoError(t, err)
	taken := 0
	for _, path := range files {
		file, err := os.ReadFile(path)
		require.NoError(t, err)
		quick := quickPNG(file)
		if quick == nil {
			continue
		}
		taken++
		want, err := png.Decode(bytes.NewReader(file))
		require.NoError(t, err, path)
		h := &header{Info: Info{Width: quick.w, Height: quick.h}}
		a, err := h.planes(t.Context(), want)
		require.NoError(t, err)
		b, err := h.planes(t.Context(), quick)
		require.NoError(t, err)
		requireSame(t, a, b, path)
	}
	assert.Greater(t, taken, 40)
}
