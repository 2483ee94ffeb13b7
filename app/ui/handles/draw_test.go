package handles

import (
	"flag"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/view"
	"halocline/mask"
)

var update = flag.Bool("update", false, "draw the golden picture anew")

// ground is a picture of sand and water, smooth.
func ground(w, h int) *image.RGBA {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			v := uint8(40 * y / h)
			m.SetRGBA(x, y, color.RGBA{90 + v*2, 150 - v, 160 - 2*v, 255})
		}
	}
	return m
}

// swimmer is a rounded outline with dents.
func swimmer() mask.Shape {
	return mask.Shape{Rounded: true, Inner: 16, Outer: 26, Opacity: 1, Points: []mask.Point{
		{X: 120, Y: 130}, {X: 200, Y: 90}, {X: 330, Y: 130}, {X: 420, Y: 210}, {X: 520, Y: 240},
		{X: 540, Y: 330}, {X: 470, Y: 380}, {X: 330, Y: 350}, {X: 180, Y: 270}}}
}

func TestGolden(t *testing.T) {
	vp := view.Viewport{W: 680, H: 480, VW: 420, VH: 300}.Fit()
	m := ground(420, 300)
	other := mask.Shape{Rounded: true, Opacity: 1, Points: []mask.Point{{X: 20, Y: 300}, {X: 120, Y: 290}, {X: 150, Y: 420}, {X: 40, Y: 450}}}
	Of(other, vp, 1).Draw(m, Part{}, true)

	track := mask.Track{Rounded: true, Keys: []mask.Key{
		{Frame: 10, Points: moved(swimmer().Points, -40, 20), Opacity: 1},
		{Frame: 24, Points: moved(swimmer().Points, 50, -10), Opacity: 1}}}
	Of(track.At(10), vp, 1).DrawGhost(m, 10, true)
	DrawPath(m, Path(&track, 5, 17), vp, 1)
	h := Of(swimmer(), vp, 1)
	h.Choose(5)
	h.Draw(m, Part{Kind: OuterFeather}, false)

	d := NewDraft()
	for _, p := range []mask.Point{{X: 440, Y: 30}, {X: 560, Y: 25}, {X: 610, Y: 90}} {
		d.Add(p.X, p.Y)
	}
	d.Hover(500, 110)
	d.Draw(m, vp, 1)
	golden(t, "handles", m)
}

func moved(points []mask.Point, dx, dy float64) []mask.Point {
	out := make([]mask.Point, len(points))
	for i, p := range points {
		out[i] = mask.Point{X: p.X + dx, Y: p.Y + dy}
	}
	return out
}

// golden compares what is drawn with testdata/NAME.png: samples may differ by
// 6, and by more on one in a hundred, since words are not drawn to the bit alike
// everywhere.
func golden(t *testing.T, name string, got *image.RGBA) {
	t.Helper()
	file := filepath.Join("testdata", name+".png")
	if *update {
		writePNG(t, file, got)
		return
	}
	f, err := os.Open(file)
	require.NoError(t, err)
	defer f.Close()
	read, err := png.Decode(f)
	require.NoError(t, err)
	require.Equal(t, read.Bounds(), got.Rect)
	want := image.NewRGBA(got.Rect)
	draw.Draw(want, want.Rect, read, image.Point{}, draw.Src)
	wrong := 0
	for i := range want.Pix {
		if d := int(want.Pix[i]) - int(got.Pix[i]); d > 6 || d < -6 {
			wrong++
		}
	}
	if wrong > len(want.Pix)/100 {
		other := filepath.Join("testdata", name+".got.png")
		writePNG(t, other, got)
		t.Errorf("%s: %d of %d samples differ; see %s, or draw it anew with -update", file, wrong, len(want.Pix), other)
	}
}

func writePNG(t *testing.T, file string, m image.Image) {
	t.Helper()
	require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o777))
	f, err := os.Create(file)
	require.NoError(t, err)
	assert.NoError(t, png.Encode(f, m))
	require.NoError(t, f.Close())
}

// An outline passes through its vertices in their order, and an edge runs from
// one to the next.
func TestEdgesRunFromVertexToVertex(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 16))
	shapes := []mask.Shape{square(10, 10, 5), {Rounded: true, Opacity: 1, Points: []mask.Point{{X: 5, Y: 5}, {X: 5, Y: 5}, {X: 50, Y: 9}, {X: 5, Y: 5}}}}
	for range 100 {
		shapes = append(shapes, anyShape(r))
	}
	for _, s := range shapes {
		h := Of(s, plain, 1)
		for i, p := range h.points {
			along := h.alongEdge(i)
			assert.InDelta(t, 0, away(p, along[0]), 1e-4)
			assert.InDelta(t, 0, away(h.points[(i+1)%len(h.points)], along[len(along)-1]), 1e-4)
			assert.Equal(t, i, h.sideOf(h.first[i]))
		}
	}
}

// What is active shows: in accent, and a feather's value in words.
func TestActivePartsShow(t *testing.T) {
	s := square(100, 100, 100)
	s.Inner, s.Outer = 20, 20
	accents := func(active Part, chosen ...int) (n int) {
		m, h := ground(300, 300), Of(s, plain, 1)
		h.Choose(chosen...)
		h.Draw(m, active, false)
		for i := 0; i < len(m.Pix); i += 4 {
			if r, g, b := int(m.Pix[i]), int(m.Pix[i+1]), int(m.Pix[i+2]); r > g+15 && b > g+15 { // nothing else is purple
				n++
			}
		}
		return n
	}
	assert.Zero(t, accents(Part{}), "nothing chosen, nothing acting")
	assert.Zero(t, accents(Part{Kind: Vertex, Index: 1}), "pointed at is not chosen")
	assert.InDelta(t, 36, accents(Part{}, 1), 13)
	for _, k := range []PartKind{Edge, InnerFeather, OuterFeather, Corner, Side, Turn, Centre, Inside} {
		assert.Greater(t, accents(Part{Kind: k}), 8, "%v", k)
	}
	assert.Equal(t, []string{"14 px", "13.4 px", "0 px"}, []string{pixels(14.02), pixels(13.44), pixels(0.01)})
}

// A quiet outline has neither handles nor box.
func TestQuietIsTheOutlineAlone(t *testing.T) {
	s := square(100, 100, 100)
	s.Outer = 20
	m, bare := ground(300, 300), ground(300, 300)
	Of(s, plain, 1).Draw(m, Part{Kind: Centre}, true)
	for y := range 300 {
		for x := range 300 {
			x1, y1 := float64(x)+0.5, float64(y)+0.5
			off := max(math.Abs(x1-150), math.Abs(y1-150)) - 50
			if math.Abs(off) > 3 {
				require.Equal(t, bare.RGBAAt(x, y), m.RGBAAt(x, y), "(%d, %d)", x, y)
			}
		}
	}
	assert.NotEqual(t, bare.RGBAAt(150, 100), m.RGBAAt(150, 100))
}
