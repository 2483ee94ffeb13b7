package settle

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/motion"
	"halocline/colour"
)

func TestWeights(t *testing.T) {
	for miss := float32(0); miss < farthest+1; miss += 0.00137 {
		want := math.Exp(-float64(miss))
		if miss >= farthest {
			want = 0
		}
		require.InDelta(t, want, weight(miss), 3e-6, "%v", miss)
	}
	assert.Equal(t, float32(1), weight(0))
	assert.Zero(t, weight(float32(math.NaN())))
	assert.Less(t, math.Exp(-farthest), 1e-5, "what is cut off")
}

// A matte that moved along as its picture did stays as it is, and one of three that flickers is
// drawn to the others.
func TestMeanFollowsTheMotion(t *testing.T) {
	const w, h = 160, 120
	own, sides := moved(t, w, h, 4, -3)
	var dst colour.Plane
	require.NoError(t, Mean(t.Context(), &dst, own, sides, 1, 2))
	for i, a := range own.Pix {
		require.InDelta(t, a, dst.Pix[i], 0.06)
	}
	faint := colour.NewPlane(w, h)
	for i, a := range own.Pix {
		faint.Pix[i] = a / 2
	}
	require.NoError(t, Mean(t.Context(), &dst, part(faint), sides, 1, 2))
	assert.InDelta(t, (0.5+1+1)/3, dst.At(w/2, h/2), 0.01)
	require.NoError(t, Mean(t.Context(), &dst, part(faint), sides, 0.25, 2))
	assert.InDelta(t, (0.5+0.25+0.25)/1.5, dst.At(w/2, h/2), 0.01)
	require.NoError(t, Mean(t.Context(), &dst, part(faint), nil, 1, 2))
	assert.Equal(t, faint.Pix, dst.Pix, "nothing beside")
}

// Tiles that stay are only a short cut.
func TestTilesChangeNothing(t *testing.T) {
	own, sides := moved(t, 150, 90, 5, 2)
	var dst colour.Plane
	require.NoError(t, Mean(t.Context(), &dst, own, sides, 0.8, 1))
	m := mean{own: own, sides: sides, share: 0.8}
	var r room
	r.reshape(len(sides))
	for y := range own.H {
		for x := 0; x < own.W; x += tileSide {
			row := append([]float32{}, own.Row(y)[x:min(x+tileSide, own.W)]...)
			m.settle(row, x, y, &r)
			require.Equal(t, row, dst.Row(y)[x:x+len(row)], "(%d,%d)", x, y)
		}
	}
}

// What Reach leaves out of a side is never read.
func TestReachIsEnough(t *testing.T) {
	const w, h = 200, 140
	_, sides := moved(t, w, h, 6, -4)
	own := part(disc(w, h, 90, 60, 30, 60))
	whole := image.Rect(0, 0, w, h)
	var all colour.Plane
	require.NoError(t, Mean(t.Context(), &all, own, sides, 1, 1))
	for _, r := range []image.Rectangle{image.Rect(40, 30, 90, 77), image.Rect(0, 0, 20, 20), image.Rect(190, 100, 200, 140)} {
		mine, cut := partOf(own, r), make([]Side, len(sides))
		for i, s := range sides {
			reach, err := Reach(t.Context(), r, whole, 1, s.To, 2)
			require.NoError(t, err)
			assert.True(t, reach.In(whole))
			cut[i] = s
			cut[i].Matte = partOf(s.Matte, reach)
		}
		var got colour.Plane
		require.NoError(t, Mean(t.Context(), &got, mine, cut, 1, 1))
		require.Equal(t, partOf(part(all), r).Pix, got.Pix, r)
	}
}

func partOf(p motion.Part, r image.Rectangle) motion.Part {
	out := motion.Part{Plane: colour.NewPlane(r.Dx(), r.Dy()), Min: r.Min, Step: p.Step}
	for y := range out.H {
		copy(out.Row(y), p.Row(r.Min.Y + y)[r.Min.X:r.Max.X])
	}
	return out
}

func TestCuts(t *testing.T) {
	const w, h = 320, 180
	here := texture(w, h, 0, 0)
	mapped := func(of func(i int) float32) colour.Plane {
		p := colour.NewPlane(w, h)
		for i := range p.Pix {
			p.Pix[i] = of(i)
		}
		return p
	}
	elsewhere := colour.NewPlane(w, h)
	for y := range h {
		for x := range w {
			elsewhere.Row(y)[x] = float32(0.5 + 0.2*math.Sin(float64(x*y)/900) + 0.1*math.Cos(float64(x-2*y)/5))
		}
	}
	for name, c := range map[string]struct {
		luma colour.Plane
		cut  bool
	}{
		"the same":             {here, false},
		"moved":                {texture(w, h, 7, 4), false},
		"darker":               {mapped(func(i int) float32 { return here.Pix[i] / 2 }), false},
		"brighter":             {mapped(func(i int) float32 { return here.Pix[i] + 0.2 }), false},
		"another place":        {elsewhere, true},
		"black":                {mapped(func(int) float32 { return 0 }), true},
		"even water, noisy":    {mapped(func(i int) float32 { return 0.5 + 0.01*float32(math.Sin(float64(i*7919%10007))) }), true},
		"the same, with noise": {mapped(func(i int) float32 { return here.Pix[i] + 0.02*float32(math.Sin(float64(i*7919%10007))) }), false},
	} {
		p, q := pictureOf(t, here), pictureOf(t, c.luma)
		assert.Equal(t, c.cut, IsCut(p, q, flowOf(t, p, q), flowOf(t, q, p)), name)
		assert.Equal(t, c.cut, IsCut(q, p, flowOf(t, q, p), flowOf(t, p, q)), "%s, the other way", name)
	}
}
