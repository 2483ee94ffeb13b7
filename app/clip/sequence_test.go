package clip

import (
	"context"
	"encoding/binary"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// grey is a PNG file of 4 x 3 pixels of one shade.
func grey(shade uint8) []byte {
	m := image.NewGray(image.Rect(0, 0, 4, 3))
	for i := range m.Pix {
		m.Pix[i] = shade
	}
	return asPNG(m)
}

// folderOf makes a folder of small pictures, each of another shade.
func folderOf(t testing.TB, names ...string) string {
	t.Helper()
	folder := t.TempDir()
	for i, name := range names {
		put(t, folder, name, grey(uint8(i)))
	}
	return folder
}

func put(t testing.TB, folder, name string, b []byte) string {
	t.Helper()
	path := filepath.Join(folder, name)
	require.NoError(t, os.WriteFile(path, b, 0o600))
	return path
}

// shadeOf is the shade of one of a clip's frames.
func shadeOf(t *testing.T, c *Clip, n int) int {
	t.Helper()
	m, err := c.Frame(background, n)
	require.NoError(t, err)
	return int(m.R.Pix[0]*255 + 0.5)
}

func TestPadding(t *testing.T) {
	for what, names := range map[string][]string{
		"filled up":          {"shot.0009.png", "shot.0010.png", "shot.0100.png"},
		"not filled up":      {"shot.9.png", "shot.10.png", "shot.100.png"},
		"both":               {"shot.009.png", "shot.10.png", "shot.0100.png"},
		"grown out of it":    {"shot.09.png", "shot.10.png", "shot.100.png"},
		"numbers alone":      {"9.png", "10.png", "100.png"},
		"nothing in between": {"dive9.png", "dive10.png", "dive100.png"},
		"endings in letters": {"shot.0009.PNG", "shot.0010.png", "shot.0100.Png"},
	} {
		folder := folderOf(t, names...)
		for _, path := range []string{folder, folder + "/", filepath.Join(folder, names[2])} {
			c, err := OpenSequence(path)
			require.NoError(t, err, what)
			assert.True(t, c.IsSequence())
			assert.Equal(t, []int{9, 10, 100}, c.Frames(), what)
			assert.Equal(t, []int{9, 100, 3}, []int{c.First(), c.Last(), c.Count()}, what)
			assert.Equal(t, filepath.Join(folder, names[1]), c.Path(10), what)
			assert.Equal(t, names[0]+" to "+names[2], c.Name())
			for i, n := range c.Frames() {
				assert.Equal(t, i, shadeOf(t, c, n), "%s: frame %d", what, n)
			}
		}
		one, err := Open(filepath.Join(folder, names[1]))
		require.NoError(t, err)
		assert.False(t, one.IsSequence(), "a named file is one still")
		assert.Equal(t, []int{10}, one.Frames())
	}
}

func TestGapsKeepTheirNumbers(t *testing.T) {
	folder := folderOf(t, "shot.0001.png", "shot.0002.png", "shot.0004.png", "shot.0008.png")
	c, err := OpenSequence(folder)
	require.NoError(t, err)
	assert.Equal(t, []int{1, 2, 4, 8}, c.Frames())
	assert.Equal(t, []Span{{3, 3}, {5, 7}}, c.Missing())
	assert.Equal(t, []Span{{1, 2}, {4, 4}, {8, 8}}, c.Spans())
	assert.Equal(t, []string{"The sequence runs from 1 to 8 and lacks frames 3, 5-7."}, c.Info().Notices)
	assert.Equal(t, 2, shadeOf(t, c, 4))
	for n, found := range map[int]string{
		3: "frame 3 asked of a sequence that lacks it", 0: "frame 0 asked of a sequence that begins at 1",
		-7: "frame -7 asked of a sequence that begins at 1", 9: "frame 9 asked of a sequence that ends at 8",
	} {
		assert.False(t, c.Has(n))
		assert.Empty(t, c.Path(n))
		_, err = c.Frame(background, n)
		require.ErrorIs(t, err, ErrNoFrame)
		want := "clip: " + filepath.Join(folder, "shot.0001.png to shot.0008.png") + ": " + found + ", want one of frames 1-2, 4, 8"
		require.EqualError(t, err, want)
		require.ErrorIs(t, c.Check(background, []int{1, n}), ErrNoFrame)
	}
	frames := c.Frames()
	frames[0] = 77
	assert.Equal(t, 1, c.First(), "what Frames returns is a copy")

	got, missing := c.Select([]Span{{0, 2}, {4, 6}, {8, 900000000}})
	assert.Equal(t, []int{1, 2, 4, 8}, got)
	assert.Equal(t, []Span{{0, 0}, {5, 6}, {9, 900000000}}, missing)
	got, missing = c.Select([]Span{{2, 2}})
	assert.Equal(t, []int{2}, got)
	assert.Empty(t, missing)
}

// Whether the first frame or another is of another size, the odd one is named:
// when it is read, or by Check; opening looks at the first alone.
func TestMixedSizes(t *testing.T) {
	folder := folderOf(t, "a.1.png", "a.2.png", "a.3.png")
	odd := put(t, folder, "a.2.png", asPNG(image.NewGray(image.Rect(0, 0, 5, 3))))
	put(t, folder, "a.3.png", asPNG(image.NewGray(image.Rect(0, 0, 6, 3))))
	c, err := OpenSequence(folder)
	require.NoError(t, err)
	want := "clip: " + odd + ": it is 5 x 3 pixels, want 4 x 3 as a.1.png, the first of its sequence"
	_, err = c.Frame(background, 2)
	require.EqualError(t, err, want)
	require.ErrorIs(t, err, ErrSize)
	require.EqualError(t, c.Check(background, c.Frames()), "frame 2: "+want)
	require.NoError(t, c.Check(background, []int{1}))

	put(t, folder, "a.2.png", []byte("seagrass"))
	require.ErrorIs(t, c.Check(background, c.Frames()), ErrNotPicture)
	require.NoError(t, os.Remove(odd))
	require.ErrorIs(t, c.Check(background, c.Frames()), ErrMissing, "it was there when the folder was read")
	put(t, folder, "a.1.png", asPNG(image.NewGray(image.Rect(0, 0, 9, 9))))
	_, err = c.Frame(background, 1)
	require.ErrorContains(t, err, "a.1.png: it changed to 9 x 9 pixels since it was opened, want 4 x 3")

	ctx, cancel := context.WithCancel(background)
	cancel()
	require.ErrorIs(t, c.Check(ctx, c.Frames()), context.Canceled)
}

// Frames that are stored another way up are one size as displayed; where turning
// makes it another they are refused.
func TestOrientationMayDiffer(t *testing.T) {
	tagged := func(w, h int, o uint32) []byte {
		return tiffFile(w, h, []uint32{8}, blackIsZero, []byte{1, 2, 3, 4, 5, 6}, tag{tagOrientation, kindShort, []uint32{o}})
	}
	folder := t.TempDir()
	put(t, folder, "turn.1.tif", tagged(3, 2, 1))
	put(t, folder, "turn.2.tif", tagged(3, 2, 3))
	put(t, folder, "turn.3.tif", tagged(2, 3, 6))
	wrong := put(t, folder, "turn.4.tif", tagged(3, 2, 6))
	c, err := OpenSequence(folder)
	require.NoError(t, err)
	for n, want := range map[int][]float32{1: {1, 2, 3, 4, 5, 6}, 2: {6, 5, 4, 3, 2, 1}, 3: {5, 3, 1, 6, 4, 2}} {
		m, err := c.Frame(background, n)
		require.NoError(t, err)
		assert.Equal(t, []int{3, 2}, []int{m.R.W, m.R.H})
		for i := range want {
			assert.Equal(t, want[i]/255, m.R.Pix[i], "frame %d, pixel %d", n, i)
		}
	}
	require.ErrorContains(t, c.Check(background, c.Frames()), wrong+": it is 2 x 3 pixels, want 3 x 2 as turn.1.tif")
	exif := segment(markAPP1, append([]byte("Exif\x00\x00"), exifBlock(binary.BigEndian, 8, 1)...))
	folder = t.TempDir()
	put(t, folder, "1.jpg", asJPEG(noisyRGBA(18, 9)))
	put(t, folder, "2.jpg", withSegments(asJPEG(noisyRGBA(9, 18)), exif))
	c, err = OpenSequence(folder)
	require.NoError(t, err)
	require.NoError(t, c.Check(background, c.Frames()))
	_, err = c.Frame(background, 2)
	require.NoError(t, err)
}

// A sequence has one ending: that of the file that was named.
func TestOtherEndingsAreLeftOut(t *testing.T) {
	folder := folderOf(t, "shot.0001.png", "shot.0002.png", "shot.0001.tif", "shot.0003.tif", "shot.0003.bmp", "shot.0001.halocline", "shot.0002.txt")
	c, err := OpenSequence(filepath.Join(folder, "shot.0002.png"))
	require.NoError(t, err)
	assert.Equal(t, []int{1, 2}, c.Frames())
	assert.Equal(t, []string{
		"Of the same name with another ending, and no part of the sequence: shot.0001.tif (2 files, to shot.0003.tif).",
		"Of the same name with another ending, and no part of the sequence: shot.0003.bmp.",
	}, c.Info().Notices)
	_, err = OpenSequence(folder)
	require.ErrorIs(t, err, ErrSequence)
}

// What a file is follows from its bytes, in a sequence too.
func TestEveryFormatIsASequence(t *testing.T) {
	for ending, b := range map[string][]byte{
		".png": grey(7), ".jpg": asJPEG(noisyRGBA(9, 8)), ".tiff": asTIFF(noisyGray(4, 4), 0), ".bmp": asBMP(noisyRGBA(5, 5)),
		".webp": tinyWebP(3, 2, 1, 2, 3, 255), ".frame": grey(3),
	} {
		folder := t.TempDir()
		put(t, folder, "reef_1"+ending, b)
		last := put(t, folder, "reef_2"+ending, b)
		c, err := OpenSequence(last)
		require.NoError(t, err, ending)
		require.Equal(t, []int{1, 2}, c.Frames())
		_, err = c.Frame(background, 2)
		require.NoError(t, err, ending)
		_, err = OpenSequence(folder)
		if ending == ".frame" {
			require.ErrorIs(t, err, ErrNotPicture, "a folder's pictures are known by their endings")
			continue
		}
		require.NoError(t, err, ending)
	}
}

func TestFoldersThatAreNotOneSequence(t *testing.T) {
	for what, c := range map[string]struct {
		names []string
		says  string
	}{
		"empty":      {nil, "a folder without numbered pictures, want names such as shot.0001.png"},
		"no numbers": {[]string{"reef.png", "b.png"}, "a folder without numbered pictures"},
		"no picture": {[]string{"notes.1.txt", "12"}, "a folder without numbered pictures"},
		"long dates": {[]string{"20260312101500.png"}, "a folder without numbered pictures"},
		"hidden":     {[]string{"._shot.0001.png"}, "a folder without numbered pictures"},
		"several": {[]string{"b.1.png", "a.1.png", "a.2.png"},
			"a folder with 2 sequences: a.1.png (2 files, to a.2.png), b.1.png, want a folder with one, or a file of the one that is meant"},
		"many": {[]string{"a1.png", "b1.png", "c1.png", "d1.png", "e1.png", "f1.png", "g1.png", "h1.png"},
			"a folder with 8 sequences: a1.png, b1.png, c1.png, d1.png, e1.png, f1.png, 2 more, want"},
		"twice":         {[]string{"a.1.png", "a.2.png", "a.02.png"}, "a.02.png and a.2.png are both frame 2, want one file for each number"},
		"two formats":   {[]string{"a.1.png", "a.2.tif"}, "a folder with 2 sequences: a.1.png, a.2.tif"},
		"of both cases": {[]string{"a.1.png", "a.1.PNG"}, "a.1.PNG and a.1.png are both frame 1"},
	} {
		folder := folderOf(t, c.names...)
		_, err := OpenSequence(folder)
		kind := ErrSequence
		if strings.Contains(c.says, "without") {
			kind = ErrNotPicture
		}
		require.ErrorIs(t, err, kind, what)
		require.ErrorContains(t, err, "clip: "+folder+": "+c.says, what)
	}
	folder := folderOf(t, "reef.png", "a.1.png", "a.3.png", "notes.1.txt", "sub.png.1")
	require.NoError(t, os.Mkdir(filepath.Join(folder, "a.2.png"), 0o700))
	c, err := OpenSequence(folder)
	require.NoError(t, err)
	assert.Equal(t, []int{1, 3}, c.Frames(), "a folder is no frame")

	_, err = OpenSequence(filepath.Join(folder, "reef.png"))
	require.ErrorIs(t, err, ErrSequence)
	require.ErrorContains(t, err, "its name has no frame number at its end")
	for _, path := range []string{filepath.Join(folder, "a.7.png"), filepath.Join(folder, "gone")} {
		_, err = OpenSequence(path)
		require.ErrorIs(t, err, ErrMissing)
		require.ErrorContains(t, err, path)
	}
	_, err = OpenSequence(filepath.Join(folder, "notes.1.txt"))
	require.NoError(t, err, "its bytes are a picture's")
	put(t, folder, "a.1.png", []byte("sand"))
	_, err = OpenSequence(folder)
	require.ErrorIs(t, err, ErrNotPicture)
}

// longSequence makes a folder of n names: a picture, and links that lead nowhere,
// which nobody can open.
func longSequence(t testing.TB, n int) string {
	folder := t.TempDir()
	put(t, folder, "shot.00001.png", grey(1))
	for i := 2; i <= n; i++ {
		if err := os.Symlink("nowhere", filepath.Join(folder, fmt.Sprintf("shot.%05d.png", i))); err != nil {
			t.Skipf("no links here: %v", err)
		}
	}
	return folder
}

// To open a long sequence is to read names and the first header: no other file
// is touched, or this would fail.
func TestTenThousandFramesAreNotOpened(t *testing.T) {
	folder := longSequence(t, 10_000)
	for _, path := range []string{folder, filepath.Join(folder, "shot.00001.png")} {
		c, err := OpenSequence(path)
		require.NoError(t, err)
		assert.Equal(t, 10_000, c.Count())
		assert.Equal(t, 10_000, c.Last())
		assert.Empty(t, c.Missing())
		assert.Empty(t, c.Info().Notices)
		_, err = c.Frame(background, 10_000)
		require.ErrorIs(t, err, ErrMissing)
	}
}

// BenchmarkOpenSequence opens 10,000 frames; the plain twin asks the system for
// each file's size, as a reader of headers must at least.
func BenchmarkOpenSequence(b *testing.B) {
	folder := longSequence(b, 10_000)
	b.Run("names", func(b *testing.B) {
		for b.Loop() {
			_, err := OpenSequence(folder)
			require.NoError(b, err)
		}
	})
	b.Run("plain", func(b *testing.B) {
		for b.Loop() {
			files, err := os.ReadDir(folder)
			require.NoError(b, err)
			for _, f := range files {
				_, _ = os.Stat(filepath.Join(folder, f.Name()))
			}
		}
	})
}

func TestSequenceIsSharedByGoroutines(t *testing.T) {
	var names []string
	for i := range 12 {
		names = append(names, fmt.Sprintf("%03d.png", i))
	}
	c, err := OpenSequence(folderOf(t, names...))
	require.NoError(t, err)
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			for _, n := range c.Frames() {
				m, err := c.Frame(background, n)
				if assert.NoError(t, err) {
					assert.Equal(t, n, int(m.R.Pix[0]*255+0.5))
					m.R.Pix[0] = 9 // each call has a picture of its own
				}
			}
			assert.NoError(t, c.Check(background, c.Frames()))
		})
	}
	group.Wait()
}

func TestSequenceWithinTheWorkingFolder(t *testing.T) {
	folder := folderOf(t, "a.1.png", "a.2.png")
	t.Chdir(folder)
	for _, path := range []string{".", "a.2.png", "./a.1.png"} {
		c, err := OpenSequence(path)
		require.NoError(t, err)
		assert.Equal(t, "a.1.png", strings.TrimPrefix(c.Path(1), "./"))
	}
}
