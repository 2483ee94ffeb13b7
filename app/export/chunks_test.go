package export

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"image"
	"image/png"
	"io"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// A chunk as the specification describes it, section 5.3.
type chunk struct {
	kind    string
	content []byte
	crc     uint32
}

// chunks takes a file apart.
func chunks(t *testing.T, file []byte) (all []chunk) {
	t.Helper()
	require.True(t, bytes.HasPrefix(file, []byte{137, 80, 78, 71, 13, 10, 26, 10}), "signature of section 5.2")
	for rest := file[8:]; len(rest) > 0; {
		require.GreaterOrEqual(t, len(rest), 12)
		n := int(binary.BigEndian.Uint32(rest))
		require.GreaterOrEqual(t, len(rest), 12+n)
		all = append(all, chunk{string(rest[4:8]), rest[8 : 8+n], binary.BigEndian.Uint32(rest[8+n:])})
		rest = rest[12+n:]
	}
	return all
}

// slowCRC is the checksum of the specification, annex D, bit by bit.
func slowCRC(parts ...[]byte) uint32 {
	crc := uint32(0xffffffff)
	for _, p := range parts {
		for _, b := range p {
			crc ^= uint32(b)
			for range 8 {
				if crc&1 == 1 {
					crc = 0xedb88320 ^ crc>>1
				} else {
					crc >>= 1
				}
			}
		}
	}
	return crc ^ 0xffffffff
}

func TestChunks(t *testing.T) {
	p := filled(40, 150, fills["slope"])
	for depth, want := range map[int][]byte{
		8:  {0, 0, 0, 40, 0, 0, 0, 150, 8, 0, 0, 0, 0},
		16: {0, 0, 0, 40, 0, 0, 0, 150, 16, 0, 0, 0, 0},
	} {
		all := chunks(t, encoded(t, p, depth))
		kinds := []string{}
		var stream []byte
		for _, c := range all {
			kinds = append(kinds, c.kind)
			assert.Equal(t, slowCRC([]byte(c.kind), c.content), c.crc, c.kind)
			if c.kind == "IDAT" {
				stream = append(stream, c.content...)
			}
		}
		// Three strips; and none of gAMA, cHRM, sRGB, iCCP, cICP, sBIT, tRNS.
		assert.Equal(t, []string{"IHDR", "IDAT", "IDAT", "IDAT", "IEND"}, kinds)
		assert.Equal(t, want, all[0].content)
		assert.Empty(t, all[4].content)

		// RFC 1950: method 8, a window of 32 KiB, header a multiple of 31.
		assert.Equal(t, byte(0x78), stream[0])
		assert.Zero(t, (int(stream[0])<<8+int(stream[1]))%31)
		z, err := zlib.NewReader(bytes.NewReader(stream))
		require.NoError(t, err)
		rows, err := io.ReadAll(z) // checks the sum
		require.NoError(t, err)
		require.Len(t, rows, 150*(1+40*depth/8))
		assert.Equal(t, slowAdler(rows), binary.BigEndian.Uint32(stream[len(stream)-4:]))
	}
	var three, four bytes.Buffer
	m := &colour.Image{R: p, G: p, B: p}
	require.NoError(t, EncodeRGB(&three, m, 8))
	require.NoError(t, new(Encoder).RGBA(t.Context(), &four, m, p, 16))
	assert.Equal(t, []byte{0, 0, 0, 40, 0, 0, 0, 150, 8, 2, 0, 0, 0}, chunks(t, three.Bytes())[0].content)
	assert.Equal(t, []byte{0, 0, 0, 40, 0, 0, 0, 150, 16, 6, 0, 0, 0}, chunks(t, four.Bytes())[0].content)
}

// A file written byte by byte from the specification: what we make of its
// samples reads the same, and its checksums are ours.
func TestReferencePicture(t *testing.T) {
	f := testdata.File(t, "png_grey16_4x3.png")
	published, err := png.Decode(bytes.NewReader(f))
	require.NoError(t, err)
	theirs := map[string]chunk{}
	for _, c := range chunks(t, f) {
		theirs[c.kind] = c
	}
	p := colour.NewPlane(4, 3)
	y := 0
	for _, row := range testdata.Table(t, "png_grey16_4x3.csv") {
		if row.Text("kind") == "crc" {
			assert.Equal(t, row.Text("b"), fmt.Sprintf("%08x", theirs[row.Text("a")].crc))
			assert.Equal(t, theirs[row.Text("a")].crc, slowCRC([]byte(row.Text("a")), theirs[row.Text("a")].content))
			continue
		}
		for x, code := range row.NumbersFrom("a") {
			p.Row(y)[x] = colour.FromCode16(uint16(code))
		}
		y++
	}
	require.Equal(t, 3, y)
	file := encoded(t, p, 16)
	ours, err := png.Decode(bytes.NewReader(file))
	require.NoError(t, err)
	assert.Equal(t, published.(*image.Gray16).Pix, ours.(*image.Gray16).Pix)
	for _, c := range chunks(t, file) {
		if c.kind != "IDAT" {
			assert.Equal(t, theirs[c.kind], c)
		}
	}
}

// slowAdler is the checksum as RFC 1950, section 8.2, defines it.
func slowAdler(p []byte) uint32 {
	low, high := uint32(1), uint32(0)
	for _, b := range p {
		low = (low + uint32(b)) % 65521
		high = (high + low) % 65521
	}
	return high<<16 | low
}

func TestAdler(t *testing.T) {
	rnd := rand.New(rand.NewPCG(5, 6))
	var all []byte
	sum, joined := adlerStart, adlerStart
	for range 200 {
		p := make([]byte, rnd.IntN(6000))
		if rnd.IntN(3) == 0 {
			sum = sum.zeros(len(p))
		} else {
			for i := range p {
				p[i] = byte(255 - rnd.IntN(1+rnd.IntN(255)))
			}
			sum = sum.add(p)
		}
		all = append(all, p...)
		joined = joined.join(adlerStart.add(p), len(p))
		require.Equal(t, slowAdler(all), uint32(sum))
		require.Equal(t, sum, joined)
	}
}

func TestSubtract(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 9))
	for n := range 70 {
		a, b, got, want := make([]byte, n), make([]byte, n), make([]byte, n), make([]byte, n)
		for range 200 {
			for i := range a {
				a[i], b[i] = byte(rnd.Uint32()), byte(rnd.Uint32())
				want[i] = a[i] - b[i]
			}
			subtract(got, a, b)
			require.Equal(t, want, got)
		}
	}
}
