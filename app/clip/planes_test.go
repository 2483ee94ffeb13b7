package clip

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"halocline/colour"
)

// plainPlanes is the conversion written pixel by pixel: straight colour over
// its largest code.
func plainPlanes(m image.Image) *colour.Image {
	b := m.Bounds()
	out := colour.NewImage(b.Dx(), b.Dy())
	for y := range b.Dy() {
		for x := range b.Dx() {
			i := y*b.Dx() + x
			switch c := m.At(b.Min.X+x, b.Min.Y+y).(type) {
			case color.NRGBA:
				out.R.Pix[i], out.G.Pix[i], out.B.Pix[i] = float32(c.R)/255, float32(c.G)/255, float32(c.B)/255
			case color.NRGBA64:
				out.R.Pix[i], out.G.Pix[i], out.B.Pix[i] = float32(c.R)/65535, float32(c.G)/65535, float32(c.B)/65535
			default:
				r, g, b, _ := c.RGBA()
				out.R.Pix[i], out.G.Pix[i], out.B.Pix[i] = float32(r)/65535, float32(g)/65535, float32(b)/65535
			}
		}
	}
	return out
}

// someColours are straight colours, transparent ones among them.
var someColours = color.Palette{
	color.NRGBA{255, 0, 0, 255}, color.NRGBA{1, 2, 3, 0}, color.NRGBA{90, 91, 92, 128}, color.NRGBA{0, 255, 254, 255}, color.NRGBA{7, 7, 7, 1},
}

func TestPicturesComeBackAsEncoded(t *testing.T) {
	palette := image.NewPaletted(image.Rect(0, 0, 41, 37), someColours)
	for i := range palette.Pix {
		palette.Pix[i] = uint8(i*7%31) % uint8(len(someColours))
	}
	for name, c := range map[string]struct {
		picture image.Image
		file    []byte
	}{
		"grey8.png":   {noisyGray(41, 37), asPNG(noisyGray(41, 37))},
		"grey16.png":  {noisyGray16(41, 37), asPNG(noisyGray16(41, 37))},
		"rgb8.png":    {noisyRGBA(41, 37), asPNG(noisyRGBA(41, 37))},
		"rgb16.png":   {noisyRGBA64(41, 37), asPNG(noisyRGBA64(41, 37))},
		"rgba8.png":   {noisyNRGBA(41, 37), asPNG(noisyNRGBA(41, 37))},
		"rgba16.png":  {noisyNRGBA64(41, 37), asPNG(noisyNRGBA64(41, 37))},
		"palette.png": {palette, asPNG(palette)},
		"grey8.tiff":  {noisyGray(41, 37), asTIFF(noisyGray(41, 37), tiff.Deflate)},
		"grey16.tiff": {noisyGray16(41, 37), asTIFF(noisyGray16(41, 37), tiff.Deflate)},
		"rgb8.tiff":   {noisyRGBA(41, 37), asTIFF(noisyRGBA(41, 37), tiff.Uncompressed)},
		"rgba8.tiff":  {noisyNRGBA(41, 37), asTIFF(noisyNRGBA(41, 37), tiff.Deflate)},
		"rgba16.tiff": {noisyNRGBA64(41, 37), asTIFF(noisyNRGBA64(41, 37), tiff.Deflate)},
		"grey8.bmp":   {noisyGray(41, 37), asBMP(noisyGray(41, 37))},
		"rgb8.bmp":    {noisyRGBA(41, 37), asBMP(noisyRGBA(41, 37))},
		"wide.png":    {noisyRGBA64(20000, 10), asPNG(noisyRGBA64(20000, 10))},
		"one.png":     {noisyRGBA64(1, 1), asPNG(noisyRGBA64(1, 1))},
		"one.bmp":     {noisyRGBA(1, 1), asBMP(noisyRGBA(1, 1))},
		"one.tiff":    {noisyGray16(1, 1), asTIFF(noisyGray16(1, 1), tiff.Uncompressed)},
		"flat.webp":   {&image.NRGBA{Pix: bytes.Repeat([]byte{9, 8, 7, 0}, 6), Stride: 12, Rect: image.Rect(0, 0, 3, 2)}, tinyWebP(3, 2, 9, 8, 7, 0)},
		"one.webp":    {&image.NRGBA{Pix: []byte{200, 8, 7, 255}, Stride: 4, Rect: image.Rect(0, 0, 1, 1)}, tinyWebP(1, 1, 200, 8, 7, 255)},
	} {
		got, info, err := Read(background, saved(t, name, c.file))
		require.NoError(t, err, name)
		requireSame(t, plainPlanes(c.picture), got, name)
		assert.Equal(t, c.picture.Bounds().Dx(), info.Width, name)
		assert.Equal(t, c.picture.Bounds().Dy(), info.Height, name)
	}
}

// Nothing is lost on the way in: every code of 16 bits, grey or colour, is its
// own value, and rounds back to itself.
func TestEveryCodeOf16BitsIsKept(t *testing.T) {
	grey := image.NewGray16(image.Rect(0, 0, 256, 256))
	rgb := image.NewRGBA64(grey.Rect)
	for v := range 65536 {
		grey.SetGray16(v%256, v/256, color.Gray16{uint16(v)})
		rgb.SetRGBA64(v%256, v/256, color.RGBA64{uint16(v), uint16(65535 - v), uint16(v ^ 0x5555), 65535})
	}
	for name, file := range map[string][]byte{"grey.png": asPNG(grey), "grey.tiff": asTIFF(grey, tiff.Deflate)} {
		p, info, err := ReadGrey(background, saved(t, name, file))
		require.NoError(t, err)
		require.Equal(t, 16, info.Depth)
		for v, got := range p.Pix {
			require.Equal(t, float32(v)/65535, got, "%s: code %d", name, v)
			require.Equal(t, v, int(math.Round(float64(got)*65535)), "%s: code %d", name, v)
		}
	}
	for name, file := range map[string][]byte{"rgb.png": asPNG(rgb), "rgb.tiff": asTIFF(rgb, tiff.Deflate)} {
		m, _, err := Read(background, saved(t, name, file))
		require.NoError(t, err)
		for v := range 65536 {
			require.Equal(t, [3]float32{float32(v) / 65535, float32(65535-v) / 65535, float32(v^0x5555) / 65535},
				[3]float32{m.R.Pix[v], m.G.Pix[v], m.B.Pix[v]}, "%s: code %d", name, v)
		}
	}
}

// PNG 12.4 scales 8 bits to 16 by v*257: both codes are one value here.
func TestDepthsMeet(t *testing.T) {
	for v := range 256 {
		require.Equal(t, eight[v], sixteen(byte(v), byte(v)))
	}
}

func TestLowDepthsSpanTheRange(t *testing.T) {
	for depth, row := range map[byte][]byte{1: {0, 0b01000000}, 2: {0, 0b00011011}, 4: {0, 0x05, 0xaf}} {
		most := float32(int(1)<<depth - 1)
		w := 8 * (len(row) - 1) / int(depth)
		p, info, err := ReadGrey(background, saved(t, "low.png", pngFile(w, 1, depth, 0, 0, row)))
		require.NoError(t, err)
		require.Equal(t, int(depth), info.Depth)
		for x, v := range p.Pix {
			bit := x * int(depth)
			code := row[1+bit/8] >> (8 - int(depth) - bit%8) & byte(most)
			assert.Equal(t, float32(code)/most, v, "%d bits, pixel %d", depth, x)
		}
	}
}

// The same picture interlaced (Adam7, PNG third edition, 8.1) and not.
func TestInterlaced(t *testing.T) {
	got, _, err := readImage(background, memory(interlacedPNG(11, 9)))
	require.NoError(t, err)
	for i, v := range got.R.Pix {
		assert.Equal(t, float32(interlacedPixel(i%11, i/11))/255, v, "pixel %d", i)
	}
}

func interlacedPixel(x, y int) byte { return byte(x*17 + y*5) }

func interlacedPNG(w, h int) []byte {
	var rows []byte
	for _, p := range [][4]int{{0, 0, 8, 8}, {4, 0, 8, 8}, {0, 4, 4, 8}, {2, 0, 4, 4}, {0, 2, 2, 4}, {1, 0, 2, 2}, {0, 1, 1, 2}} {
		for y := p[1]; y < h && p[0] < w; y += p[3] {
			rows = append(rows, 0)
			for x := p[0]; x < w; x += p[2] {
				rows = append(rows, interlacedPixel(x, y))
			}
		}
	}
	return pngFile(w, h, 8, 0, 1, rows)
}

// A picture without any opacity keeps its colour where the format stores it.
func TestFullyTransparent(t *testing.T) {
	m := noisyNRGBA64(9, 6)
	for i := 6; i < len(m.Pix); i += 8 {
		m.Pix[i], m.Pix[i+1] = 0, 0
	}
	for name, file := range map[string][]byte{"clear.png": asPNG(m), "clear.tiff": asTIFF(m, tiff.Uncompressed)} {
		got, info, err := Read(background, saved(t, name, file))
		require.NoError(t, err)
		requireSame(t, plainPlanes(m), got, name)
		assert.True(t, info.Alpha)
		assert.Contains(t, info.Notices, "The alpha channel is left out: colour is taken as stored under it.")
	}
	grey, _, err := readGrey(background, memory(pngFile(2, 1, 8, 4, 0, []byte{0, 77, 0, 200, 0})), false)
	require.NoError(t, err)
	assert.Equal(t, []float32{77. / 255, 200. / 255}, grey.Pix)
}

// TIFF may store colour times alpha (ExtraSamples 1): it is divided out.
func TestMultipliedAlpha(t *testing.T) {
	pixels := []byte{50, 25, 0, 100, 10, 20, 30, 255, 0, 0, 0, 0, 9, 8, 7, 0, 200, 100, 50, 100}
	want := [][3]float32{{0.5, 0.25, 0}, {10. / 255, 20. / 255, 30. / 255}, {}, {9. / 255, 8. / 255, 7. / 255}, {1, 1, 0.5}}
	wide := make([]byte, 2*len(pixels))
	for i, v := range pixels {
		wide[2*i], wide[2*i+1] = v, v
	}
	for bits, strip := range map[uint32][]byte{8: pixels, 16: wide} {
		file := tiffFile(5, 1, []uint32{bits, bits, bits, bits}, photoRGB, strip, tag{tagExtra, kindShort, []uint32{extraMultiplied}})
		m, info, err := readImage(background, memory(file))
		require.NoError(t, err)
		assert.Equal(t, []string{"The alpha channel is left out: colour was divided by it."}, info.Notices)
		for i, w := range want {
			assert.Equal(t, w, [3]float32{m.R.Pix[i], m.G.Pix[i], m.B.Pix[i]}, "%d bits, pixel %d", bits, i)
		}
	}
}

func TestShortColourMapsOfTIFF(t *testing.T) {
	short := color.Palette{color.RGBA64{255, 128, 0, 65535}, color.RGBA64{1, 2, 3, 65535}}
	full := color.Palette{color.RGBA64{65535, 32896, 0, 65535}, color.RGBA64{257, 514, 771, 65535}}
	for _, p := range []color.Palette{short, full} {
		m := colour.NewImage(2, 1)
		palettedRows(&image.Paletted{Pix: []byte{0, 1}, Stride: 2, Rect: image.Rect(0, 0, 2, 1), Palette: p})(0, m.R.Pix, m.G.Pix, m.B.Pix)
		assert.Equal(t, []float32{1, eight[1]}, m.R.Pix)
		assert.Equal(t, []float32{eight[128], eight[2]}, m.G.Pix)
		assert.Equal(t, []float32{0, eight[3]}, m.B.Pix)
	}
}

// The integer form of libwebp (src/dsp/yuv.h) that other readers of WebP show.
func TestStudioRangeFollowsLibwebp(t *testing.T) {
	high := func(v, c int) int { return v * c >> 8 }
	clip := func(v int) float64 { return float64(min(max(v>>6, 0), 255)) }
	for y := 0; y < 256; y += 5 {
		for u := 0; u < 256; u += 5 {
			for v := 0; v < 256; v += 5 {
				m := &image.YCbCr{Y: []byte{byte(y)}, Cb: []byte{byte(u)}, Cr: []byte{byte(v)}, YStride: 1, CStride: 1, Rect: image.Rect(0, 0, 1, 1)}
				var r, g, b [1]float32
				ycbcrRows(m, true)(0, r[:], g[:], b[:])
				assert.InDelta(t, clip(high(y, 19077)+high(v, 26149)-14234), 255*r[0], 1.1)
				assert.InDelta(t, clip(high(y, 19077)-high(u, 6419)-high(v, 13320)+8708), 255*g[0], 1.1)
				assert.InDelta(t, clip(high(y, 19077)+high(u, 33050)-17685), 255*b[0], 1.1)
			}
		}
	}
}

// Lossy WebP against the picture it was made from: in studio range it is near,
// read as full range it is washed out.
func TestLossyWebPAgainstItsSource(t *testing.T) {
	want, _, err := Read(background, "testdata/blue-purple-pink.png")
	require.NoError(t, err)
	got, _, err := Read(background, "testdata/blue-purple-pink.lossy.webp")
	require.NoError(t, err)
	assert.Less(t, meanDifference(t, want, got), 0.025)
	h, picture, err := decode(background, mustOpen(t, "testdata/blue-purple-pink.lossy.webp"))
	require.NoError(t, err)
	m := picture.(*image.YCbCr)
	repeated := throughRows(h.Width, h.Height, repeatedRows(m, true))
	t.Logf("mean difference %.5f, with chroma repeated %.5f", meanDifference(t, want, got), meanDifference(t, want, repeated))
	assert.Less(t, meanDifference(t, want, got), meanDifference(t, want, repeated))
	h.studio = false
	washed, err := h.planes(background, picture)
	require.NoError(t, err)
	assert.Greater(t, meanDifference(t, want, washed), 2*meanDifference(t, want, got))
}

func TestLosslessWebPAgainstItsSource(t *testing.T) {
	f, err := os.Open("testdata/gopher-doc.with-alpha.png")
	require.NoError(t, err)
	defer f.Close()
	want, err := png.Decode(f)
	require.NoError(t, err)
	got, info, err := Read(background, "testdata/gopher-doc.with-alpha.lossless.webp")
	require.NoError(t, err)
	assert.True(t, info.Alpha)
	straight := plainPlanes(want)
	for i := range got.R.Pix { // encoders may drop colour that no alpha shows
		if _, _, _, a := want.At(i%got.R.W, i/got.R.W).RGBA(); a > 0 {
			require.Equal(t, straight.RGB(i%got.R.W, i/got.R.W), got.RGB(i%got.R.W, i/got.R.W), "pixel %d", i)
		}
	}
}

func mustOpen(t *testing.T, path string) source {
	s, f, err := open(path)
	require.NoError(t, err)
	t.Cleanup(func() { f.Close() })
	return s
}

func meanDifference(t *testing.T, a, b *colour.Image) float64 {
	require.Len(t, b.R.Pix, len(a.R.Pix))
	var sum float64
	for i := range a.R.Pix {
		sum += math.Abs(float64(a.R.Pix[i]-b.R.Pix[i])) + math.Abs(float64(a.G.Pix[i]-b.G.Pix[i])) + math.Abs(float64(a.B.Pix[i]-b.B.Pix[i]))
	}
	return sum / float64(3*len(a.R.Pix))
}

// With APP14 inks are stored inverted: 255 is none. Transform 0 is CMYK as it
// is, 2 is Y'CbCr of the first three, not inverted (ITU-T T.872, 6.5.3; from memory).
func TestFlatJPEGs(t *testing.T) {
	for _, c := range []struct {
		name string
		file []byte
		want [3]float64
		kind string
	}{
		{"no ink", withSegments(flatJPEG(255, 255, 255, 255), adobe(0)), [3]float64{1, 1, 1}, "cmyk"},
		{"cyan", withSegments(flatJPEG(0, 255, 255, 255), adobe(0)), [3]float64{0, 1, 1}, "cmyk"},
		{"magenta", withSegments(flatJPEG(255, 0, 255, 255), adobe(0)), [3]float64{1, 0, 1}, "cmyk"},
		{"yellow", withSegments(flatJPEG(255, 255, 0, 255), adobe(0)), [3]float64{1, 1, 0}, "cmyk"},
		{"black", withSegments(flatJPEG(255, 255, 255, 0), adobe(0)), [3]float64{0, 0, 0}, "cmyk"},
		{"half black on cyan", withSegments(flatJPEG(51, 255, 255, 102), adobe(0)), [3]float64{0.2 * 0.4, 0.4, 0.4}, "cmyk"},
		{"ycck, no ink", withSegments(flatJPEG(0, 128, 128, 255), adobe(2)), [3]float64{1, 1, 1}, "cmyk"},
		{"ycck, red", withSegments(flatJPEG(179, 171, 0, 255), adobe(2)), [3]float64{1, 0, 0}, "cmyk"},
		{"rgb", withSegments(flatJPEG(255, 51, 0), adobe(0)), [3]float64{1, 0.2, 0}, "rgb"},
		{"ycbcr grey", flatJPEG(51, 128, 128), [3]float64{0.2, 0.2, 0.2}, "ycbcr"},
		{"ycbcr red", flatJPEG(76, 85, 255), [3]float64{1, 0, 0}, "ycbcr"},
		{"grey", flatJPEG(102), [3]float64{0.4, 0.4, 0.4}, "grey"},
	} {
		m, info, err := readImage(background, memory(c.file))
		require.NoError(t, err, c.name)
		assert.Equal(t, c.kind, info.Channels, c.name)
		for i := range m.R.Pix {
			got := m.RGB(i%8, i/8)
			assert.InDelta(t, c.want[0], got.R, 1./255, "%s: red", c.name)
			assert.InDelta(t, c.want[1], got.G, 1./255, "%s: green", c.name)
			assert.InDelta(t, c.want[2], got.B, 1./255, "%s: blue", c.name)
		}
	}
	_, _, err := readImage(background, memory(flatJPEG(1, 2, 3, 4)))
	assert.ErrorIs(t, err, ErrUnsupported)
	assert.ErrorContains(t, err, "four inks")
}

// A photograph in CMYK against the same in RGB (Go's image/testdata).
func TestCMYKPhotograph(t *testing.T) {
	want, _, err := Read(background, "testdata/video-001.cmyk.png")
	require.NoError(t, err)
	got, info, err := Read(background, "testdata/video-001.cmyk.jpeg")
	require.NoError(t, err)
	assert.Less(t, meanDifference(t, want, got), 0.01)
	assert.Contains(t, info.Notices[0], "CMYK")
}

func TestReadGrey(t *testing.T) {
	asRGB := image.NewRGBA64(image.Rect(0, 0, 40, 30))
	grey := noisyGray16(40, 30)
	for i := range 40 * 30 {
		v := grey.Gray16At(i%40, i/40).Y
		asRGB.SetRGBA64(i%40, i/40, color.RGBA64{v, v, v, 65535})
	}
	want, _, err := readGrey(background, memory(asPNG(grey)), false)
	require.NoError(t, err)
	got, info, err := readGrey(background, memory(asPNG(asRGB)), false)
	require.NoError(t, err)
	assert.Equal(t, want, got)
	assert.Equal(t, "rgb", info.Channels)

	asRGB.SetRGBA64(7, 20, color.RGBA64{1, 2, 2, 65535})
	_, _, err = ReadGrey(background, saved(t, "tinted.png", asPNG(asRGB)))
	require.ErrorIs(t, err, ErrColour)
	assert.ErrorContains(t, err, "pixel 7,20")
	assert.ErrorContains(t, err, "want a grey one")
}

// A mask's values count times their alpha, in every kind of PNG that has some: grey or colour
// with alpha, a palette whose entries are transparent (tRNS; W3C PNG, third edition, 11.3.1.1).
func TestReadMaskLeavesOutWhatIsTransparent(t *testing.T) {
	wide := image.Rect(0, 0, 3, 1)
	eightBits, sixteenBits := image.NewNRGBA(wide), image.NewNRGBA64(wide)
	palette := image.NewPaletted(wide, color.Palette{color.NRGBA{255, 255, 255, 255}, color.NRGBA{255, 255, 255, 51}, color.NRGBA{255, 255, 255, 0}})
	for x, a := range []uint8{255, 51, 0} {
		eightBits.SetNRGBA(x, 0, color.NRGBA{255, 255, 255, a})
		sixteenBits.SetNRGBA64(x, 0, color.NRGBA64{0xffff, 0xffff, 0xffff, 257 * uint16(a)})
		palette.SetColorIndex(x, 0, uint8(x))
	}
	for name, m := range map[string]image.Image{"eight": eightBits, "sixteen": sixteenBits, "palette": palette} {
		path := saved(t, name+".png", asPNG(m))
		p, info, err := ReadMask(background, path)
		require.NoError(t, err)
		assert.True(t, info.Alpha, name)
		assert.InDeltaSlice(t, []float32{1, 0.2, 0}, p.Pix, 1e-6, name)
		p, _, err = ReadGrey(background, path)
		require.NoError(t, err)
		assert.Equal(t, []float32{1, 1, 1}, p.Pix, "a matte is taken as it is stored")
	}
	grey := image.NewGray(wide)
	grey.Pix[1] = 255
	p, _, err := ReadMask(background, saved(t, "grey.png", asPNG(grey)))
	require.NoError(t, err)
	assert.Equal(t, []float32{0, 1, 0}, p.Pix)
}
