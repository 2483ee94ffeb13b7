package mask

import (
	"context"
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/image/vector"

	"halocline/colour"
)

func compose(t *testing.T, layers []Layer, r Region, workers int) colour.Plane {
	t.Helper()
	var p colour.Plane
	require.NoError(t, Compose(context.Background(), &p, layers, r, workers))
	return p
}

// The largest of the kept times the product of what is dropped, pixel by pixel.
func TestComposeAgainstItsParts(t *testing.T) {
	all := polygons()
	layers := []Layer{
		{Shape: Shape{Points: all["triangle"], Inner: 2, Outer: 3, Opacity: 0.9}},
		{Shape: Shape{Points: all["random 12"], Outer: 1, Opacity: 0.3}, Drop: true},
		{Shape: Shape{Points: all["half outside"], Rounded: true, Inner: 9, Opacity: 1}},
		{Shape: Shape{Points: all["pentagram"], Inner: 0.2, Opacity: 1}, Drop: true},
		{Shape: Shape{Points: all["outside"], Opacity: 1}},
		{Shape: Shape{Points: all["outside"], Opacity: 1}, Drop: true},
		{Off: true}, {Off: true, Drop: true},
	}
	var keep, drop []colour.Plane
	for _, l := range layers {
		if l.Off {
			continue
		}
		p := draw(t, l.Shape, Whole(48, 40), 1)
		if l.Drop {
			drop = append(drop, p)
		} else {
			keep = append(keep, p)
		}
	}
	for _, workers := range []int{1, 2, 7} {
		got := compose(t, layers, Whole(48, 40), workers)
		for i, v := range got.Pix {
			want := float32(0)
			for _, p := range keep {
				want = max(want, p.Pix[i])
			}
			for _, p := range drop {
				want *= 1 - p.Pix[i]
			}
			require.Equal(t, want, v, "pixel %d", i)
		}
	}
}

func TestKeepNothingOrEverything(t *testing.T) {
	square := Shape{Points: []Point{{2, 2}, {6, 2}, {6, 6}, {2, 6}}, Opacity: 1}
	for _, tt := range []struct {
		name   string
		layers []Layer
		want   float64
	}{
		{"no layer keeps everything", nil, 100},
		{"a keep that is off counts as 0", []Layer{{Off: true}}, 0},
		{"and adds nothing to another", []Layer{{Off: true}, {Shape: square}}, 16},
		{"drops alone leave the rest", []Layer{{Shape: square, Drop: true}}, 84},
		{"a drop that is off drops nothing", []Layer{{Drop: true, Off: true}}, 100},
		{"nothing kept leaves nothing to drop", []Layer{{Off: true}, {Shape: square, Drop: true}}, 0},
	} {
		got := compose(t, tt.layers, Whole(10, 10), 1)
		assert.Equal(t, tt.want, sum(got), tt.name)
	}
	var p colour.Plane
	err := Compose(context.Background(), &p, []Layer{{Shape: square}, {Shape: Shape{Opacity: 1}}}, Whole(4, 4), 1)
	assert.EqualError(t, err, "mask: layer 2: polygon has 0 points, want 3 or more")
}

// Outlines that do not cross themselves, against x/image/vector, which rounds
// to 8 bits, and works in floating point from 512 columns on.
func TestCoverageAgainstVector(t *testing.T) {
	const w, h = 600, 40
	all := polygons()
	all["blob"] = moved(blob(200, 192, 160), 0.25, 0, 0)
	for _, name := range []string{"triangle", "clockwise", "rectangle", "thin", "arrow", "half outside", "blob"} {
		got := draw(t, Shape{Points: all[name], Opacity: 1}, Whole(w, h), 1)
		want := image.NewAlpha(image.Rect(0, 0, w, h))
		trace(vector.NewRasterizer(w, h), all[name], w, h, want)
		for i, v := range got.Pix {
			require.InDelta(t, float64(want.Pix[i])/255, v, 1.0/255, "%s, pixel (%d,%d)", name, i%w, i/w)
		}
	}
}

// FuzzDraw draws outlines made of bytes, many on few grid lines so that they
// touch, overlap and run back. Weights are in [0,1]; hard ones add up to the
// area inside the edge; away from the outline they are what it winds around.
func FuzzDraw(f *testing.F) {
	f.Add([]byte{1, 1, 200, 1, 200, 200, 1, 200}, uint8(0), uint8(0), false)
	f.Add([]byte{0, 0, 64, 64, 64, 0, 0, 64, 32, 32, 96, 32, 96, 32}, uint8(7), uint8(40), true)
	f.Add([]byte{5, 5, 250, 6, 9, 7, 251, 8, 3, 9, 128, 255}, uint8(1), uint8(0), true)
	f.Fuzz(func(t *testing.T, data []byte, inner, outer uint8, rounded bool) {
		s := Shape{Rounded: rounded, Opacity: 1}
		for i := 0; i+1 < len(data) && len(s.Points) < 60; i += 2 {
			s.Points = append(s.Points, Point{8 + wave(data[i]), 8 + wave(data[i+1])})
		}
		if len(s.Points) < 3 {
			return
		}
		const w, h = 80, 80
		r := Region{-16, -16, w - 16, h - 16, 1}
		hard := draw(t, s, r, 1)
		checkWeights(t, hard)
		checkHard(t, s, r, hard)
		s.Inner, s.Outer = math.Pow(1.1, float64(inner))-1, math.Pow(1.1, float64(outer))-1
		s.Inner, s.Outer = min(s.Inner, maxFeather), min(s.Outer, maxFeather)
		checkWeights(t, draw(t, s, r, 1))
	})
}

// wave spreads a byte over 32 pixels: halves of them on whole ones, the others
// at odd places between.
func wave(b byte) float64 {
	if b%2 == 0 {
		return float64(b / 8)
	}
	return float64(b)/8 + float64(b*37)/7919
}

func checkWeights(t *testing.T, p colour.Plane) {
	t.Helper()
	for i, v := range p.Pix {
		if !(v >= 0 && v <= 1) {
			t.Fatalf("pixel (%d,%d) is %v", i%p.W, i/p.W, v)
		}
	}
}

func checkHard(t *testing.T, s Shape, r Region, p colour.Plane) {
	t.Helper()
	chain := Outline(s, flatness)
	a, err := fill(s.outline())
	require.NoError(t, err)
	twice, long := 0.0, 0.0
	for _, b := range a.borders {
		twice += det(b.from, b.to)
		_, n := direction(b.to.minus(b.from))
		long += n / unit
	}
	low, high := s.Bounds()
	if low.X > float64(r.X0) && low.Y > float64(r.Y0) && high.X < float64(r.X1) && high.Y < float64(r.Y1) {
		require.InDelta(t, twice/2/unit/unit, sum(p), 1e-4*(long+1), "area inside the edge")
	}
	tw, closed := twin{corners: chain}, append(chain, chain[0])
	for y := 0; y < p.H; y += 3 {
		for x := 0; x < p.W; x += 3 {
			at := Point{float64(x+r.X0) + 0.5, float64(y+r.Y0) + 0.5}
			if farthest([]Point{at}, closed) < 0.72 {
				continue
			}
			want := float32(0)
			if tw.winding(at) != 0 {
				want = 1
			}
			require.Equal(t, want, p.At(x, y), "at (%v,%v)", at.X, at.Y)
		}
	}
}
