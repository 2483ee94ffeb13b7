package handles

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/mask"
)

// disc is a closed line about a circle, with what is inside to the right of the way along
// it, each place off it by up to so much.
func disc(x, y, radius, rough float64) (line []mask.Point) {
	r := rand.New(rand.NewPCG(21, 22))
	for i := range 200 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / 200)
		at := radius + rough*(2*r.Float64()-1)
		line = append(line, mask.Point{X: x + at*cos, Y: y + at*sin})
	}
	return line
}

// Where an edge was found in a loosely drawn outline, the dots and the handles of the
// feathers are about it.
func TestFeathersAreAboutTheFoundEdge(t *testing.T) {
	const radius, rough = 80, 0.3
	s := square(100, 100, 240)
	s.Inner, s.Outer = 20, 14
	h := Of(s, plain, 1)
	h.About([][]mask.Point{disc(220, 220, radius, rough)})
	from := func(x, y float64) float64 { return math.Hypot(x-220, y-220) }
	for _, c := range []struct {
		distance float64
		outside  bool
		want     float64
	}{{14, true, radius + 14}, {20, false, radius - 20}} {
		dots := dotsOf(h, c.distance, c.outside, 4)
		require.Greater(t, len(dots), 60)
		for _, p := range dots {
			assert.InDelta(t, c.want, from(p.X, p.Y), 2*rough+flatness)
		}
	}
	for _, c := range []struct {
		kind PartKind
		want float64
	}{{OuterFeather, radius + 14}, {InnerFeather, radius - 20}} {
		at, ok := h.Place(c.kind)
		require.True(t, ok)
		assert.InDelta(t, c.want, from(at.X, at.Y), 1)
		assert.Equal(t, c.kind, h.Hit(at.X, at.Y).Kind)
	}
	plainly := Of(s, plain, 1)
	outward, _ := plainly.Place(OuterFeather)
	at, _ := h.Place(OuterFeather)
	assert.Less(t, math.Atan2(math.Abs(at.X-outward.X), math.Abs(at.Y-outward.Y)), math.Pi/4, "by the side where it was")
	plainly.About(nil)
	still, _ := plainly.Place(OuterFeather)
	assert.Equal(t, outward, still, "nothing was found")
}

// A handle that stands by the found edge takes its feather along, at every zoom.
func TestFeathersArePulledByTheFoundEdge(t *testing.T) {
	s := square(100, 100, 240)
	s.Inner, s.Outer = 30, 30
	for _, zoom := range []float64{0.5, 1, 3} {
		vp := plain
		vp.Zoom, vp.X, vp.Y = zoom, 220, 220
		for _, k := range []PartKind{InnerFeather, OuterFeather} {
			h := Of(s, vp, 1)
			h.About([][]mask.Point{disc(220, 220, 80, 0)})
			at, _ := h.Place(k)
			x, y := vp.ToPicture(at.X, at.Y)
			track := trackOf(s)
			away := math.Hypot(x-220, y-220)
			by := 1 + 15/away // 15 px farther from the middle
			require.NoError(t, h.Grab(Part{Kind: k}, x, y).To(220+by*(x-220), 220+by*(y-220), false).Apply(track, 1, mask.Here))
			got := track.At(1)
			if k == InnerFeather {
				assert.InDelta(t, 15, got.Inner, 0.2)
			} else {
				assert.InDelta(t, 45, got.Outer, 0.2)
			}
		}
	}
}

// Where a vertex of the outline comes in the way of a feather's handle, a press takes the
// nearer of the two.
func TestAVertexInTheWayOfAFeather(t *testing.T) {
	s := square(100, 100, 240)
	s.Outer = 38
	contours := [][]mask.Point{disc(220, 220, 80, 0)}
	free := Of(s, plain, 1)
	free.About(contours)
	grip, _ := free.Place(OuterFeather)
	s.Points = append(s.Points, mask.Point{X: 110, Y: 110}, mask.Point{X: grip.X - 4, Y: grip.Y}, mask.Point{X: 105, Y: 110})
	h := Of(s, plain, 1)
	h.About(contours)
	at, _ := h.Place(OuterFeather)
	require.InDelta(t, 0, math.Hypot(at.X-grip.X, at.Y-grip.Y), 1, "the longest side is the first")
	assert.Equal(t, OuterFeather, h.Hit(at.X+1, at.Y).Kind)
	assert.Equal(t, Part{Kind: Vertex, Index: 5}, h.Hit(at.X-4, at.Y))
}
