package handles

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/view"
	"halocline/mask"
)

// pulled is a shape after a drag of a part by source pixels, from where that
// stands on the screen.
func pulled(t *testing.T, s mask.Shape, vp view.Viewport, part Part, x, y, dx, dy float64, steady bool) mask.Shape {
	t.Helper()
	pull := Of(s, vp, 1).Grab(part, x, y)
	track := trackOf(s)
	require.NoError(t, pull.To(x+dx, y+dy, steady).Apply(track, 1, mask.Here))
	return track.At(1)
}

var parts = []Part{{Kind: Vertex, Index: 2}, {Kind: Edge, Index: 2}, {Kind: InnerFeather}, {Kind: OuterFeather}, {Kind: Corner, Index: 1},
	{Kind: Side, Index: 2}, {Kind: Turn}, {Kind: Centre}, {Kind: Inside}}

// A drag that comes back to where it began leaves the shape as it was, wherever
// it went.
func TestPullThereAndBack(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		s := anyShape(r)
		for _, part := range parts {
			pull := Of(s, plain, 1).Grab(part, 300, 200)
			track := trackOf(s)
			for range 3 {
				away := trackOf(s)
				require.NoError(t, pull.To(900*r.Float64(), 700*r.Float64(), r.IntN(2) == 0).Apply(away, 1, mask.Here))
			}
			c := pull.To(300, 200, r.IntN(2) == 0)
			assert.True(t, c.Idle(), "%v", part)
			require.NoError(t, c.Apply(track, 1, mask.Here))
			assert.Equal(t, s, track.At(1), "%v", part)
		}
	}
}

func TestPullMoves(t *testing.T) {
	s := square(200, 200, 100)
	got := pulled(t, s, plain, Part{Kind: Vertex, Index: 2}, 300, 300, 7, -9, false)
	assert.Equal(t, []mask.Point{{X: 200, Y: 200}, {X: 300, Y: 200}, {X: 307, Y: 291}, {X: 200, Y: 300}}, got.Points)
	got = pulled(t, s, plain, Part{Kind: Edge, Index: 3}, 200, 250, -5, 1, false)
	assert.Equal(t, []mask.Point{{X: 195, Y: 201}, {X: 300, Y: 200}, {X: 300, Y: 300}, {X: 195, Y: 301}}, got.Points)
	for _, k := range []PartKind{Centre, Inside} {
		got = pulled(t, s, plain, Part{Kind: k}, 250, 250, 3, 4, false)
		assert.Equal(t, moved(s.Points, 3, 4), got.Points)
	}
}

// A drag of the arc is mask.Track.Turn about the box's middle by the angle that
// the pointer went around it.
func TestPullTurns(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 100 {
		s := anyShape(r)
		h := Of(s, plain, 1)
		at, _ := h.Place(Turn)
		m := h.box.centre()
		degrees := math.Round(340*r.Float64()) - 170
		sin, cos := math.Sincos(degrees * math.Pi / 180)
		dx, dy := at.X-m.X, at.Y-m.Y
		x, y := m.X+cos*dx-sin*dy, m.Y+sin*dx+cos*dy

		got, want := trackOf(s), trackOf(s)
		require.NoError(t, h.Grab(Part{Kind: Turn}, at.X, at.Y).To(x, y, false).Apply(got, 1, mask.Here))
		want.Turn(1, mask.Here, m, degrees)
		samePoints(t, want.At(1).Points, got.At(1).Points, 1e-6)

		got, want = trackOf(s), trackOf(s) // with steady
		require.NoError(t, h.Grab(Part{Kind: Turn}, at.X, at.Y).To(x, y, true).Apply(got, 1, mask.Here))
		want.Turn(1, mask.Here, m, 15*math.Round(degrees/15))
		if math.Mod(math.Abs(degrees), 15) != 7.5 {
			samePoints(t, want.At(1).Points, got.At(1).Points, 1e-6)
		}
	}
}

func samePoints(t *testing.T, want, got []mask.Point, tolerance float64) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		assert.InDelta(t, want[i].X, got[i].X, tolerance, "point %d", i)
		assert.InDelta(t, want[i].Y, got[i].Y, tolerance, "point %d", i)
	}
}

// A corner or a side goes with the pointer, and the opposite one stays.
func TestPullScales(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 200 {
		s := anyShape(r)
		s.Rounded = false // a curve through stretched points is not the stretched curve
		was := Of(s, plain, 1).box
		dx, dy := 80*r.Float64()-40, 80*r.Float64()-40
		if was.high.X-was.low.X < 50 || was.high.Y-was.low.Y < 50 {
			continue
		}
		for i := range 4 {
			want := was
			if i == 1 || i == 2 {
				want.high.X += dx
			} else {
				want.low.X += dx
			}
			if i >= 2 {
				want.high.Y += dy
			} else {
				want.low.Y += dy
			}
			sameBox(t, want, Of(pulled(t, s, plain, Part{Kind: Corner, Index: i}, 10, 10, dx, dy, false), plain, 1).box)
		}
		for i := range 4 {
			want := was
			*[]*float64{&want.low.Y, &want.high.X, &want.high.Y, &want.low.X}[i] += []float64{dy, dx, dy, dx}[i]
			sameBox(t, want, Of(pulled(t, s, plain, Part{Kind: Side, Index: i}, 10, 10, dx, dy, i%2 == 0), plain, 1).box)
		}
	}
}

func sameBox(t *testing.T, want, got box) {
	t.Helper()
	samePoints(t, []mask.Point{want.low, want.high}, []mask.Point{got.low, got.high}, 1e-6)
}

// With steady a corner keeps the proportions: it goes along the diagonal.
func TestPullScalesInProportion(t *testing.T) {
	s := mask.Shape{Opacity: 1, Points: []mask.Point{{X: 100, Y: 100}, {X: 300, Y: 100}, {X: 300, Y: 200}, {X: 100, Y: 200}}}
	// The pointer's foot on the diagonal (200, 100) is that of (20, -40): no way.
	got := pulled(t, s, plain, Part{Kind: Corner, Index: 2}, 300, 200, 20, -40, true)
	samePoints(t, s.Points, got.Points, 1e-9)
	got = pulled(t, s, plain, Part{Kind: Corner, Index: 2}, 300, 200, 100, 50, true)
	sameBox(t, box{mask.Point{X: 100, Y: 100}, mask.Point{X: 400, Y: 250}}, Of(got, plain, 1).box)
	got = pulled(t, s, plain, Part{Kind: Corner, Index: 0}, 100, 100, -100, -50, true)
	sameBox(t, box{mask.Point{X: 0, Y: 50}, mask.Point{X: 300, Y: 200}}, Of(got, plain, 1).box)
}

// However far it goes, a box keeps a pixel, or what it had if that is less.
func TestPullDoesNotFlatten(t *testing.T) {
	for _, size := range []float64{100, 0.3} {
		s := square(200, 200, size)
		for i := range 4 {
			b := Of(pulled(t, s, plain, Part{Kind: Corner, Index: i}, 200, 200, 5000*math.Copysign(1, 1.5-float64(i%3)), -5000, false), plain, 1).box
			assert.GreaterOrEqual(t, b.high.X-b.low.X, min(size, least)-1e-6)
			assert.GreaterOrEqual(t, b.high.Y-b.low.Y, min(size, least)-1e-6)
		}
	}
	upright := mask.Shape{Opacity: 1, Points: []mask.Point{{X: 200, Y: 100}, {X: 200, Y: 300}, {X: 200, Y: 200}}} // no width to stretch
	got := pulled(t, upright, plain, Part{Kind: Corner, Index: 2}, 220, 320, 50, 100, false)
	sameBox(t, box{mask.Point{X: 200, Y: 100}, mask.Point{X: 200, Y: 400}}, Of(got, plain, 1).box)
}

// A feather's handle that is pulled to a distance from the outline gives that.
func TestPullFeathers(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for range 200 {
		s := anyShape(r)
		vp := plain.ZoomedAt(400, 300, math.Exp2(r.Float64()*4-2))
		lead := featherLead / vp.Zoom
		s.Inner, s.Outer = lead+40*r.Float64(), lead+40*r.Float64()
		h := Of(s, vp, 1)
		stand := mask.Point{}
		stand.X, stand.Y = vp.ToPicture(h.stand.at.X, h.stand.at.Y)
		d := 60 * r.Float64()
		got := pulledTo(t, s, vp, OuterFeather, stand.X+d*h.stand.out.X, stand.Y+d*h.stand.out.Y)
		assert.InDelta(t, d, got.Outer, 1e-6)
		assert.Equal(t, s.Inner, got.Inner)
		got = pulledTo(t, s, vp, InnerFeather, stand.X-d*h.stand.out.X, stand.Y-d*h.stand.out.Y)
		assert.InDelta(t, d, got.Inner, 1e-6)
		assert.Equal(t, s.Outer, got.Outer)
		got = pulledTo(t, s, vp, OuterFeather, stand.X-d*h.stand.out.X, stand.Y-d*h.stand.out.Y)
		assert.Zero(t, got.Outer, "over the outline")
	}
}

// pulledTo is a shape after a drag of a handle from its middle to a place in
// source pixels.
func pulledTo(t *testing.T, s mask.Shape, vp view.Viewport, k PartKind, x, y float64) mask.Shape {
	t.Helper()
	h := Of(s, vp, 1)
	at, ok := h.Place(k)
	require.True(t, ok)
	fromX, fromY := vp.ToPicture(at.X, at.Y)
	track := trackOf(s)
	require.NoError(t, h.Grab(Part{Kind: k}, fromX, fromY).To(x, y, false).Apply(track, 1, mask.Here))
	return track.At(1)
}

// From no feather, the handle stands a lead off the outline: there the feather
// is 0, and a lead farther on it has caught up. It never jumps or goes back.
func TestPullFeatherFromNothing(t *testing.T) {
	s := square(220, 200, 90) // its handles stand on the top at 250
	assert.Zero(t, pulledTo(t, s, plain, OuterFeather, 250, 200-featherLead).Outer)
	last := 0.0
	for d := float64(featherLead); d < 60; d += 0.5 {
		got := pulledTo(t, s, plain, OuterFeather, 250, 200-d).Outer
		assert.GreaterOrEqual(t, got, last)
		assert.Less(t, got-last, 1.01)
		if d >= 2*featherLead {
			assert.InDelta(t, d, got, 1e-6)
		}
		last = got
	}
	s.Outer = 5 // inward from there it reaches 0 on the outline
	assert.InDelta(t, 2.5, pulledTo(t, s, plain, OuterFeather, 250, 200-featherLead/2.0).Outer, 1e-9)
	assert.Zero(t, pulledTo(t, s, plain, OuterFeather, 250, 200).Outer)
}

// In other keys a feather changes by as much, and the other one not at all.
func TestFeatherInEveryKey(t *testing.T) {
	track := trackOf(square(200, 200, 100))
	track.Keys[0].Inner, track.Keys[0].Outer = 3, 20
	track.SetKey(mask.Key{Frame: 9, Points: square(50, 50, 10).Points, Inner: 4, Outer: 2, Opacity: 1})
	h := Of(track.At(1), plain, 1)
	at, _ := h.Place(OuterFeather)
	pull := h.Grab(Part{Kind: OuterFeather}, at.X, at.Y)
	for _, tt := range []struct{ dy, first, second float64 }{{-6, 26, 8}, {5, 15, 0}} {
		got := track.Clone()
		require.NoError(t, pull.To(at.X, at.Y+tt.dy, false).Apply(&got, 1, mask.Everywhere))
		assert.InDelta(t, tt.first, got.Keys[0].Outer, 1e-9)
		assert.InDelta(t, tt.second, got.Keys[1].Outer, 1e-9)
		assert.Equal(t, []float64{3, 4}, []float64{got.Keys[0].Inner, got.Keys[1].Inner})
	}
}

func TestNudge(t *testing.T) {
	s := square(200, 200, 100)
	track := trackOf(s)
	require.NoError(t, Nudge(nil, 0, 10).Apply(track, 1, mask.Here))
	assert.Equal(t, moved(s.Points, 0, 10), track.At(1).Points)
	require.NoError(t, Nudge([]int{3}, -0.1, 0).Apply(track, 1, mask.Here))
	assert.InDelta(t, 199.9, track.At(1).Points[3].X, 1e-9)
	assert.EqualError(t, Nudge([]int{4}, 1, 0).Apply(track, 1, mask.Here), "mask: there is no point 5, want 1 to 4")
	assert.Equal(t, []float64{1, 10, 0.1}, []float64{NudgeLength(false, false), NudgeLength(true, false), NudgeLength(false, true)})
}

func TestChangesRefused(t *testing.T) {
	s := square(200, 200, 100)
	c := Of(s, plain, 1).Grab(Part{Kind: Edge, Index: 3}, 200, 250).To(210, 250, false)
	track := trackOf(star(300, 300, 50))
	was := track.Clone()
	assert.EqualError(t, c.Apply(track, 1, mask.Here), "handles: the mask has 5 vertices, want 4 as when it was grabbed")
	assert.Equal(t, was, *track)

	track = trackOf(square(1e9-10, 0, 5)) // at the end of what masks know
	err := Nudge(nil, 100, 0).Apply(track, 1, mask.Here)
	assert.ErrorContains(t, err, "want coordinates within")
	assert.ErrorContains(t, Nudge(nil, 1, 0).Apply(&mask.Track{}, 1, mask.Here), "no key")

	far := trackOf(s) // a change of nothing makes no key
	require.NoError(t, Change{}.Apply(far, 7, mask.Here))
	require.NoError(t, Nudge([]int{1}, 0, 0).Apply(far, 7, mask.Here))
	assert.Len(t, far.Keys, 1)
	assert.True(t, Of(s, plain, 1).Grab(Part{Kind: Centre}, 1, 1).To(math.NaN(), 3, false).Idle())
}
