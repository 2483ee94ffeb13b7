package handles

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/ink"
	"halocline/app/view"
	"halocline/mask"
)

// plain shows source pixels as they are, the picture's corner at the view's.
var plain = view.Viewport{W: 800, H: 600, VW: 800, VH: 600, Zoom: 1, X: 400, Y: 300}

func square(x, y, size float64) mask.Shape {
	return mask.Shape{Opacity: 1, Points: []mask.Point{{X: x, Y: y}, {X: x + size, Y: y}, {X: x + size, Y: y + size}, {X: x, Y: y + size}}}
}

// star is a regular pentagram, which crosses itself.
func star(x, y, radius float64) mask.Shape {
	s := mask.Shape{Opacity: 1}
	for i := range 5 {
		sin, cos := math.Sincos((float64(i)*144 - 90) * math.Pi / 180)
		s.Points = append(s.Points, mask.Point{X: x + radius*cos, Y: y + radius*sin})
	}
	return s
}

func TestHit(t *testing.T) {
	s := square(200, 200, 200)
	s.Inner, s.Outer = 30, 15
	for _, scale := range []float64{1, 2} {
		h := Of(s, plain, scale)
		m := boxMargin * scale
		for _, tt := range []struct {
			what string
			x, y float64
			want Part
		}{
			{"first vertex", 200, 200, Part{Kind: Vertex}},
			{"beside the third", 405, 404, Part{Kind: Vertex, Index: 2}},
			{"outer feather, above the top", 200 + 200.0/3, 200 - max(15, featherLead*scale), Part{Kind: OuterFeather}},
			{"inner feather, under the top", 200 + 200.0/3, 230, Part{Kind: InnerFeather}},
			{"upper right corner", 400 + m, 200 - m, Part{Kind: Corner, Index: 1}},
			{"lower left corner", 200 - m, 400 + m, Part{Kind: Corner, Index: 3}},
			{"arc", 300, 200 - m - turnAbove*scale, Part{Kind: Turn}},
			{"cross", 302, 299, Part{Kind: Centre}},
			{"right edge", 403, 250, Part{Kind: Edge, Index: 1, U: 0.25}},
			{"last edge", 200, 350, Part{Kind: Edge, Index: 3, U: 0.25}},
			{"top side", 350, 200 - m, Part{Kind: Side, Index: 0}},
			{"left side", 200 - m, 320, Part{Kind: Side, Index: 3}},
			{"inside", 240, 330, Part{Kind: Inside}},
			{"far away", 700, 40, Part{}},
			{"between outline and box", 200 - m/2, 320, Part{}},
			{"no number", math.NaN(), 40, Part{}},
		} {
			got := h.Hit(tt.x, tt.y)
			assert.InDelta(t, tt.want.U, got.U, 1e-3, tt.what)
			got.U = tt.want.U
			assert.Equal(t, tt.want, got, "%s at scale %v", tt.what, scale)
		}
	}
}

// What lies on top of each other is found in the order of Hit.
func TestHitPriorities(t *testing.T) {
	s := square(300, 300, 0.5) // all of it under one vertex
	h := Of(s, plain, 1)
	assert.Equal(t, Vertex, h.Hit(300, 300).Kind)

	s = square(200, 200, 200)
	s.Outer = boxMargin // its handle stands on the box's upper side
	h = Of(s, plain, 1)
	assert.Equal(t, OuterFeather, h.Hit(267, 180).Kind)
	narrow := mask.Shape{Opacity: 1, Inner: 100, Points: []mask.Point{{X: 290, Y: 200}, {X: 310, Y: 200}, {X: 310, Y: 400}, {X: 290, Y: 400}}}
	h = Of(narrow, plain, 1) // its handle stands by the cross
	assert.Equal(t, InnerFeather, h.Hit(299, 300).Kind)

	flat := mask.Shape{Opacity: 1, Points: []mask.Point{{X: 200, Y: 300}, {X: 400, Y: 300}, {X: 350, Y: 300.5}}}
	assert.Equal(t, Centre, Of(flat, plain, 1).Hit(306, 296).Kind, "the cross, before the outline")
}

func TestCovers(t *testing.T) {
	h := Of(star(300, 300, 100), plain, 1)
	assert.True(t, h.Covers(300, 300), "the middle is wound around twice")
	assert.True(t, h.Covers(300, 197), "on a tip")
	assert.False(t, h.Covers(220, 220), "between tips")
	assert.False(t, (&Handles{}).Covers(0, 0))
}

// A point that is inserted where an edge was hit comes to lie there.
func TestHitEdgeIsWhereAPointComes(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	tried := 0
	for range 600 {
		s := anyShape(r)
		vp := plain.ZoomedAt(400, 300, math.Exp2(r.Float64()*4-2))
		h := Of(s, vp, 1)
		at := h.outline[r.IntN(len(h.outline))]
		part := h.Hit(at.X, at.Y)
		if part.Kind != Edge || part.U <= 0.01 || part.U >= 0.99 {
			continue
		}
		tried++
		track := trackOf(s)
		_, err := track.InsertPoint(0, part.Index, part.U)
		require.NoError(t, err)
		p := track.Keys[0].Points[part.Index+1]
		x, y := vp.ToScreen(p.X, p.Y)
		assert.InDelta(t, 0, math.Hypot(x-at.X, y-at.Y), 0.3, "%v: edge %d at %v", s, part.Index, part.U)
	}
	assert.Greater(t, tried, 100)
}

// The handles of the feathers stand on their sides of the edge, off the outline
// even without a feather, and in one place while another part moves.
func TestFeatherHandles(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 200 {
		s := anyShape(r)
		s.Inner, s.Outer = 0, 0
		h := Of(s, plain, 1)
		in, _ := h.Place(InnerFeather)
		out, _ := h.Place(OuterFeather)
		assert.InDelta(t, featherLead, away(in, h.stand.at), 1e-6)
		assert.InDelta(t, featherLead, away(out, h.stand.at), 1e-6)
		assert.True(t, h.fills(beyond(h.stand.at, h.stand.out, -probe)), "%v", s)
		assert.False(t, h.fills(beyond(h.stand.at, h.stand.out, probe)), "%v", s)
	}

	for _, s := range []mask.Shape{swimmer(), square(200, 200, 200), star(300, 300, 150)} {
		s.Inner, s.Outer = 21, 35
		h := Of(s, plain, 1)
		in, _ := h.Place(InnerFeather)
		out, _ := h.Place(OuterFeather)
		assert.InDelta(t, 21+35, away(in, out), 1e-6)
		assert.True(t, h.fills(beyond(h.stand.at, h.stand.out, -2)))
		assert.False(t, h.fills(beyond(h.stand.at, h.stand.out, 2)))

		turned := s // the other way round
		turned.Points = []mask.Point{s.Points[1], s.Points[0]}
		for i := len(s.Points) - 1; i > 1; i-- {
			turned.Points = append(turned.Points, s.Points[i])
		}
		o := Of(turned, plain, 1)
		assert.True(t, o.fills(beyond(o.stand.at, o.stand.out, -2)))
		assert.False(t, o.fills(beyond(o.stand.at, o.stand.out, 2)))

		bent := s
		bent.Points = append([]mask.Point{}, s.Points...)
		bent.Points[3].Y += 9
		if len(s.Points) > 4 { // away from the first side and its neighbours
			there, _ := Of(bent, plain, 1).Place(OuterFeather)
			assert.InDelta(t, 0, away(out, there), 1, "moved while another side did")
		}
	}
}

// Above the view nobody can press.
func TestArcStaysInTheView(t *testing.T) {
	at, ok := Of(square(200, 5, 100), plain, 1).Place(Turn)
	assert.True(t, ok)
	assert.Equal(t, ink.Pt{X: 250, Y: 105 + boxMargin + turnAbove}, at)
	at, _ = Of(square(200, 300, 100), plain, 1).Place(Turn)
	assert.Equal(t, ink.Pt{X: 250, Y: 300 - boxMargin - turnAbove}, at)
	for y := range 80 { // beside a feather's handle
		s := square(200, 300, 30)
		s.Outer = float64(y)
		h := Of(s, plain, 1)
		at, _ := h.Place(Turn)
		assert.Equal(t, Turn, h.Hit(at.X, at.Y).Kind, "feather %d", y)
		assert.InDelta(t, 215, at.X, 2*gripReach+6)
	}
	_, ok = Of(square(200, 5, 100), plain, 1).Place(Vertex)
	assert.False(t, ok)
}

// anyShape is a random shape in the middle of a picture, often one that crosses
// itself.
func anyShape(r *rand.Rand) mask.Shape {
	s := mask.Shape{Rounded: r.IntN(2) == 0, Inner: 30 * r.Float64(), Outer: 30 * r.Float64(), Opacity: 1}
	for range 3 + r.IntN(8) {
		s.Points = append(s.Points, mask.Point{X: 200 + 400*r.Float64(), Y: 150 + 300*r.Float64()})
	}
	return s
}

func trackOf(s mask.Shape) *mask.Track {
	k := mask.Key{Frame: 1, Points: append([]mask.Point{}, s.Points...), Inner: s.Inner, Outer: s.Outer, Opacity: s.Opacity}
	return &mask.Track{Rounded: s.Rounded, Keys: []mask.Key{k}}
}
