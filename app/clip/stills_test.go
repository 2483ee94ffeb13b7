package clip

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestWhatIsNotAPicture(t *testing.T) {
	dir := t.TempDir()
	for name, c := range map[string]struct {
		path  string
		kind  error
		words string
	}{
		"missing":  {filepath.Join(dir, "none.png"), ErrMissing, "there is no such file, want a readable file"},
		"folder":   {dir, ErrNotPicture, "it is a folder, want a PNG, JPEG, TIFF, BMP or WebP picture"},
		"empty":    {saved(t, "empty.png", nil), ErrNotPicture, "the file is empty"},
		"text":     {saved(t, "notes.png", []byte("transect 4, low water\n")), ErrNotPicture, "it is a text file"},
		"BM text":  {saved(t, "bm.bmp", []byte("BM is the name of this transect, low water\n")), ErrNotPicture, "it is a text file"},
		"gif":      {saved(t, "a.png", []byte("GIF89a\x01\x00\x01\x00")), ErrNotPicture, "it is a GIF picture"},
		"movie":    {saved(t, "a.jpg", []byte("\x00\x00\x00\x18ftypmp42\x00\x00\x00\x00")), ErrNotPicture, "it is a movie"},
		"heif":     {saved(t, "b.jpg", []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00")), ErrNotPicture, "it is a HEIF picture"},
		"unknown":  {saved(t, "x", []byte{1, 2, 3, 200}), ErrNotPicture, "a file of an unknown kind"},
		"bytes":    {saved(t, "y", []byte{0}), ErrNotPicture, "a file of an unknown kind"},
		"new line": {filepath.Join(dir, "a\nb.png"), ErrMissing, "a?b.png"},
	} {
		for _, open := range []func() error{
			func() error { _, err := Stat(c.path); return err },
			func() error { _, _, err := Read(background, c.path); return err },
			func() error { _, _, err := ReadGrey(background, c.path); return err },
			func() error { _, err := Open(c.path); return err },
		} {
			err := open()
			if name == "movie" && errors.Is(err, ErrDamaged) { // Open takes it for what it says
				continue
			}
			require.ErrorIs(t, err, c.kind, name)
			assert.ErrorContains(t, err, c.words, name)
			checkWords(t, c.path, err)
		}
	}
	_, err := Stat(filepath.Join(dir, "none.png"))
	assert.ErrorIs(t, err, fs.ErrNotExist)
}

// A pipe would be waited for without end; a device would never end.
func TestDevicesAreNotRead(t *testing.T) {
	if _, err := os.Stat("/dev/zero"); err != nil {
		t.Skip("no /dev/zero")
	}
	_, err := Stat("/dev/zero")
	require.ErrorIs(t, err, ErrNotPicture)
	assert.ErrorContains(t, err, "it is a device, want a PNG")
}

// cuts are the lengths to try: each percent, and every byte of the ends.
func cuts(n int) []int {
	var at []int
	for p := 0; p < 100; p++ {
		at = append(at, n*p/100)
	}
	for i := 1; i < min(40, n); i++ {
		at = append(at, i, n-i)
	}
	return at
}

// requireCut reads a file cut short at many places: an error each time, never
// a crash, never a wait.
func requireCut(t *testing.T, name string, file []byte) {
	t.Helper()
	for _, n := range cuts(len(file)) {
		s := memory(file[:n])
		if n == 0 {
			continue // open refuses empty files
		}
		_, _, err := readImage(background, s)
		if err == nil {
			t.Errorf("%s: cut from %d to %d bytes it was read", name, len(file), n)
			continue
		}
		checkWords(t, "test", err)
	}
}

func TestCutShort(t *testing.T) {
	for name, file := range samples(t) {
		requireCut(t, name, file)
	}
}

// A PNG cut anywhere says so, and where.
func TestCutShortPNG(t *testing.T) {
	files := samples(t)
	for name, file := range files {
		if !isPNG(file) {
			delete(files, name)
		}
	}
	require.Len(t, files, 9)
	data := chunk("IDAT", deflated([]byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 9})) // of a row, in many chunks
	parts := pngFile(9, 1, 8, 0, 0, nil)
	parts = parts[:8+25]
	for _, b := range data[8 : len(data)-4] {
		parts = append(parts, chunk("IDAT", []byte{b})...)
	}
	files["parts.png"] = append(parts, chunk("IEND", nil)...)
	for name, file := range files {
		_, _, err := readImage(background, memory(file))
		require.NoError(t, err, name)
		for n := len(pngMagic); n < len(file); n++ {
			_, _, err := readImage(background, memory(file[:n]))
			require.ErrorIs(t, err, ErrDamaged, "%s at %d", name, n)
			require.EqualError(t, err, fmt.Sprintf("clip: test: the file ends after %d bytes, inside the picture, want the whole file", n), name)
		}
	}
}

// Data that are wrong in a whole file are not called cut short.
func TestWholePNGWithTooLittle(t *testing.T) {
	_, _, err := readImage(background, memory(pngFile(9, 2, 8, 0, 0, make([]byte, 10))))
	assert.ErrorContains(t, err, "not enough pixel data")
	e := &endless{begin: pngFile(9, 2, 8, 0, 0, nil)[:8+25], pattern: chunk("vpAg", nil)}
	_, err = readHeader(source{"test", e, 1 << 40})
	assert.ErrorContains(t, err, "a PNG of over 250000 chunks")
}

func TestCutShortPhotographs(t *testing.T) {
	for _, path := range []string{"underwater/n_l_49_.jpg", "underwater/d_r_195_.mask.png", "pngsuite/basic/basi6a16.png", "tiff/rgb-3c-16b.tiff", "tiff/minisblack-1c-16b.tiff"} {
		file, err := os.ReadFile(openData(t, path))
		require.NoError(t, err)
		requireCut(t, path, file)
	}
}

// Every byte of small files set to other values: an error or a picture.
func TestSpoiltBytes(t *testing.T) {
	for name, file := range samples(t) {
		if len(file) > 1500 {
			continue
		}
		for i := range file {
			for _, v := range []byte{0xff, file[i] ^ 1} {
				spoilt := append([]byte{}, file...)
				spoilt[i] = v
				requireSane(t, name, spoilt)
			}
		}
	}
}

// requireSane reads whatever b is and asks of the outcome what the package promises.
func requireSane(t testing.TB, name string, b []byte) {
	t.Helper()
	s := memory(b)
	h, err := readHeader(s)
	if err == nil && h.Width*h.Height > 1<<20 {
		return // true to its format, but long to read
	}
	m, info, err := readImage(background, s)
	if err != nil {
		checkWords(t, "test", err)
		return
	}
	if m.R.W != info.Width || m.R.H != info.Height || info.Orientation < 1 || info.Orientation > 8 {
		t.Fatalf("%s: %d x %d pixels read, header says %+v", name, m.R.W, m.R.H, info)
	}
	for _, p := range [][]float32{m.R.Pix, m.G.Pix, m.B.Pix} {
		for i, v := range p {
			if !(0 <= v && v <= 1) {
				t.Fatalf("%s: sample %d is %v, want it in [0,1]", name, i, v)
			}
		}
	}
}

func TestReadingStops(t *testing.T) {
	ctx, cancel := context.WithCancel(background)
	cancel()
	for name, file := range samples(t) {
		_, _, err := Read(ctx, saved(t, name, file))
		assert.ErrorIs(t, err, context.Canceled, name)
	}
}
