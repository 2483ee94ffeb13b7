package clip

import (
	"bytes"
	"compress/zlib"
	"context"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/image/bmp"
	"golang.org/x/image/tiff"

	"halocline/colour"
)

var background = context.Background()

// memory is a source over bytes.
func memory(b []byte) source { return source{"test", bytes.NewReader(b), int64(len(b))} }

// saved writes a file for the test and returns its path.
func saved(t testing.TB, name string, b []byte) string {
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, b, 0o600))
	return path
}

// openData is the folder of open data that is not part of the project.
func openData(t *testing.T, sub string) string {
	root := os.Getenv("HALOCLINE_DATA")
	if root == "" {
		t.Skip("HALOCLINE_DATA not set")
	}
	return filepath.Join(root, sub)
}

func encoded[T any](encode func(*bytes.Buffer, T) error, m T) []byte {
	var b bytes.Buffer
	if err := encode(&b, m); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func asPNG(m image.Image) []byte {
	return encoded(func(b *bytes.Buffer, m image.Image) error { return png.Encode(b, m) }, m)
}

func asJPEG(m image.Image) []byte {
	return encoded(func(b *bytes.Buffer, m image.Image) error { return jpeg.Encode(b, m, &jpeg.Options{Quality: 90}) }, m)
}

func asTIFF(m image.Image, c tiff.CompressionType) []byte {
	return encoded(func(b *bytes.Buffer, m image.Image) error {
		return tiff.Encode(b, m, &tiff.Options{Compression: c, Predictor: c != tiff.Uncompressed})
	}, m)
}

func asBMP(m image.Image) []byte {
	return encoded(func(b *bytes.Buffer, m image.Image) error { return bmp.Encode(b, m) }, m)
}

// noise fills a picture's bytes; every alpha of pictures that have one too.
func noise(pix []byte, seed uint64) {
	rng := rand.New(rand.NewPCG(seed, 7))
	for i := range pix {
		pix[i] = byte(rng.Uint32())
	}
}

func noisyNRGBA64(w, h int) *image.NRGBA64 {
	m := image.NewNRGBA64(image.Rect(0, 0, w, h))
	noise(m.Pix, 1)
	return m
}

func noisyNRGBA(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	noise(m.Pix, 2)
	return m
}

// noisyRGBA is opaque.
func noisyRGBA(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	noise(m.Pix, 3)
	for i := 3; i < len(m.Pix); i += 4 {
		m.Pix[i] = 255
	}
	return m
}

// noisyRGBA64 is opaque.
func noisyRGBA64(w, h int) *image.RGBA64 {
	m := image.NewRGBA64(image.Rect(0, 0, w, h))
	noise(m.Pix, 4)
	for i := 6; i < len(m.Pix); i += 8 {
		m.Pix[i], m.Pix[i+1] = 255, 255
	}
	return m
}

func noisyGray16(w, h int) *image.Gray16 {
	m := image.NewGray16(image.Rect(0, 0, w, h))
	noise(m.Pix, 5)
	return m
}

func noisyGray(w, h int) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	noise(m.Pix, 6)
	return m
}

// pngFile writes a PNG chunk by chunk: header, extra chunks, raw rows with
// their filter bytes, end.
func pngFile(w, h int, depth, kind, interlace byte, rows []byte, extra ...[]byte) []byte {
	head := binary.BigEndian.AppendUint32(nil, uint32(w))
	head = binary.BigEndian.AppendUint32(head, uint32(h))
	b := append([]byte(pngSignature), chunk("IHDR", append(head, depth, kind, 0, 0, interlace))...)
	b = append(b, slices.Concat(extra...)...)
	b = append(b, chunk("IDAT", deflated(rows))...)
	return append(b, chunk("IEND", nil)...)
}

func chunk(kind string, data []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(data)))
	b = append(append(b, kind...), data...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

func deflated(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	_, _ = z.Write(b)
	_ = z.Close()
	return out.Bytes()
}

// exifBlock is an EXIF block with an orientation and a colour space.
func exifBlock(order binary.ByteOrder, orientation, space uint16) []byte {
	b := []byte("II*\x00\x08\x00\x00\x00")
	if order == binary.BigEndian {
		b = []byte("MM\x00*\x00\x00\x00\x08")
	}
	b = append(b, directoryBytes(order,
		tag{tagOrientation, kindShort, []uint32{uint32(orientation)}},
		tag{tagExif, kindLong, []uint32{8 + 2 + 2*12 + 4}})...)
	return append(b, directoryBytes(order, tag{tagColourSpace, kindShort, []uint32{uint32(space)}})...)
}

type tag struct {
	id, kind uint16
	values   []uint32
}

// directoryBytes is a directory of tags whose values fit their entries.
func directoryBytes(order binary.ByteOrder, tags ...tag) []byte {
	b := make([]byte, 2, 2+12*len(tags)+4)
	order.PutUint16(b, uint16(len(tags)))
	for _, t := range tags {
		e := make([]byte, 12)
		order.PutUint16(e, t.id)
		order.PutUint16(e[2:], t.kind)
		order.PutUint32(e[4:], uint32(len(t.values)))
		for i, v := range t.values {
			switch t.kind {
			case kindShort:
				order.PutUint16(e[8+2*i:], uint16(v))
			case kindLong:
				order.PutUint32(e[8+4*i:], v)
			default:
				e[8+i] = byte(v)
			}
		}
		b = append(b, e...)
	}
	return append(b, 0, 0, 0, 0)
}

// tiffFile is a plain big-endian TIFF of one strip. bits holds one depth for
// each sample; more adds or replaces tags.
func tiffFile(w, h int, bits []uint32, photometric uint32, strip []byte, more ...tag) []byte {
	at := uint32(8)
	var outside []byte
	bitsTag := tag{tagBits, kindShort, bits}
	if len(bits) > 2 { // does not fit its entry: lies before the strip
		outside = make([]byte, 2*len(bits))
		for i, v := range bits {
			binary.BigEndian.PutUint16(outside[2*i:], uint16(v))
		}
	}
	tags := []tag{
		{tagWidth, kindLong, []uint32{uint32(w)}}, {tagHeight, kindLong, []uint32{uint32(h)}}, bitsTag,
		{tagCompression, kindShort, []uint32{1}}, {tagPhotometric, kindShort, []uint32{photometric}},
		{tagStrips, kindLong, []uint32{at + uint32(len(outside))}}, {tagSamples, kindShort, []uint32{uint32(len(bits))}},
		{tagStripBytes, kindLong, []uint32{uint32(len(strip))}},
	}
	for _, m := range more {
		tags = slices.DeleteFunc(tags, func(t tag) bool { return t.id == m.id })
		tags = append(tags, m)
	}
	slices.SortFunc(tags, func(a, b tag) int { return int(a.id) - int(b.id) })
	if outside != nil {
		i := slices.IndexFunc(tags, func(t tag) bool { return t.id == tagBits })
		tags[i].values = nil
	}
	file := []byte("MM\x00*\x00\x00\x00\x00")
	file = append(append(file, outside...), strip...)
	binary.BigEndian.PutUint32(file[4:], uint32(len(file)))
	dir := directoryBytes(binary.BigEndian, tags...)
	if outside != nil {
		e := dir[2+12*slices.IndexFunc(tags, func(t tag) bool { return t.id == tagBits }):]
		binary.BigEndian.PutUint32(e[4:], uint32(len(bits)))
		binary.BigEndian.PutUint32(e[8:], at)
	}
	return append(file, dir...)
}

// segment is a JPEG marker segment.
func segment(mark byte, data []byte) []byte {
	b := binary.BigEndian.AppendUint16([]byte{0xff, mark}, uint16(len(data)+2))
	return append(b, data...)
}

// withSegments puts segments behind the start of a JPEG.
func withSegments(file []byte, segments ...[]byte) []byte {
	return slices.Concat(file[:2], slices.Concat(segments...), file[2:])
}

// adobe is the APP14 segment of ITU-T T.872, 6.5.3, with its transform.
func adobe(transform byte) []byte {
	return segment(markAPP14, append([]byte("Adobe\x00\x64\x00\x00\x00\x00"), transform))
}

// flatJPEG is a baseline JPEG of one block of 8 x 8 pixels, in which component
// c is values[c] throughout: quantisation 1, a DC term of 8 (v-128), no AC terms.
func flatJPEG(values ...byte) []byte {
	b := []byte{0xff, 0xd8}
	b = append(b, segment(0xdb, append([]byte{0}, bytes.Repeat([]byte{1}, 64)...))...)
	sof := []byte{8, 0, 8, 0, 8, byte(len(values))}
	sos := []byte{byte(len(values))}
	for i := range values {
		sof = append(sof, byte(i+1), 0x11, 0)
		sos = append(sos, byte(i+1), 0)
	}
	b = append(b, segment(markSOF0, sof)...)
	// DC: the twelve sizes as codes of four bits; AC: end of block is the code 0.
	dc := append([]byte{0x00}, 0, 0, 0, 12, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0)
	for size := range byte(12) {
		dc = append(dc, size)
	}
	b = append(b, segment(markDHT, dc)...)
	b = append(b, segment(markDHT, append([]byte{0x10, 1}, append(make([]byte, 15), 0)...))...)
	b = append(b, segment(markSOS, append(sos, 0, 63, 0))...)
	var bits []byte // one a bit
	put := func(v, n int) {
		for i := n - 1; i >= 0; i-- {
			bits = append(bits, byte(v>>i&1))
		}
	}
	for _, v := range values {
		dc, size := 8*(int(v)-128), 0
		for m := max(dc, -dc); m > 0; m >>= 1 {
			size++
		}
		put(size, 4)
		if dc < 0 {
			dc += 1<<size - 1
		}
		put(dc, size)
		put(0, 1)
	}
	for len(bits)%8 != 0 {
		bits = append(bits, 1)
	}
	for i := 0; i < len(bits); i += 8 {
		var c byte
		for _, bit := range bits[i : i+8] {
			c = c<<1 | bit
		}
		if b = append(b, c); c == 0xff {
			b = append(b, 0)
		}
	}
	return append(b, 0xff, markEOI)
}

// tinyWebP is a lossless WebP of w x h pixels of one colour: five prefix codes
// of a single symbol each, so that the pixels themselves take no bits (RFC 9649, 3.7.2).
func tinyWebP(w, h int, r, g, b, a byte) []byte {
	var acc uint64
	var n uint
	out := []byte{vp8lSignature}
	put := func(v uint64, bits uint) {
		for acc, n = acc|v<<n, n+bits; n >= 8; acc, n = acc>>8, n-8 {
			out = append(out, byte(acc))
		}
	}
	put(uint64(w-1), 14)
	put(uint64(h-1), 14)
	put(1, 1)     // alpha is used
	put(0, 3)     // version
	put(0, 1+1+1) // no transform, no colour cache, one group of codes
	for _, symbol := range []byte{g, r, b, a} {
		put(1, 1) // a simple code
		put(0, 1) // of one symbol
		put(1, 1) // of eight bits
		put(uint64(symbol), 8)
	}
	put(0b0001, 4) // distances: simple, one symbol, of one bit, 0
	put(0, 7)
	return riff(webpChunk("VP8L", out))
}

func webpChunk(kind string, data []byte) []byte {
	b := binary.LittleEndian.AppendUint32([]byte(kind), uint32(len(data)))
	b = append(b, data...)
	return append(b, make([]byte, len(data)%2)...)
}

func riff(chunks ...[]byte) []byte {
	body := slices.Concat(chunks...)
	b := binary.LittleEndian.AppendUint32([]byte("RIFF"), uint32(len(body)+4))
	return append(append(b, "WEBP"...), body...)
}

// iccNamed is the least that reads as an ICC profile of version 2 with a name.
func iccNamed(name string) []byte {
	text := binary.BigEndian.AppendUint32([]byte("desc\x00\x00\x00\x00"), uint32(len(name)+1))
	return iccWith(append(append(text, name...), 0))
}

func iccWith(desc []byte) []byte {
	b := make([]byte, 128, 300)
	b = binary.BigEndian.AppendUint32(b, 1)
	b = append(b, "desc"...)
	b = binary.BigEndian.AppendUint32(b, 128+4+12)
	b = binary.BigEndian.AppendUint32(b, uint32(len(desc)))
	return append(b, desc...)
}

// samples is one picture of every kind that is read, small, by name.
func samples(t testing.TB) map[string][]byte {
	lossy, err := os.ReadFile("testdata/blue-purple-pink.lossy.webp")
	require.NoError(t, err)
	lossless, err := os.ReadFile("testdata/gopher-doc.with-alpha.lossless.webp")
	require.NoError(t, err)
	cmyk, err := os.ReadFile("testdata/video-001.cmyk.jpeg")
	require.NoError(t, err)
	progressive, err := os.ReadFile("testdata/video-001.q50.420.progressive.jpeg")
	require.NoError(t, err)
	exif := append([]byte("Exif\x00\x00"), exifBlock(binary.BigEndian, 6, uncalibrated)...)
	palette := image.NewPaletted(image.Rect(0, 0, 13, 9), someColours)
	noise(palette.Pix, 9)
	for i := range palette.Pix {
		palette.Pix[i] %= byte(len(someColours))
	}
	return map[string][]byte{
		"grey8.png": asPNG(noisyGray(17, 11)), "grey16.png": asPNG(noisyGray16(17, 11)),
		"rgb8.png": asPNG(noisyRGBA(17, 11)), "rgb16.png": asPNG(noisyRGBA64(17, 11)),
		"rgba8.png": asPNG(noisyNRGBA(17, 11)), "rgba16.png": asPNG(noisyNRGBA64(17, 11)),
		"palette.png": asPNG(palette), "interlaced.png": interlacedPNG(11, 9),
		"marked.png": pngFile(2, 1, 8, 0, 0, []byte{0, 7, 9}, chunk("gAMA", []byte{0, 1, 0x86, 0xa0}),
			chunk("iCCP", append([]byte("name\x00\x00"), deflated(iccNamed("Wide test space"))...)),
			chunk("eXIf", exifBlock(binary.LittleEndian, 8, 1))),
		"grey.jpeg": asJPEG(noisyGray(19, 18)), "colour.jpeg": asJPEG(noisyRGBA(19, 18)),
		"exif.jpeg": withSegments(asJPEG(noisyRGBA(9, 18)), segment(markAPP1, exif),
			segment(markAPP2, append([]byte("ICC_PROFILE\x00\x01\x01"), iccNamed("Wide test space")...))),
		"cmyk.jpeg": cmyk, "progressive.jpeg": progressive, "flatcmyk.jpeg": withSegments(flatJPEG(1, 2, 3, 4), adobe(0)),
		"grey16.tiff": asTIFF(noisyGray16(17, 11), tiff.Uncompressed), "rgb8.tiff": asTIFF(noisyRGBA(17, 11), tiff.Deflate),
		"rgb16.tiff": asTIFF(noisyRGBA64(17, 11), tiff.Deflate), "rgba16.tiff": asTIFF(noisyNRGBA64(17, 11), tiff.Deflate),
		"palette.tiff": asTIFF(palette, tiff.Uncompressed), "plain.tiff": tiffFile(3, 2, []uint32{8}, blackIsZero, []byte{1, 2, 3, 4, 5, 6}),
		"grey.bmp": asBMP(noisyGray(7, 5)), "rgb.bmp": asBMP(noisyRGBA(7, 5)), "rgba.bmp": asBMP(noisyNRGBA(7, 5)), "palette.bmp": asBMP(palette),
		"flat.webp": tinyWebP(3, 2, 10, 20, 30, 40), "lossy.webp": lossy, "lossless.webp": lossless,
	}
}

// requireSame compares bit for bit.
func requireSame(t *testing.T, want, got *colour.Image, what string) {
	t.Helper()
	for c, p := range []colour.Plane{got.R, got.G, got.B} {
		q := []colour.Plane{want.R, want.G, want.B}[c]
		require.Equal(t, [2]int{q.W, q.H}, [2]int{p.W, p.H}, what)
		for i, v := range p.Pix {
			if v != q.Pix[i] {
				t.Fatalf("%s: channel %d of pixel %d,%d is %v, want %v", what, c, i%p.W, i/p.W, v, q.Pix[i])
			}
		}
	}
}
