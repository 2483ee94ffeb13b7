package clip

import (
	"bufio"
	"io"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

// netpbm reads a binary PGM or PPM (netpbm, man pgm and ppm), 8 or 16 bits.
func netpbm(t *testing.T, path string) *colour.Image {
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	r := bufio.NewReader(f)
	var head []int // kind, width, height, largest code
	for len(head) < 4 {
		line, err := r.ReadString('\n')
		require.NoError(t, err, path)
		line, _, _ = strings.Cut(line, "#")
		for _, word := range strings.Fields(line) {
			n, err := strconv.Atoi(strings.TrimPrefix(word, "P"))
			require.NoError(t, err, path)
			head = append(head, n)
		}
	}
	kind, w, h, most := head[0], head[1], head[2], head[3]
	data, err := io.ReadAll(r)
	require.NoError(t, err)
	m := colour.NewImage(w, h)
	channels, size := map[int]int{5: 1, 6: 3}[kind], 1
	if most > 255 {
		size = 2
	}
	require.Len(t, data, w*h*channels*size, path)
	for i := range w * h {
		for c, p := range [][]float32{m.R.Pix, m.G.Pix, m.B.Pix} {
			at := (i*channels + c%channels) * size
			v := int(data[at])
			if size == 2 {
				v = v<<8 | int(data[at+1])
			}
			p[i] = float32(v) / float32(most)
		}
	}
	return m
}

// The pictures of libtiff 4.5's tests, bit for bit.
func TestLibtiffPictures(t *testing.T) {
	dir := openData(t, "tiff") + "/"
	for _, name := range []string{"rgb-3c-8b", "rgb-3c-16b"} {
		got, _, err := Read(background, dir+name+".tiff")
		require.NoError(t, err)
		requireSame(t, netpbm(t, dir+name+".ppm"), got, name)
	}
	grey, _, err := ReadGrey(background, dir+"minisblack-1c-8b.tiff")
	require.NoError(t, err)
	assert.Equal(t, netpbm(t, dir+"minisblack-1c-8b.pgm").R, grey)
	// One picture in four kinds: 16 bits are within a code of 8 of the 8-bit one.
	deep, info, err := ReadGrey(background, dir+"minisblack-1c-16b.tiff")
	require.NoError(t, err)
	assert.Equal(t, 16, info.Depth)
	var sum float64
	for i, v := range deep.Pix {
		sum += float64(v-grey.Pix[i]) / float64(len(deep.Pix))
	}
	assert.InDelta(t, 0, sum, 0.02)
}

func TestLibtiffBilevel(t *testing.T) {
	dir := openData(t, "tiff") + "/"
	got, _, err := ReadGrey(background, dir+"miniswhite-1c-1b.tiff")
	require.NoError(t, err)
	file, err := os.ReadFile(dir + "miniswhite-1c-1b.pbm") // P4: 1 is black, rows fill bytes
	require.NoError(t, err)
	row := (got.W + 7) / 8
	bits := file[len(file)-row*got.H:]
	for i, v := range got.Pix {
		x, y := i%got.W, i/got.W
		black := bits[y*row+x/8]>>(7-x%8)&1 == 1
		require.Equal(t, black, v == 0, "pixel %d,%d", x, y)
	}
}

// The rest of libtiff's pictures: what is read, what is of another kind, and
// what is damaged. Loops of directories must end.
func TestLibtiffVariants(t *testing.T) {
	dir := openData(t, "tiff") + "/"
	for name, want := range map[string]error{
		"palette-1c-1b.tiff":                           nil,
		"palette-1c-8b.tiff":                           nil,
		"custom_dir_EXIF_GPS.tiff":                     nil,
		"deflate-last-strip-extra-data.tiff":           nil,
		"test_ifd_loop_to_first.tif":                   nil,
		"test_ifd_loop_to_self.tif":                    nil,
		"test_two_ifds.tif":                            nil,
		"tiff_with_subifd_chain.tif":                   nil, // LZW
		"logluv-3c-16b.tiff":                           ErrUnsupported,
		"minisblack-2c-8b-alpha.tiff":                  ErrUnsupported,
		"ojpeg_chewey_subsamp21_multi_strip.tiff":      ErrUnsupported,
		"ojpeg_single_strip_no_rowsperstrip.tiff":      ErrUnsupported,
		"ojpeg_zackthecat_subsamp22_single_strip.tiff": ErrUnsupported,
		"palette-1c-4b.tiff":                           ErrUnsupported,
		"quad-lzw-compat.tiff":                         ErrUnsupported,
		"quad-tile.jpg.tiff":                           ErrUnsupported,
		"test_float64_predictor2_be_lzw.tif":           ErrUnsupported,
		"test_float64_predictor2_le_lzw.tif":           ErrUnsupported,
		"lzw-single-strip.tiff":                        ErrDamaged, // no end mark in its LZW data
		"testfax4.tiff":                                ErrDamaged, // to the decoder in use
	} {
		_, info, err := Read(background, dir+name)
		if want == nil {
			require.NoError(t, err, name)
		} else {
			require.ErrorIs(t, err, want, name)
			checkWords(t, dir+name, err)
		}
		if name == "test_two_ifds.tif" || name == "test_ifd_loop_to_self.tif" {
			assert.Contains(t, info.Notices, "The file holds further pictures: only its first is read.")
		}
	}
}

// An LZW picture against its source (x/image's test data).
func TestLZWPicture(t *testing.T) {
	want, _, err := Read(background, "testdata/blue-purple-pink.png")
	require.NoError(t, err)
	got, _, err := Read(background, "testdata/blue-purple-pink.lzwcompressed.tiff")
	require.NoError(t, err)
	requireSame(t, want, got, "LZW")
}
