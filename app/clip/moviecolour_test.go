package clip

import (
	"fmt"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
	"halocline/testdata"
)

// barWidth is wide enough for a bar's middle to have the bar's chroma alone.
const barWidth = 16

// barsFrame is a picture of bars side by side, of codes of 4:4:4.
func barsFrame(codes [][3]int, bits, across, down, h int) []byte {
	w := barWidth * len(codes)
	var b []byte
	put := func(code int) {
		b = append(b, byte(code))
		if bits > 8 {
			b = append(b, byte(code>>8))
		}
	}
	for plane := range 3 {
		sx, sy := across, down
		if plane == 0 {
			sx, sy = 1, 1
		}
		for y := 0; y < h; y += sy {
			for x := 0; x < w; x += sx {
				put(codes[x/barWidth][plane])
			}
		}
	}
	return b
}

type barsCase struct {
	name, table, end string // end of the columns' names
	bits             int
	pixels           string
	across, down     int
	full             bool
	output           []string
	encoder          string
}

var barsCases = []barsCase{
	{"709-422-10", "smpte_rp219_bars.csv", "", 10, "yuv422p10le", 2, 1, false, []string{"-c:v", "ffv1", "-colorspace", "bt709", "-color_range", "tv"}, "ffv1"},
	{"709-420-8", "smpte_rp219_bars.csv", "", 8, "yuv420p", 2, 2, false, []string{"-c:v", "libx264", "-qp", "0", "-colorspace", "bt709", "-color_range", "tv"}, "libx264"},
	{"709-444-10", "smpte_rp219_bars.csv", "", 10, "yuv444p10le", 1, 1, false, []string{"-c:v", "libx265", "-x265-params", "lossless=1:log-level=error", "-colorspace", "bt709"}, "libx265"},
	{"601-420-8", "bars_601_709_2020.csv", "_601", 8, "yuv420p", 2, 2, false, []string{"-c:v", "libx264", "-qp", "0", "-colorspace", "smpte170m"}, "libx264"},
	{"untagged-sd", "bars_601_709_2020.csv", "_601", 8, "yuv422p", 2, 1, false, []string{"-c:v", "ffv1"}, "ffv1"},
	{"2020-420-10", "bars_601_709_2020.csv", "_2020", 10, "yuv420p10le", 2, 2, false, []string{"-c:v", "libx265", "-x265-params", "lossless=1:log-level=error", "-colorspace", "bt2020nc"}, "libx265"},
	{"2020-444-12", "bars_601_709_2020.csv", "_2020", 12, "yuv444p12le", 1, 1, false, []string{"-c:v", "ffv1", "-colorspace", "bt2020nc"}, "ffv1"},
	{"709-full-8", "smpte_rp219_bars.csv", "_709", 8, "yuv420p", 2, 2, true, []string{"-c:v", "libx264", "-qp", "0", "-colorspace", "bt709", "-color_range", "pc"}, "libx264"},
	{"601-full-10", "bars_601_709_2020.csv", "_601", 10, "yuv422p10le", 2, 1, true, []string{"-c:v", "ffv1", "-colorspace", "smpte170m", "-color_range", "pc"}, "ffv1"},
	{"2020-full-8", "bars_601_709_2020.csv", "_2020", 8, "yuv444p", 1, 1, true, []string{"-c:v", "ffv1", "-colorspace", "bt2020nc", "-color_range", "pc"}, "ffv1"},
}

// codesOf returns a bar's codes: the table's, or in full range those that the
// standards' equations give (BT.709-6, 3.2 and 3.3; H.273, 8.3).
func (c barsCase) codesOf(row testdata.Row) [3]int {
	if !c.full && c.bits != 12 {
		key := func(channel string) int { return int(row.Number(fmt.Sprintf("%s%d%s", channel, c.bits, c.end))) }
		return [3]int{key("Y"), key("Cb"), key("Cr")}
	}
	k, err := colour.LumaNamed(map[string]string{"_601": "bt601", "_709": "bt709", "_2020": "bt2020"}[c.end])
	if err != nil {
		panic(err)
	}
	luma := k.Red*row.Number("R") + (1-k.Red-k.Blue)*row.Number("G") + k.Blue*row.Number("B")
	cb, cr := (row.Number("B")-luma)/(2*(1-k.Blue)), (row.Number("R")-luma)/(2*(1-k.Red))
	most := float64(int(1)<<c.bits - 1)
	code := func(v float64) int { return int(math.Round(min(max(v, 0), most))) }
	middle := float64(int(1) << (c.bits - 1))
	if c.full {
		return [3]int{code(most * luma), code(most*cb + middle), code(most*cr + middle)}
	}
	unit := float64(int(1) << (c.bits - 8))
	return [3]int{code(unit * (219*luma + 16)), code(unit * (224*cb + 128)), code(unit * (224*cr + 128))}
}

// SMPTE RP 219-1:2014, and bars that follow from BT.601-7, BT.709-6 and
// BT.2020-2, through lossless movies: the standard's own within one code of what
// they mean, the others within what rounding them to codes may take: half a code
// of luma and 0.94 of chroma.
func TestBarsOfMovies(t *testing.T) {
	notInShort(t)
	for i, c := range barsCases {
		t.Run(c.name, func(t *testing.T) {
			onlyInAll(t, i > 2 && i%3 != 0)
			needEncoder(t, c.encoder)
			rows := testdata.Table(t, c.table)
			var codes [][3]int
			for _, row := range rows {
				codes = append(codes, c.codesOf(row))
			}
			const h = 32
			frame := barsFrame(codes, c.bits, c.across, c.down, h)
			input := []string{"-pix_fmt", c.pixels, "-s", fmt.Sprintf("%dx%d", barWidth*len(rows), h), "-r", "25"}
			path := encode(t, filepath.Join(t.TempDir(), "bars.mkv"), input, func(w io.Writer) { _, _ = w.Write(frame); _, _ = w.Write(frame) }, c.output...)
			clip := openTest(t, path)
			assert.Equal(t, c.bits, clip.Info().Depth)
			m, err := clip.Frame(background, 1)
			require.NoError(t, err)
			span, off := 219<<(c.bits-8), 1.
			if c.full {
				span = 1<<c.bits - 1
			}
			if c.table != "smpte_rp219_bars.csv" || c.full {
				off = 1.45
			}
			for i, row := range rows {
				got := m.RGB(i*barWidth+barWidth/2, h/2)
				for j, v := range []float64{got.R, got.G, got.B} {
					want := min(max(row.Number([]string{"R", "G", "B"}[j]), 0), 1)
					require.InDelta(t, want, v, off/float64(span), "bar %d %v, channel %d", i, row, j)
				}
			}
		})
	}
}

// A study may know better than the file.
func TestMatrixAndRangeOverruled(t *testing.T) {
	needEncoder(t, "ffv1")
	path := encode(t, filepath.Join(t.TempDir(), "grey.mkv"), []string{"-pix_fmt", "yuv444p", "-s", "16x16", "-r", "25"}, func(w io.Writer) {
		_, _ = w.Write(barsFrame([][3]int{{180, 100, 140}}, 8, 1, 1, 16))
	}, "-c:v", "ffv1", "-colorspace", "bt709", "-color_range", "tv")
	want := func(o Options, k colour.LumaWeights, full bool, from string) {
		clip, err := OpenMovie(background, path, o)
		require.NoError(t, err)
		defer clip.Close()
		m, err := clip.Frame(background, 0)
		require.NoError(t, err)
		luma, cr := (180.-16)/219, (140.-128)/224
		if full {
			luma, cr = 180./255, (140.-128)/255
		}
		assert.InDelta(t, luma+2*(1-k.Red)*cr, m.RGB(3, 3).R, 1e-6)
		about := clip.Info().Movie
		assert.Equal(t, from, about.MatrixFrom)
		assert.Equal(t, map[bool]string{false: "limited", true: "full"}[full], about.Range)
	}
	want(Options{}, colour.Luma709, false, "tag")
	want(Options{Matrix: "bt601"}, colour.Luma601, false, "chosen")
	want(Options{Matrix: "bt2020", Range: "full"}, colour.Luma2020, true, "chosen")
	_, err := OpenMovie(background, path, Options{Matrix: "srgb"})
	require.ErrorIs(t, err, ErrUnsupported)
	_, err = OpenMovie(background, path, Options{Range: "wide"})
	require.ErrorContains(t, err, "limited or full")
}

// Without tags the size decides, and JPEG is what JFIF says.
func TestUntaggedMovies(t *testing.T) {
	for _, c := range []struct {
		w, h         int
		codec, space string
		primaries    string
		want         string
	}{
		{720, 576, "h264", "", "", "bt601"}, {720, 480, "prores", "unknown", "", "bt601"}, {1024, 576, "h264", "", "", "bt601"},
		{1280, 720, "h264", "", "", "bt709"}, {960, 720, "h264", "", "", "bt709"}, {1920, 800, "hevc", "", "", "bt709"},
		{3840, 2160, "hevc", "unknown", "", "bt709"}, {3840, 2160, "hevc", "unknown", "bt2020", "bt2020"},
		{3840, 2160, "mjpeg", "", "", "bt601"}, {1920, 1080, "h264", "smpte170m", "", "bt601"},
	} {
		got, _, err := matrixOf(&probedStream{Width: c.w, Height: c.h, Codec: c.codec, Space: c.space, Primaries: c.primaries}, Options{}, "x")
		require.NoError(t, err)
		assert.Equal(t, c.want, got, "%+v", c)
	}
	_, _, err := matrixOf(&probedStream{Space: "ycgco"}, Options{}, "x")
	require.ErrorIs(t, err, ErrUnsupported)
	yuv, grey := pixelFormat{kind: "ycbcr"}, pixelFormat{kind: "grey"}
	full, _ := rangeOf(&probedStream{}, yuv, Options{})
	assert.False(t, full)
	full, _ = rangeOf(&probedStream{}, grey, Options{})
	assert.True(t, full)
	full, _ = rangeOf(&probedStream{}, pixelFormat{kind: "ycbcr", full: true}, Options{})
	assert.True(t, full, "yuvj420p")
}

// The tagged siting reaches the picture: a change in chroma is halfway through
// where the standards put it (ITU-T H.273, 8.7).
func TestSitingOfMovies(t *testing.T) {
	notInShort(t)
	needEncoder(t, "libx264")
	const w, h = 32, 32
	// Cr changes at sample 8: 100 on the left, 156 on the right.
	frame := make([]byte, w*h*3/2)
	for i := range frame {
		frame[i] = 128
		if i >= w*h*5/4 && (i-w*h*5/4)%(w/2) >= 8 {
			frame[i] = 156
		} else if i >= w*h*5/4 {
			frame[i] = 100
		}
	}
	for name, want := range map[string][4]float64{ // pixels 14 to 17, shares of the way from 100 to 156
		"left": {0, .5, 1, 1}, "topleft": {0, .5, 1, 1}, "center": {0, .25, .75, 1},
	} {
		path := encode(t, filepath.Join(t.TempDir(), "siting.mp4"), []string{"-pix_fmt", "yuv420p", "-s", "32x32", "-r", "25"},
			func(out io.Writer) { _, _ = out.Write(frame) }, "-c:v", "libx264", "-qp", "0", "-colorspace", "smpte170m", "-chroma_sample_location", name)
		clip := openTest(t, path)
		assert.Equal(t, name, clip.Info().Movie.Siting)
		m, err := clip.Frame(background, 0)
		require.NoError(t, err)
		luma := (128. - 16) / 219
		for i, share := range want {
			red := luma + 1.402*((100-128)+share*56)/224
			assert.InDelta(t, red, m.RGB(14+i, 9).R, 1e-5, "%s, pixel %d", name, 14+i)
		}
	}
}

// RGB and grey, planar and packed: every code as it is.
func TestOtherKindsOfPixels(t *testing.T) {
	notInShort(t)
	needEncoder(t, "ffv1")
	for _, c := range []struct {
		in, out string
		kind    string
		bits    int
	}{
		{"rgb24", "bgr0", "rgb", 8}, {"rgb24", "gbrp", "rgb", 8}, {"rgb48le", "gbrp10le", "rgb", 10}, {"rgb48le", "rgb48le", "rgb", 16},
		{"gray", "gray", "grey", 8}, {"gray16le", "gray16le", "grey", 16}, {"gray16le", "gray10le", "grey", 10}, {"rgba", "bgra", "rgb", 8},
	} {
		if !all() && c.bits == 16 {
			continue
		}
		channels := map[string]int{"rgb24": 3, "rgb48le": 6, "gray": 1, "gray16le": 2, "rgba": 4}[c.in]
		frame := make([]byte, 16*16*channels)
		noise(frame, 7)
		path := encode(t, filepath.Join(t.TempDir(), "kind.mkv"), []string{"-pix_fmt", c.in, "-s", "16x16", "-r", "25"},
			func(w io.Writer) { _, _ = w.Write(frame) }, "-c:v", "ffv1", "-pix_fmt", c.out)
		clip := openTest(t, path)
		info := clip.Info()
		assert.Equal(t, []any{c.kind, c.bits}, []any{info.Channels, info.Depth}, c.out)
		assert.Equal(t, c.in == "rgba", info.Alpha)
		m, err := clip.Frame(background, 0)
		require.NoError(t, err)
		wide := strings.HasSuffix(c.in, "le")
		for i := range 16 * 16 {
			for j, p := range []colour.Plane{m.R, m.G, m.B} {
				at, most := i*channels+j, 255.
				if c.kind == "grey" {
					at = i * channels
				} else if wide {
					at = i*channels + 2*j
				}
				code := int(frame[at])
				if wide {
					code, most = code|int(frame[at+1])<<8, 65535
				}
				off := 1e-7
				if c.bits == 10 { // ffmpeg's own rounding of 16 bits to 10
					off = 1.01 / 1023
				}
				require.InDelta(t, float64(code)/most, p.Pix[i], off, "%s pixel %d channel %d", c.out, i, j)
			}
		}
	}
}

// Each turn that a camera may ask for, against the pictures ffmpeg itself turns.
func TestTurnedMovies(t *testing.T) {
	notInShort(t)
	needEncoder(t, "libx264")
	plain := encode(t, filepath.Join(t.TempDir(), "plain.mp4"), []string{"-pix_fmt", "rgb24", "-s", "48x32", "-r", "25"}, func(w io.Writer) {
		frame := make([]byte, 48*32*3)
		for i := range 48 * 32 {
			frame[3*i], frame[3*i+1], frame[3*i+2] = byte(5*(i%48)), byte(7*(i/48)), 80
		}
		_, _ = w.Write(frame)
	}, "-c:v", "libx264", "-qp", "0", "-pix_fmt", "yuv444p", "-colorspace", "bt709")
	for turn, orientation := range map[string]int{"90": 8, "180": 3, "270": 6} {
		path := filepath.Join(t.TempDir(), "turned.mp4")
		out, err := exec.Command(decoder, "-v", "error", "-i", plain, "-c", "copy", "-metadata:s:v:0", "rotate="+turn, path).CombinedOutput()
		require.NoError(t, err, string(out))
		clip := openTest(t, path)
		if clip.Info().Orientation == 1 {
			t.Skip("this ffmpeg writes turns another way")
		}
		reference := filepath.Join(t.TempDir(), "turned.png")
		out, err = exec.Command(decoder, "-v", "error", "-i", path, "-frames:v", "1", "-sws_flags", "accurate_rnd+full_chroma_int", "-pix_fmt", "rgb24", reference).CombinedOutput()
		require.NoError(t, err, string(out))
		want, _, err := Read(background, reference)
		require.NoError(t, err)
		got, err := clip.Frame(background, 0)
		require.NoError(t, err)
		w, h := got.Size()
		assert.Equal(t, []int{clip.Info().Width, clip.Info().Height}, []int{w, h})
		assert.Contains(t, []int{orientation, map[int]int{8: 6, 3: 3, 6: 8}[orientation]}, clip.Info().Orientation)
		requireNear(t, want, got, 3./255, turn)
	}
	for o := 1; o <= 8; o++ { // and the table, both ways
		m, unit := orientations[o], 1<<16
		x, y := unit, unit
		if m.mirrorX {
			x = -unit
		}
		if m.mirrorY {
			y = -unit
		}
		a, b, c, d := x, 0, 0, y
		if m.turned {
			a, b, c, d = 0, y, x, 0
		}
		got, ok := quarters(a, b, c, d)
		assert.True(t, ok)
		assert.Equal(t, o, got)
	}
	_, ok := quarters(46341, 46341, -46341, 46341)
	assert.False(t, ok, "an eighth of a turn")
}
