package colour

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/testdata"
)

// putCode writes a code as decoders do.
func putCode(b []byte, i int, bits, code int) {
	if bits == 8 {
		b[i] = byte(code)
		return
	}
	b[2*i], b[2*i+1] = byte(code), byte(code>>8)
}

func getCode(b []byte, i, bits int) int {
	if bits == 8 {
		return int(b[i])
	}
	return int(b[2*i]) | int(b[2*i+1])<<8
}

// patch is a picture of one colour without subsampling.
func patch(k LumaWeights, c Coding, codes [3]int) *YCbCr {
	m := &YCbCr{W: 3, H: 2, Coding: c, Weights: k, YStride: 3 * c.CodeBytes(), CStride: 3 * c.CodeBytes()}
	for i, p := range []*[]byte{&m.Y, &m.Cb, &m.Cr} {
		*p = make([]byte, 6*c.CodeBytes())
		for j := range 6 {
			putCode(*p, j, c.Bits, codes[i])
		}
	}
	return m
}

func filled(t *testing.T, m *YCbCr, workers int) *Image {
	t.Helper()
	out := new(Image)
	require.NoError(t, fill(context.Background(), out, m, workers))
	return out
}

// fill makes dst the picture, with one reader of rows for all workers.
func fill(ctx context.Context, dst *Image, m *YCbCr, workers int) error {
	dst.Reshape(m.W, m.H)
	read := m.RowReader()
	return EachBand(ctx, workers, m.H, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			read(y, dst.R.Row(y), dst.G.Row(y), dst.B.Row(y))
		}
	})
}

// Rec. ITU-R BT.601-7, BT.709-6 and BT.2020-2 through the tables.
func TestLumaWeights(t *testing.T) {
	names := map[string]string{"BT.601": "bt601", "BT.709": "bt709", "BT.2020": "bt2020"}
	for _, row := range testdata.Table(t, "luma_weights.csv") {
		k, err := LumaNamed(names[row.Text("standard")])
		require.NoError(t, err)
		want := row.Numbers("Kr", "Kb", "CbDiv", "CrDiv", "gCb", "gCr")
		assert.Equal(t, want[:2], []float64{k.Red, k.Blue})
		for _, full := range []bool{false, true} {
			for _, bits := range []int{8, 10, 12} {
				table, c := tableOf(Coding{bits, full}, k), Coding{bits, full}
				zero, span := c.chroma()
				for code := range 1 << bits {
					chroma := (float64(code) - zero) / span
					require.InDelta(t, want[2]*chroma, table.blueOfCb[code], 1e-7)
					require.InDelta(t, want[3]*chroma, table.redOfCr[code], 1e-7)
					require.InDelta(t, -want[4]*chroma, table.greenOfCb[code], 1e-7)
					require.InDelta(t, -want[5]*chroma, table.greenOfCr[code], 1e-7)
				}
				assert.Zero(t, table.redOfCr[int(zero)])
			}
		}
	}
}

// Rec. ITU-R BT.709-6, 4.6, and BT.2100-2, table 9.
func TestLimitedRange(t *testing.T) {
	for _, row := range testdata.Table(t, "limited_range.csv") {
		bits, code := int(row.Number("bits")), row.Number("code")
		black, span := Coding{Bits: bits}.luma()
		zero, width := Coding{Bits: bits}.chroma()
		what := row.Text("quantity")
		switch {
		case strings.HasSuffix(what, "black"):
			assert.Equal(t, code, black, row)
		case strings.HasSuffix(what, "peak"):
			assert.Equal(t, code, black+span, row)
		case what == "chroma zero":
			assert.Equal(t, code, zero, row)
		case strings.HasPrefix(what, "chroma nominal min"):
			assert.Equal(t, code, zero-width/2, row)
		case strings.HasPrefix(what, "chroma nominal max"):
			assert.Equal(t, code, zero+width/2, row)
		case what == "luma span":
			assert.Equal(t, code, span, row)
		case what == "chroma span":
			assert.Equal(t, code, width, row)
		default:
			t.Fatalf("what is %q?", what)
		}
	}
}

// The unit tests of colour-science.
func TestVectorsOfYCbCr(t *testing.T) {
	for _, row := range testdata.Table(t, "ycbcr_vectors.csv") {
		n := row.Numbers("bits", "Y", "Cb", "Cr", "R", "G", "B", "within")
		c := Coding{Bits: int(n[0]), Full: row.Text("range") == "full"}
		got := filled(t, patch(Luma709, c, [3]int{int(n[1]), int(n[2]), int(n[3])}), 1).RGB(1, 1)
		requireNear(t, [3]float64{n[4], n[5], n[6]}, [3]float64{got.R, got.G, got.B}, n[7]+1e-7, "%v", row)
	}
}

// The bars of SMPTE RP 219-1:2014, and bars of BT.601 and BT.2020 that follow
// from their equations: within one code of what they are meant to be, the latter
// within 1.2, since rounding three codes alone puts one 10-bit bar 1.1 away.
func TestBars(t *testing.T) {
	check := func(k LumaWeights, row testdata.Row, end string, codesOff float64) {
		rgb := triple(row, "R", "G", "B")
		for i, v := range rgb {
			rgb[i] = min(max(v, 0), 1)
		}
		for _, bits := range []int{8, 10} {
			c := Coding{Bits: bits}
			codes := triple(row, fmt.Sprintf("Y%d%s", bits, end), fmt.Sprintf("Cb%d%s", bits, end), fmt.Sprintf("Cr%d%s", bits, end))
			got := filled(t, patch(k, c, [3]int{int(codes[0]), int(codes[1]), int(codes[2])}), 1).RGB(2, 0)
			_, span := c.luma()
			requireNear(t, rgb, [3]float64{got.R, got.G, got.B}, codesOff/span, "%d bits of %v", bits, row)
		}
	}
	for _, row := range testdata.Table(t, "smpte_rp219_bars.csv") {
		check(Luma709, row, "", 1)
	}
	for _, row := range testdata.Table(t, "bars_601_709_2020.csv") {
		check(Luma601, row, "_601", 1.2)
		check(Luma709, row, "_709", 1.2)
		check(Luma2020, row, "_2020", 1.2)
	}
}

func TestFullRangeGreysAreTheirCodes(t *testing.T) {
	for code := range 256 {
		got := filled(t, patch(Luma709, Coding{8, true}, [3]int{code, 128, 128}), 1)
		for _, p := range []Plane{got.R, got.G, got.B} {
			require.Equal(t, FromCode8(uint8(code)), p.Pix[0])
		}
	}
	for code := range 1024 {
		got := filled(t, patch(Luma2020, Coding{10, true}, [3]int{code, 512, 512}), 1)
		require.Equal(t, float32(code)/1023, got.G.Pix[5])
	}
	row := make([]float32, 2)
	Coding{16, true}.Row(row, []byte{0xff, 0xff, 0x34, 0x12})
	assert.Equal(t, []float32{1, FromCode16(0x1234)}, row)
	Coding{8, false}.Row(row, []byte{3, 250})
	assert.Equal(t, []float32{0, 1}, row, "clamped")
}

// plainYCbCr is the definition: a sample of chroma has a place, and between
// places chroma is linear.
func plainYCbCr(m *YCbCr) *Image {
	out := NewImage(m.W, m.H)
	black, span := m.luma()
	zero, width := m.chroma()
	axis := func(at, size int, log uint, site Site) (int, int, float64) {
		n := float64(int(1) << log)
		first := map[Site]float64{Amid: n/2 - 0.5, First: 0, Last: n - 1}[site]
		last := float64((size - 1) >> log)
		i := min(max((float64(at)-first)/n, 0), last)
		return int(i), int(min(math.Floor(i)+1, last)), i - math.Floor(i)
	}
	chroma := func(plane []byte, x, y int) float64 {
		x0, x1, wx := axis(x, m.W, m.Across, m.Siting.X)
		y0, y1, wy := axis(y, m.H, m.Down, m.Siting.Y)
		at := func(x, y int) float64 {
			return (float64(getCode(plane[y*m.CStride:], x, m.Bits)) - zero) / width
		}
		return (1-wy)*((1-wx)*at(x0, y0)+wx*at(x1, y0)) + wy*((1-wx)*at(x0, y1)+wx*at(x1, y1))
	}
	unit := func(v float64) float32 { return float32(min(max(v, 0), 1)) }
	k := m.Weights
	for y := range m.H {
		for x := range m.W {
			luma := (float64(getCode(m.Y[y*m.YStride:], x, m.Bits)) - black) / span
			cb, cr := chroma(m.Cb, x, y), chroma(m.Cr, x, y)
			red, blue := luma+2*(1-k.Red)*cr, luma+2*(1-k.Blue)*cb
			i := y*m.W + x
			out.R.Pix[i], out.B.Pix[i] = unit(red), unit(blue)
			out.G.Pix[i] = unit((luma - k.Red*red - k.Blue*blue) / (1 - k.Red - k.Blue))
		}
	}
	return out
}

func noisyCodes(w, h int, across, down uint, c Coding, at Siting) *YCbCr {
	cw, ch, size := (w-1)>>across+1, (h-1)>>down+1, c.CodeBytes()
	m := &YCbCr{W: w, H: h, Across: across, Down: down, Coding: c, Weights: Luma709, Siting: at, YStride: w*size + 4, CStride: cw*size + 2}
	r := rand.New(rand.NewPCG(uint64(w), uint64(h)))
	plane := func(stride, h int) []byte {
		b := make([]byte, stride*h)
		for i := range len(b) / size {
			putCode(b, i, c.Bits, r.IntN(1<<c.Bits))
		}
		return b
	}
	m.Y, m.Cb, m.Cr = plane(m.YStride, h), plane(m.CStride, ch), plane(m.CStride, ch)
	return m
}

// Every subsampling and siting, at sizes that reach the borders and odd ends.
func TestChromaLiesWhereItsSitingSays(t *testing.T) {
	sizes := [][2]int{{1, 1}, {1, 2}, {2, 1}, {3, 5}, {4, 4}, {5, 3}, {7, 1}, {1, 7}, {9, 17}, {50, 35}}
	for _, sub := range [][2]uint{{0, 0}, {1, 0}, {1, 1}, {0, 1}, {2, 0}, {2, 1}} {
		for x := Amid; x <= Last; x++ {
			for y := Amid; y <= Last; y++ {
				for i, size := range sizes {
					c := Coding{Bits: []int{8, 10, 12}[i%3], Full: i%2 == 0}
					m := noisyCodes(size[0], size[1], sub[0], sub[1], c, Siting{x, y})
					got, want := filled(t, m, 1), plainYCbCr(m)
					for j, p := range []Plane{got.R, got.G, got.B} {
						q := []Plane{want.R, want.G, want.B}[j]
						for k, v := range p.Pix {
							require.InDelta(t, q.Pix[k], v, 1e-6, "%v %v %v, plane %d, sample %d", sub, m.Siting, size, j, k)
						}
					}
				}
			}
		}
	}
}

// Worked rows. Samples 0.2, 0.6, 0.4 of 4:2:2 lie at pixels 0.5, 2.5, 4.5 amid
// theirs, at 0, 2, 4 on the first (ITU-T H.273, 8.7).
func TestAddersByHand(t *testing.T) {
	for _, c := range []struct {
		add  func(r, g, b, luma []float32, t *chromaTerms)
		want []float32
	}{
		{addTwoAmid, []float32{.2, .3, .5, .55, .45, .4}},
		{addTwoAmid, []float32{.2, .3, .5, .55, .45}},
		{addTwoFirst, []float32{.2, .4, .6, .5, .4, .4}},
		{addTwoFirst, []float32{.2, .4, .6, .5, .4}},
		{addMany(betweenTwo[Last]), []float32{.2, .2, .4, .6, .5, .4}},
		{addMany(betweenFour[Amid]), []float32{.2, .2, .25, .35, .45, .55, .575, .525, .475, .425, .4, .4}},
		{addMany(betweenFour[First]), []float32{.2, .3, .4, .5, .6, .55, .5, .45, .4, .4, .4, .4}},
	} {
		terms, n := []float32{.2, .6, .4}, len(c.want)
		r, g, b := make([]float32, n), make([]float32, n), make([]float32, n)
		c.add(r, g, b, make([]float32, n), &chromaTerms{red: terms, green: terms, blue: terms})
		assert.InDeltaSlice(t, c.want, r, 1e-6)
		assert.Equal(t, r, g)
		assert.Equal(t, r, b)
	}
}

func TestYCbCrForAnyNumberOfWorkers(t *testing.T) {
	for _, bits := range []int{8, 10} {
		m := noisyCodes(101, 67, 1, 1, Coding{Bits: bits}, Siting{First, Amid})
		want := filled(t, m, 1)
		for _, workers := range []int{2, 7} {
			assert.Equal(t, want, filled(t, m, workers))
		}
	}
}

// The loops that go eight samples at a time, where there are such, give the bits
// of those that go one by one.
func TestWideChromaIsTheSame(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 2))
	for w := 1; w < 70; w++ {
		for site, weights := range []between{Amid: betweenTwo[Amid], First: betweenTwo[First]} {
			t1 := newChromaTerms((w-1)/2 + 1)
			for i := range t1.red {
				t1.red[i], t1.green[i], t1.blue[i] = r.Float32()-0.5, r.Float32()-0.5, r.Float32()-0.5
			}
			luma := make([]float32, w)
			for i := range luma {
				luma[i] = r.Float32()*1.4 - 0.2
			}
			got, want := NewImage(w, 1), NewImage(w, 1)
			adders[1][site](got.R.Pix, got.G.Pix, got.B.Pix, luma, &t1)
			addMany(weights)(want.R.Pix, want.G.Pix, want.B.Pix, luma, &t1)
			if Site(site) == First {
				require.Equal(t, want, got, "%d pixels", w)
				continue
			}
			for c, p := range got.planes() { // near + w (far - near) from the other end
				require.InDeltaSlice(t, want.planes()[c].Pix, p.Pix, 1e-6, "%d pixels", w)
			}
		}
	}
}

// The bits that every build and processor gives: see
// TestKernelsGiveTheSameBitsInEveryBuild.
func TestYCbCrGivesTheSameBitsInEveryBuild(t *testing.T) {
	hashes := []uint64{}
	for _, c := range []struct {
		bits         int
		across, down uint
		at           Siting
	}{{8, 1, 1, Siting{First, Amid}}, {8, 1, 1, Siting{Amid, Amid}}, {10, 1, 0, Siting{First, Amid}}, {12, 0, 0, Siting{}}, {8, 2, 0, Siting{First, Amid}}} {
		m := filled(t, noisyCodes(203, 90, c.across, c.down, Coding{Bits: c.bits}, c.at), 2)
		hashes = append(hashes, hashOf(m.R, m.G, m.B))
	}
	assert.Equal(t, []uint64{0x370fe3dbc1ce9205, 0xcc0fa7bb23e15977, 0x8cf4473bfe5d9e5c, 0x139c1c47058a23cd, 0xc43da1293dc502f3}, hashes)
}

// A code above its bits, which only damage makes, is no crash.
func TestCodesBeyondTheirBits(t *testing.T) {
	m := patch(Luma709, Coding{Bits: 10}, [3]int{0xffff, 0x7c00, 0xfc00})
	for _, v := range filled(t, m, 1).R.Pix {
		require.True(t, v >= 0 && v <= 1)
	}
}

func TestNamesOfMatrixAndRange(t *testing.T) {
	_, err := LumaNamed("bt470")
	require.EqualError(t, err, `colour: matrix is "bt470", want one of bt601, bt709, bt2020`)
	_, err = IsFull("wide")
	require.EqualError(t, err, `colour: range is "wide", want limited or full`)
	full, err := IsFull(RangeNames()[1])
	require.NoError(t, err)
	assert.True(t, full)
}

func BenchmarkYCbCr(b *testing.B) {
	for _, bits := range []int{8, 10} {
		for _, at := range []Siting{{First, Amid}, {Amid, Amid}} {
			m := noisyCodes(1920, 1080, 1, 1, Coding{Bits: bits}, at)
			sea := rand.New(rand.NewPCG(1, 1))
			for i := range len(m.Y) / m.CodeBytes() {
				putCode(m.Y, i, bits, (60+sea.IntN(100))<<(bits-8))
			}
			for i := range len(m.Cb) / m.CodeBytes() {
				putCode(m.Cb, i, bits, (110+sea.IntN(30))<<(bits-8))
				putCode(m.Cr, i, bits, (110+sea.IntN(30))<<(bits-8))
			}
			out := new(Image)
			b.Run(fmt.Sprintf("1080p/%d bits/%v", bits, at), func(b *testing.B) {
				for b.Loop() {
					_ = fill(context.Background(), out, m, 1)
				}
			})
			b.Run(fmt.Sprintf("1080p/%d bits/%v/plain", bits, at), func(b *testing.B) {
				for b.Loop() {
					plainYCbCr(m)
				}
			})
		}
	}
}
