package ink

import (
	"image"
	"image/color"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/vector"
)

var (
	white = color.NRGBA{255, 255, 255, 255}
)

// ground returns an opaque picture of one grey.
func ground(r image.Rectangle, v uint8) *image.RGBA {
	m := image.NewRGBA(r)
	for i := range m.Pix {
		m.Pix[i] = v
		if i%4 == 3 {
			m.Pix[i] = 255
		}
	}
	return m
}

// sum is how many pixels of white a black picture bears.
func sum(m *image.RGBA) float64 {
	n := 0
	for i := 0; i < len(m.Pix); i += 4 {
		n += int(m.Pix[i])
	}
	return float64(n) / 255
}

func TestFillIsTheShareOfEachPixel(t *testing.T) {
	m := ground(image.Rect(0, 0, 6, 5), 0)
	Fill(m, Rect{1.25, 1.5, 4.5, 3}, white)
	want := map[image.Point]float64{{1, 1}: 0.375, {2, 1}: 0.5, {4, 1}: 0.25, {1, 2}: 0.75, {3, 2}: 1, {4, 2}: 0.5}
	for at, share := range want {
		assert.InDelta(t, share*255, m.RGBAAt(at.X, at.Y).R, 1, "%v", at)
	}
	assert.InDelta(t, 3.25*1.5, sum(m), 0.03)

	m = ground(m.Rect, 0)
	Fill(m, Rect{2.25, 2.25, 2.75, 2.5}, white) // inside one pixel
	assert.InDelta(t, 0.125, sum(m), 0.005)
}

// Straight upright and level strokes are exact; the others are held to
// golang.org/x/image/vector, which knows the exact area.
func TestLineIsTheAreaItCovers(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		a, b := Pt{r.Float64() * 60, r.Float64() * 60}, Pt{r.Float64() * 60, r.Float64() * 60}
		w := 1 + 5*r.Float64()
		got, want := ground(image.Rect(0, 0, 60, 60), 0), ground(image.Rect(0, 0, 60, 60), 0)
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length < 3 {
			continue
		}
		Line(got, a, b, Pen{Width: w, Colour: white})
		nx, ny := -(b.Y-a.Y)/length*w/2, (b.X-a.X)/length*w/2
		Polygon(want, []Pt{{a.X + nx, a.Y + ny}, {b.X + nx, b.Y + ny}, {b.X - nx, b.Y - ny}, {a.X - nx, a.Y - ny}}, white)
		assert.InEpsilon(t, sum(want)+1, sum(got)+1, 0.03, "%v %v %v", a, b, w)
		for i := range got.Pix {
			require.InDelta(t, want.Pix[i], got.Pix[i], 0.25*255, "%v %v %v: sample %d", a, b, w, i)
		}
	}
}

func TestThinStrokesAreCrispOnPixelCentres(t *testing.T) {
	m := ground(image.Rect(0, 0, 10, 10), 0)
	Line(m, Pt{2, 4.5}, Pt{8, 4.5}, Pen{Width: 1, Colour: white})
	for x := range 10 {
		for y := range 10 {
			want := uint8(0)
			if y == 4 && x >= 2 && x < 8 {
				want = 255
			}
			assert.Equal(t, want, m.RGBAAt(x, y).R, "%d %d", x, y)
		}
	}
	m = ground(m.Rect, 0)
	Line(m, Pt{4.5, 1}, Pt{4.5, 9}, Pen{Width: 0.5, Colour: white})
	assert.InDelta(t, 4, sum(m), 0.1, "half as wide is half as bright")
}

func TestPolylineIsBlendedOnce(t *testing.T) {
	pen := Pen{Width: 6, Colour: color.NRGBA{255, 255, 255, 128}}
	m := ground(image.Rect(0, 0, 60, 60), 0)
	Polyline(m, []Pt{{10, 10}, {50, 50}, {10, 50}, {50, 10}, {11, 11}, {49, 49}}, false, pen)
	for i := 0; i < len(m.Pix); i += 4 {
		require.LessOrEqual(t, m.Pix[i], uint8(128))
	}
	assert.EqualValues(t, 128, m.RGBAAt(30, 30).R)
}

func TestClosedPolylineHasNoSeam(t *testing.T) {
	square := []Pt{{10.5, 10.5}, {20.5, 10.5}, {20.5, 20.5}, {10.5, 20.5}}
	m := ground(image.Rect(0, 0, 30, 30), 0)
	Polyline(m, square, true, Pen{Width: 1, Colour: white})
	assert.InDelta(t, 40, sum(m), 0.01)
	assert.EqualValues(t, 255, m.RGBAAt(10, 10).R, "the corner where it begins")
	open := ground(m.Rect, 0)
	Polyline(open, square, false, Pen{Width: 1, Colour: white})
	assert.Zero(t, open.RGBAAt(10, 15).R)
}

func TestDashes(t *testing.T) {
	m := ground(image.Rect(0, 0, 40, 5), 0)
	pen := Pen{Width: 1, Colour: white, Dash: []float64{4, 2, 1, 3}}
	Line(m, Pt{0, 2.5}, Pt{40, 2.5}, pen)
	for x := range 40 {
		want := uint8(0)
		if at := x % 10; at < 4 || at == 6 {
			want = 255
		}
		assert.Equal(t, want, m.RGBAAt(x, 2).R, "%d", x)
	}
	parts := ground(m.Rect, 0) // the same through points between
	Polyline(parts, []Pt{{0, 2.5}, {7, 2.5}, {13, 2.5}, {40, 2.5}}, false, pen)
	for x := range 40 {
		assert.InDelta(t, m.RGBAAt(x, 2).R, parts.RGBAAt(x, 2).R, 130, "%d", x)
	}
	assert.InDelta(t, sum(m), sum(parts), 1.1)

	far := ground(m.Rect, 0) // clipped at once, in step all the same
	Line(far, Pt{-1e7, 2.5}, Pt{1e7, 2.5}, pen)
	assert.Equal(t, m.Pix, far.Pix)

	solid := ground(m.Rect, 0)
	Line(solid, Pt{0, 2.5}, Pt{40, 2.5}, Pen{Width: 1, Colour: white, Dash: []float64{3}})
	assert.InDelta(t, 40, sum(solid), 0.01, "an odd pattern is none")
}

func TestDiscAndRingAreTheirArea(t *testing.T) {
	for _, r := range []float64{0.6, 1, 2.5, 5.5, 17, 40} {
		m := ground(image.Rect(0, 0, 100, 100), 0)
		Disc(m, Pt{50.3, 49.6}, r, white)
		assert.InEpsilon(t, math.Pi*r*r, sum(m), 0.03+0.15/(r*r), "disc %v", r)
		m = ground(m.Rect, 0)
		Ring(m, Pt{50.3, 49.6}, r+2, Pen{Width: 1.5, Colour: white})
		assert.InEpsilon(t, 2*math.Pi*(r+2)*1.5, sum(m), 0.03, "ring %v", r)
		if r < 5 {
			continue // the last dash is cut short, which tells on a small ring
		}
		dashed := ground(m.Rect, 0)
		Ring(dashed, Pt{50.3, 49.6}, r+2, Pen{Width: 1.5, Colour: white, Dash: []float64{2, 2}})
		assert.InEpsilon(t, math.Pi*(r+2)*1.5, sum(dashed), 0.25, "dashed ring %v", r)
	}
}

func TestBoxHasSquareCornersAndItsArea(t *testing.T) {
	m := ground(image.Rect(0, 0, 40, 40), 0)
	Box(m, Rect{10, 10, 30, 20}, Pen{Width: 2, Colour: white})
	assert.InDelta(t, 22*12-18*8, sum(m), 0.01)
	assert.EqualValues(t, 255, m.RGBAAt(9, 9).R)
	m = ground(m.Rect, 0)
	Box(m, Rect{10, 10, 11, 11}, Pen{Width: 2, Colour: white})
	assert.InDelta(t, 9, sum(m), 0.01, "no hole is left")
}

func TestTextStandsWhereItIsAnchored(t *testing.T) {
	words := GoType()
	box := func(anchor Anchor) (r image.Rectangle) {
		m := ground(image.Rect(0, 0, 120, 60), 0)
		words.Text(m, Pt{60, 30}, "H14", 14, white, anchor)
		for y := range 60 {
			for x := range 120 {
				if m.RGBAAt(x, y).R > 60 {
					r = r.Union(image.Rect(x, y, x+1, y+1))
				}
			}
		}
		return r
	}
	w := words.Width("H14", 14)
	assert.InDelta(t, 24.6, w, 4)
	assert.InDelta(t, 60+w, float64(box(BaseLeft).Max.X), 3)
	assert.InDelta(t, 60, box(BaseRight).Max.X, 3)
	assert.Equal(t, 30, box(BaseLeft).Max.Y)
	assert.Equal(t, 30, box(TopLeft).Min.Y)
	mid := box(MidCentre)
	assert.InDelta(t, 60, mid.Min.Y+mid.Max.Y, 1)
	assert.InDelta(t, 120, mid.Min.X+mid.Max.X, 3)
	assert.Equal(t, words.Width("00000", 12), words.Width("17184", 12), "digits are all as wide")
	assert.Zero(t, words.Width("", 12))
	assert.Greater(t, words.Bold.Width("proofs", 14), words.Width("proofs", 14))
}

func TestCutIsTheLongestThatFits(t *testing.T) {
	words, long := GoType(), "one that is longer than its room"
	assert.Equal(t, long, words.Cut(long, 12, words.Width(long, 12)))
	for room := 10.0; room < words.Width(long, 12); room += 7 {
		cut := words.Cut(long, 12, room)
		assert.LessOrEqual(t, words.Width(cut, 12), max(room, words.Width("…", 12)))
		kept := len([]rune(cut)) - 1
		assert.Equal(t, long[:kept]+"…", cut)
		assert.Greater(t, words.Width(long[:kept+1]+"…", 12), room)
	}
	assert.Equal(t, "…", words.Cut(long, 12, 0))
}

func TestNewTypeOfWhatIsNoFont(t *testing.T) {
	_, err := NewType([]byte("OTTO, all but the rest"), nil)
	assert.ErrorContains(t, err, "ink: font: ")
}

// every draws every mark with the given coordinates.
func every(m *image.RGBA, v [6]float64) {
	c := color.NRGBA{200, 30, 90, 200}
	p := []Pt{{v[0], v[1]}, {v[2], v[3]}, {v[4], v[5]}}
	for _, dash := range [][]float64{nil, {3, 2}, {0, 0}, {1e-9, 1e-9}, {-1, 5}} {
		pen := Pen{Width: 1.4, Colour: c, Dash: dash}
		Line(m, p[0], p[1], pen)
		Polyline(m, p, true, pen)
		Ring(m, p[0], v[2], pen)
		Box(m, Rect{v[0], v[1], v[2], v[3]}, pen)
	}
	Disc(m, p[0], v[2], c)
	Fill(m, Rect{v[0], v[1], v[2], v[3]}, c)
	Polygon(m, p, c)
	GoType().Text(m, p[0], "hue 29", max(1, math.Mod(v[2], 40)), c, Anchor(int64(math.Abs(v[0]))%9))
}

func TestNothingOutsideIsTouchedAndAllStaysOpaque(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	odd := []float64{0, -0.5, 1e9, -1e9, 1e300, -1e300, math.NaN(), math.Inf(1), math.Inf(-1), 31.999}
	whole := ground(image.Rect(0, 0, 64, 64), 77)
	for range 300 {
		m := whole.SubImage(image.Rect(16, 20, 48, 44)).(*image.RGBA)
		var v [6]float64
		for i := range v {
			if v[i] = r.Float64()*120 - 30; r.IntN(6) == 0 {
				v[i] = odd[r.IntN(len(odd))]
			}
		}
		require.NotPanics(t, func() { every(m, v) }, "%v", v)
	}
	for y := range 64 {
		for x := range 64 {
			c := whole.RGBAAt(x, y)
			require.EqualValues(t, 255, c.A)
			if !(image.Pt(x, y).In(image.Rect(16, 20, 48, 44))) {
				require.Equal(t, color.RGBA{77, 77, 77, 255}, c, "%d %d", x, y)
			}
		}
	}
}

// outline is a long closed curve, as a rounded mask's.
func outline() []Pt {
	pts := make([]Pt, 300)
	for i := range pts {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(len(pts)))
		pts[i] = Pt{740 + 600*cos, 416 + 350*sin + 20*math.Sin(float64(i)/5)}
	}
	return pts
}

func BenchmarkPolyline(b *testing.B) {
	pts, m := outline(), ground(image.Rect(0, 0, 1480, 832), 99)
	for b.Loop() {
		Polyline(m, pts, true, Pen{Width: 1.4, Colour: white})
	}
}

// The plain twin: one polygon for the two borders of the stroke, filled over
// the whole of the picture.
func BenchmarkPolylineAsPolygon(b *testing.B) {
	pts, m := outline(), ground(image.Rect(0, 0, 1480, 832), 99)
	z := vector.NewRasterizer(1480, 832)
	for b.Loop() {
		z.Reset(1480, 832)
		for _, grow := range []float64{0.7, -0.7} {
			for i := range pts {
				p := pts[i]
				if grow < 0 {
					p = pts[len(pts)-1-i]
				}
				d := math.Hypot(p.X-740, p.Y-416)
				x, y := float32(p.X+grow*(p.X-740)/d), float32(p.Y+grow*(p.Y-416)/d)
				if i == 0 {
					z.MoveTo(x, y)
				} else {
					z.LineTo(x, y)
				}
			}
			z.ClosePath()
		}
		z.Draw(m, m.Rect, image.NewUniform(white), image.Point{})
	}
}
