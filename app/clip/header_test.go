package clip

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"io"
	"runtime"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// modest is more than any header takes and less than any picture that the
// files below claim.
const modest = 1 << 20

// requireModest asks of run no more memory than a header may take.
func requireModest(t *testing.T, what string, run func()) {
	t.Helper()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	run()
	runtime.ReadMemStats(&after)
	require.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(modest), "%s: bytes allocated", what)
}

func bmpHead(w, h int32, bits uint16) []byte {
	b := []byte("BM\x00\x00\x00\x00\x00\x00\x00\x00\x36\x00\x00\x00\x28\x00\x00\x00")
	b = binary.LittleEndian.AppendUint32(b, uint32(w))
	b = binary.LittleEndian.AppendUint32(b, uint32(h))
	b = append(b, 1, 0, byte(bits), 0)
	return append(b, make([]byte, 24)...)
}

func jpegHead(w, h uint16) []byte {
	sof := []byte{8, byte(h >> 8), byte(h), byte(w >> 8), byte(w), 1, 1, 0x11, 0}
	return append(append([]byte{0xff, 0xd8}, segment(markSOF0, sof)...), segment(markSOS, []byte{1, 1, 0, 0, 63, 0})...)
}

// zeros is a PNG of w x h pixels of 1 bit, all zero, truly there.
func zeroPNG(w, h int) []byte {
	return pngFile(w, h, 1, 0, 0, make([]byte, ((w+7)/8+1)*h))
}

func TestHugeClaimsTakeNoMemory(t *testing.T) {
	padded := func(b []byte, n int) []byte { return append(b, make([]byte, n)...) }
	sixty := pngFile(60000, 60000, 1, 0, 0, nil)
	for name, c := range map[string]struct {
		file []byte
		kind error
	}{
		"png of 60000 x 60000":       {padded(sixty, 440<<10), ErrTooLarge},
		"png of 2^31-1":              {pngFile(1<<31-1, 1<<31-1, 16, 6, 0, nil), ErrTooLarge},
		"png of 2^32-1":              {pngFile(1<<32-1, 1, 16, 6, 0, nil), ErrTooLarge},
		"png of 16000 x 16000":       {pngFile(16000, 16000, 8, 2, 0, nil), ErrDamaged},
		"png of 4000 x 4000":         {pngFile(4000, 4000, 8, 2, 0, nil), ErrDamaged},
		"interlaced png":             {pngFile(16000, 16000, 16, 6, 1, nil), ErrDamaged},
		"png of no width":            {pngFile(0, 5, 8, 0, 0, nil), ErrDamaged},
		"bmp of 2^30 x -2^30":        {bmpHead(1<<30, -1<<30, 24), ErrTooLarge},
		"bmp of 2^30 x -2^30, 1 bit": {bmpHead(1<<30, -1<<30, 1), ErrTooLarge},
		"bmp of -2^31":               {bmpHead(1, -1<<31, 8), ErrTooLarge},
		"bmp of negative width":      {bmpHead(-5, 5, 24), ErrDamaged},
		"bmp of 5000 x 5000":         {bmpHead(5000, 5000, 24), ErrDamaged},
		"bmp of no size":             {bmpHead(0, 0, 24), ErrDamaged},
		"jpeg of 65535 x 65535":      {jpegHead(65535, 65535), ErrTooLarge},
		"jpeg of 16000 x 16000":      {jpegHead(16000, 16000), ErrDamaged},
		"webp of 16384 x 16384":      {tinyWebP(16384, 16384, 1, 2, 3, 4), ErrDamaged},
		"tiff of 2^32-1":             {tiffFile(1<<32-1, 1<<32-1, []uint32{8}, blackIsZero, []byte{0}), ErrTooLarge},
		"tiff of 16000 x 16000":      {tiffFile(16000, 16000, []uint32{16, 16, 16}, photoRGB, []byte{0}), ErrDamaged},
		"tiff of 2000 x 2000":        {tiffFile(2000, 2000, []uint32{8}, blackIsZero, []byte{0}), ErrDamaged},
		"tiff in LZW":                {tiffFile(9000, 9000, []uint32{8}, blackIsZero, []byte{0, 0}, tag{tagCompression, kindShort, []uint32{5}}), ErrDamaged},
		"tiff in fax coding":         {tiffFile(60000, 4000, []uint32{1}, blackIsZero, []byte{0}, tag{tagCompression, kindShort, []uint32{4}}), ErrDamaged},
		"tiff without size":          {tiffFile(0, 0, []uint32{8}, blackIsZero, []byte{0}), ErrDamaged},
	} {
		path := saved(t, "huge", c.file)
		requireModest(t, name, func() {
			_, _, err := Read(background, path)
			assert.ErrorIs(t, err, c.kind, name)
			checkWords(t, path, err)
		})
	}
}

// checkWords asks of an error one line that names the file, what was found and
// what was wanted.
func checkWords(t testing.TB, path string, err error) {
	t.Helper()
	var e *Error
	if !errors.As(err, &e) {
		t.Fatalf("%v (%T), want a *clip.Error", err, err)
	}
	line := err.Error()
	assert.Regexp(t, `^clip: \S.*: \S.*, want \S.*$`, line)
	assert.Contains(t, line, oneLine(path))
	assert.NotContains(t, line, "\n")
}

// What is real passes, up to the limits: 8K, panoramas, long strips.
func TestLargePicturesPass(t *testing.T) {
	for _, size := range [][2]int{{7680, 4320}, {32768, 8192}, {65535, 4096}, {4096, 65535}, {16384, 16384}} {
		h := &header{Info: Info{Width: size[0], Height: size[1]}}
		h.config = func(io.Reader) (image.Config, error) { return image.Config{Width: size[0], Height: size[1]}, nil }
		s := memory(nil)
		s.size = 40_000 // what a plain PNG of one bit and this size has at least
		assert.NoError(t, h.check(s), "%v", size)
	}
	for _, size := range [][2]int{{65536, 1}, {1, 65536}, {16384, 16385}, {65535, 65535}} {
		h := &header{Info: Info{Width: size[0], Height: size[1]}}
		s := memory(nil)
		s.size = 1 << 40
		assert.ErrorIs(t, h.check(s), ErrTooLarge, "%v", size)
	}
}

// The least lengths must never refuse what an encoder can write: the emptiest
// pictures are the test.
func TestFlatPicturesPass(t *testing.T) {
	for name, file := range map[string][]byte{
		"1-bit png": zeroPNG(7680, 4320), "8-bit png": asPNG(image.NewGray(image.Rect(0, 0, 3000, 2000))),
		"16-bit png": asPNG(image.NewNRGBA64(image.Rect(0, 0, 900, 900))), "jpeg": asJPEG(image.NewGray(image.Rect(0, 0, 4000, 3000))),
		"webp": tinyWebP(2000, 1500, 0, 0, 0, 255),
	} {
		_, err := readHeader(memory(file))
		assert.NoError(t, err, name)
	}
}

func TestStatTellsTheHeader(t *testing.T) {
	icc := []string{`The colour profile "Wide test space" is not applied: colours are read as sRGB.`}
	straight := []string{"The alpha channel is left out: colour is taken as stored under it."}
	files := samples(t)
	for name, want := range map[string]Info{
		"grey8.png":   {Format: "PNG", Width: 17, Height: 11, Depth: 8, Channels: "grey", Orientation: 1},
		"rgba16.png":  {Format: "PNG", Width: 17, Height: 11, Depth: 16, Channels: "rgb", Alpha: true, Orientation: 1, Notices: straight},
		"palette.png": {Format: "PNG", Width: 13, Height: 9, Depth: 4, Channels: "palette", Alpha: true, Orientation: 1, Notices: straight},
		"marked.png":  {Format: "PNG", Width: 1, Height: 2, Depth: 8, Channels: "grey", Orientation: 8, Profile: "Wide test space", Gamma: 1, Notices: icc},
		"colour.jpeg": {Format: "JPEG", Width: 19, Height: 18, Depth: 8, Channels: "ycbcr", Orientation: 1},
		"exif.jpeg":   {Format: "JPEG", Width: 18, Height: 9, Depth: 8, Channels: "ycbcr", Orientation: 6, Profile: "Wide test space", Notices: icc},
		"rgb16.tiff":  {Format: "TIFF", Width: 17, Height: 11, Depth: 16, Channels: "rgb", Orientation: 1, Alpha: true, Notices: []string{"The alpha channel is left out: colour was divided by it."}},
		"grey16.tiff": {Format: "TIFF", Width: 17, Height: 11, Depth: 16, Channels: "grey", Orientation: 1},
		"rgb.bmp":     {Format: "BMP", Width: 7, Height: 5, Depth: 8, Channels: "rgb", Orientation: 1},
		"palette.bmp": {Format: "BMP", Width: 13, Height: 9, Depth: 8, Channels: "palette", Orientation: 1},
		"lossy.webp":  {Format: "WebP", Width: 150, Height: 100, Depth: 8, Channels: "ycbcr", Orientation: 1},
		"flat.webp":   {Format: "WebP", Width: 3, Height: 2, Depth: 8, Channels: "rgb", Alpha: true, Orientation: 1, Notices: straight},
	} {
		got, err := Stat(saved(t, "any.name", files[name])) // by content, not by extension
		require.NoError(t, err, name)
		assert.Equal(t, want, got, name)
		_, read, err := Read(background, saved(t, name, files[name]))
		require.NoError(t, err, name)
		assert.Equal(t, got, read, "%s: Read and Stat", name)
	}
}

func TestInfoAsJSON(t *testing.T) {
	b, err := json.Marshal(Info{Format: "PNG", Width: 3, Height: 2, Depth: 16, Channels: "rgb", Orientation: 1})
	require.NoError(t, err)
	assert.JSONEq(t, `{"format":"PNG","width":3,"height":2,"depth":16,"channels":"rgb","alpha":false,"orientation":1}`, string(b))
}

func TestUnsupportedIsNotDamaged(t *testing.T) {
	jpegWith := func(sof, depth byte) []byte {
		b := flatJPEG(1, 2, 3)
		i := bytes.Index(b, []byte{0xff, markSOF0})
		b[i+1], b[i+4] = sof, depth
		return b
	}
	colour4 := []uint32{8, 8, 8, 8}
	sparse := make([]byte, 64)
	for name, c := range map[string]struct {
		file  []byte
		words string
	}{
		"arithmetic jpeg":       {jpegWith(0xc9, 8), "arithmetic coding"},
		"progressive of those":  {jpegWith(0xca, 8), "arithmetic coding"},
		"lossless jpeg":         {jpegWith(0xc3, 8), "lossless coding"},
		"12-bit jpeg":           {jpegWith(0xc1, 12), "12 bits"},
		"jpeg without a height": {jpegHead(5, 0), "height"},
		"animated webp":         {riff(webpChunk("VP8X", []byte{webpAnimated, 0, 0, 0, 1, 0, 0, 1, 0, 0})), "animated"},
		"bigtiff":               {[]byte("II+\x00\x08\x00\x00\x00\x10\x00\x00\x00\x00\x00\x00\x00"), "64-bit offsets"},
		"float tiff":            {tiffFile(2, 2, []uint32{32}, blackIsZero, sparse, tag{tagSampleFormat, kindShort, []uint32{3}}), "32-bit floating-point"},
		"signed tiff":           {tiffFile(2, 2, []uint32{8}, blackIsZero, sparse, tag{tagSampleFormat, kindShort, []uint32{2}}), "signed"},
		"4-bit tiff":            {tiffFile(2, 2, []uint32{4}, blackIsZero, sparse), "4 bits"},
		"cmyk tiff":             {tiffFile(2, 2, colour4, 5, sparse), "CMYK"},
		"planar tiff":           {tiffFile(2, 2, []uint32{8, 8, 8}, photoRGB, sparse, tag{tagPlanar, kindShort, []uint32{2}}), "one plane after the other"},
		"nameless fourth":       {tiffFile(2, 2, colour4, photoRGB, sparse), "unstated meaning"},
		"mixed tiff":            {tiffFile(2, 2, []uint32{8, 8, 16}, photoRGB, sparse), "mixed depths"},
		"jpeg in tiff":          {tiffFile(2, 2, []uint32{8}, blackIsZero, sparse, tag{tagCompression, kindShort, []uint32{7}}), "JPEG inside"},
		"reverse bits":          {tiffFile(2, 2, []uint32{8}, blackIsZero, sparse, tag{tagFillOrder, kindShort, []uint32{2}}), "reverse order"},
		"early lzw":             {tiffFile(2, 2, []uint32{8}, blackIsZero, []byte{0, 1, 8, 0}, tag{tagCompression, kindShort, []uint32{5}}), "reverse bit order"},
		"strange predictor":     {tiffFile(2, 2, []uint32{8}, blackIsZero, sparse, tag{tagPredictor, kindShort, []uint32{3}}), "predictor 3"},
		"16-bit bmp":            {append(bmpHead(2, 2, 16), sparse...), "16 bits a pixel"},
		"old bmp":               {append([]byte("BM\x00\x00\x00\x00\x00\x00\x00\x00\x1a\x00\x00\x00\x0c\x00\x00\x00"), sparse...), "12 bytes"},
		"compressed bmp":        {append(append(bmpHead(2, 2, 8)[:30], 1), append(bmpHead(2, 2, 8)[31:], sparse...)...), "compressed"},
	} {
		path := saved(t, "variant", c.file)
		_, _, err := Read(background, path)
		require.ErrorIs(t, err, ErrUnsupported, name)
		require.NotErrorIs(t, err, ErrDamaged, name)
		assert.ErrorContains(t, err, c.words, name)
		checkWords(t, path, err)
	}
}

func TestTooManyPasses(t *testing.T) {
	b := flatJPEG(128)
	b[bytes.Index(b, []byte{0xff, markSOF0})+1] = markSOF2
	scan := segment(markSOS, []byte{1, 1, 0, 0, 0, 0})
	b = append(b[:len(b)-2], bytes.Repeat(append(scan, 0), maxScans)...)
	_, err := readHeader(memory(b))
	require.ErrorIs(t, err, ErrDamaged)
	assert.ErrorContains(t, err, fmt.Sprintf("over %d passes", maxScans))
}

// An endless source is a file of 2^40 bytes: a beginning, then one pattern over
// and over. It counts what is read of it.
type endless struct {
	begin, pattern []byte
	reads, bytes   int
}

func (e *endless) ReadAt(p []byte, at int64) (int, error) {
	e.reads, e.bytes = e.reads+1, e.bytes+len(p)
	for i := range p {
		if n := at + int64(i); n < int64(len(e.begin)) {
			p[i] = e.begin[n]
		} else {
			p[i] = e.pattern[(n-int64(len(e.begin)))%int64(len(e.pattern))]
		}
	}
	return len(p), nil
}

func TestEndlessJPEG(t *testing.T) {
	for pattern, want := range map[string]string{
		"\x01":                 "over 1048576 bytes that are in no segment",
		"\xff":                 "over 1048576 bytes that are in no segment",
		"\xff\x00":             "over 1048576 bytes that are in no segment",
		"\xff\xd3":             "over 1048576 bytes that are in no segment",
		"\xff\xec\x00\x02":     "over 10000 segments",
		"\x00\xff\xfe\x00\x02": "over 10000 segments",
	} {
		e := &endless{begin: []byte(jpegMagic + "\xfe\x00\x02"), pattern: []byte(pattern)}
		_, err := readHeader(source{"test", e, 1 << 40})
		require.ErrorIs(t, err, ErrDamaged, "%x", pattern)
		assert.ErrorContains(t, err, want, "%x", pattern)
		checkWords(t, "test", err)
		assert.Less(t, e.bytes, 3<<20, "%x: bytes read", pattern)
		assert.LessOrEqual(t, e.reads, 3*maxSegments, "%x: reads", pattern)
	}
}

// Padding between segments is passed over, at every place in the blocks that
// are read.
func TestPaddedJPEG(t *testing.T) {
	file := asJPEG(noisyRGBA(19, 18))
	gap := 4 + int(binary.BigEndian.Uint16(file[4:])) // where the first segment ends
	want, _, err := readImage(background, memory(file))
	require.NoError(t, err)
	for _, filler := range []string{"\x00", "\xff", "\x00\xff", "\xff\x00", "\xff\xd0"} {
		for _, n := range []int{1, 2, 7, 8, 13, 14, 15, 16, 17, 78, 79, 80, 81, 100_000} {
			padding := bytes.Repeat([]byte(filler), n)
			got, _, err := readImage(background, memory(slices.Concat(file[:gap], padding, file[gap:])))
			require.NoError(t, err, "%d times %x", n, filler)
			requireSame(t, want, got, filler)
		}
	}
}

// A decoder's panic is an error that names the file.
func TestPanicsBecomeErrors(t *testing.T) {
	_, err := safely(memory(nil), "BMP", func() (image.Image, error) {
		return image.NewRGBA(image.Rect(0, 0, 1<<30, 1<<30)), nil
	})
	require.ErrorIs(t, err, ErrDamaged)
	assert.Equal(t, "clip: test: a BMP that its decoder fails on, want an undamaged file", err.Error())
	var e *Error
	require.ErrorAs(t, err, &e)
	assert.ErrorContains(t, e.Cause, "makeslice")
}
