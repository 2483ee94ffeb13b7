package clip

import (
	"encoding/binary"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/tiff"

	"halocline/colour"
)

// The letter F as the eight EXIF orientations store it, all shown upright: the
// words of CIPA DC-008 (tag 274) say where row 0 and column 0 of the stored
// picture are seen.
var storedF = [9][]string{
	1: {"###", "#..", "##.", "#..", "#.."}, // top, left
	2: {"###", "..#", ".##", "..#", "..#"}, // top, right
	3: {"..#", "..#", ".##", "..#", "###"}, // bottom, right
	4: {"#..", "#..", "##.", "#..", "###"}, // bottom, left
	5: {"#####", "#.#..", "#...."},         // left, top
	6: {"#....", "#.#..", "#####"},         // right, top
	7: {"....#", "..#.#", "#####"},         // right, bottom
	8: {"#####", "..#.#", "....#"},         // left, bottom
}

func planeOf(rows []string) colour.Plane {
	p := colour.NewPlane(len(rows[0]), len(rows))
	for i := range p.Pix {
		if rows[i/p.W][i%p.W] == '#' {
			p.Pix[i] = 1
		}
	}
	return p
}

func TestOrientationsOfF(t *testing.T) {
	for o := 1; o <= 8; o++ {
		got, err := orient(background, planeOf(storedF[o]), o)
		require.NoError(t, err)
		assert.Equal(t, planeOf(storedF[1]), got, "orientation %d", o)
	}
}

// slowOrient is the place each displayed pixel comes from.
func slowOrient(p colour.Plane, o int) colour.Plane {
	w, h := p.W, p.H
	if o >= 5 {
		w, h = h, w
	}
	out := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			u, v := x, y
			switch o {
			case 2:
				u = w - 1 - x
			case 3:
				u, v = w-1-x, h-1-y
			case 4:
				v = h - 1 - y
			case 5:
				u, v = y, x
			case 6:
				u, v = y, w-1-x
			case 7:
				u, v = h-1-y, w-1-x
			case 8:
				u, v = h-1-y, x
			}
			out.Pix[y*w+x] = p.At(u, v)
		}
	}
	return out
}

func TestOrientFollowsItsDefinition(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {1, 40}, {40, 1}, {67, 35}, {33, 70}} {
		p := colour.NewPlane(size[0], size[1])
		for i := range p.Pix {
			p.Pix[i] = float32(i)
		}
		for o := 1; o <= 8; o++ {
			got, err := orient(background, p, o)
			require.NoError(t, err)
			require.Equal(t, slowOrient(p, o), got, "%v, orientation %d", size, o)
		}
	}
}

// Orientation is applied wherever a format can say it.
func TestOrientationInFiles(t *testing.T) {
	for o := uint16(0); o <= 9; o++ {
		for _, order := range []binary.ByteOrder{binary.LittleEndian, binary.BigEndian} {
			exif := exifBlock(order, o, 1)
			jpegExif := segment(markAPP1, append([]byte("Exif\x00\x00"), exif...))
			files := map[string][2][]byte{
				"JPEG": {asJPEG(noisyRGBA(23, 14)), withSegments(asJPEG(noisyRGBA(23, 14)), jpegExif)},
				"PNG":  {pngFile(3, 2, 8, 0, 0, []byte{0, 1, 2, 3, 0, 4, 5, 6}), pngFile(3, 2, 8, 0, 0, []byte{0, 1, 2, 3, 0, 4, 5, 6}, chunk("eXIf", exif))},
				"TIFF": {
					tiffFile(3, 2, []uint32{8}, blackIsZero, []byte{1, 2, 3, 4, 5, 6}),
					tiffFile(3, 2, []uint32{8}, blackIsZero, []byte{1, 2, 3, 4, 5, 6}, tag{tagOrientation, kindShort, []uint32{uint32(o)}}),
				},
				"WebP": {tinyWebP(3, 2, 1, 2, 3, 255), riff(tinyWebP(3, 2, 1, 2, 3, 255)[12:], webpChunk("EXIF", exif))},
			}
			for format, pair := range files {
				plain, _, err := readImage(background, memory(pair[0]))
				require.NoError(t, err, format)
				got, info, err := readImage(background, memory(pair[1]))
				require.NoError(t, err, format)
				want := int(o)
				if o < 1 || o > 8 {
					want = 1
				}
				require.Equal(t, want, info.Orientation, format)
				requireSame(t, &colour.Image{R: slowOrient(plain.R, want), G: slowOrient(plain.G, want), B: slowOrient(plain.B, want)}, got, format)
				require.Equal(t, [2]int{got.R.W, got.R.H}, [2]int{info.Width, info.Height}, format)
			}
		}
	}
}

func TestOrientationOfAGreyPicture(t *testing.T) {
	m := noisyGray16(5, 3)
	for x := range 5 {
		m.Pix[2*x], m.Pix[2*x+1] = 0, byte(x)
	}
	file := withOrientation(asTIFF(m, tiff.Uncompressed), 6)
	p, info, err := readGrey(background, memory(file), false)
	require.NoError(t, err)
	assert.Equal(t, [2]int{3, 5}, [2]int{info.Width, info.Height})
	assert.Equal(t, float32(4)/65535, p.At(2, 4), "row 0 is the right-hand side")
}

// withOrientation turns the ResolutionUnit tag of a TIFF, which nobody reads
// here, into an orientation. Tags must ascend, so it is put before its like.
func withOrientation(file []byte, o uint16) []byte {
	at := int(binary.LittleEndian.Uint32(file[4:]))
	n := int(binary.LittleEndian.Uint16(file[at:]))
	for i := range n {
		e := file[at+2+12*i:][:12]
		if binary.LittleEndian.Uint16(e) == tagStrips {
			extra := make([]byte, 12)
			binary.LittleEndian.PutUint16(extra, tagOrientation)
			binary.LittleEndian.PutUint16(extra[2:], kindShort)
			binary.LittleEndian.PutUint32(extra[4:], 1)
			binary.LittleEndian.PutUint16(extra[8:], o)
			dir := append([]byte{}, file[at:at+2+12*(i+1)]...)
			dir = append(append(dir, extra...), file[at+2+12*(i+1):]...)
			binary.LittleEndian.PutUint16(dir, uint16(n+1))
			out := append(append([]byte{}, file...), dir...)
			binary.LittleEndian.PutUint32(out[4:], uint32(len(file)))
			return out
		}
	}
	panic("no strips")
}
