package render

import (
	"image"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// addOther gives the study a matte of another pick, with masks and a soft edge.
func (s *fixture) addOther(name string) *study.Matte {
	m := s.study.AddMatte(name, selection.LCh)
	m.Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(selection.Range{From: 20, To: 55, Before: 8, After: 8})}
	w, h := s.picture.Size()
	s.study.AddMask(m, "part", study.Keep, s.blob(w/3, h/2, 0.3, 12))
	m.Edge.Soften.Fix(2)
	m.Edge.Grow.Fix(2)
	return m
}

func matteOf(t *testing.T, s *fixture, set *study.Settings) colour.Plane {
	t.Helper()
	p, err := New(s, 1, DefaultCache).Matte(t.Context(), Request{Study: s.study, Settings: set, Frame: 1})
	require.NoError(t, err)
	return p
}

// Each way to join is its formula, pixel by pixel, of the masked pick and the other's final
// matte; grow, soften and drop masks come after it.
func TestJoinedMattesAreTheirFormulas(t *testing.T) {
	s := newFixture(t, 320, 180)
	other := s.addOther("other")
	s.addMasks()
	s.setEdge(selection.Edge{Despeckle: 12, About: 0.5, Grow: 2, Soften: 1.5})
	b := matteOf(t, s, &other.Settings)
	masked := s.matte().Settings.Clone()
	masked.Edge.Grow.Fix(0)
	masked.Edge.Soften.Fix(0)
	a := matteOf(t, s, &masked)
	var left colour.Plane
	drops := []mask.Layer{s.matte().Masks[1].Layer(1, true)}
	require.NoError(t, mask.Compose(t.Context(), &left, drops, mask.Whole(320, 180), 1))
	for how, formula := range map[study.How]func(a, b float32) float32{
		study.Add:      func(a, b float32) float32 { return max(a, b) },
		study.Touching: func(a, b float32) float32 { return min(1, a+b) },
		study.TakeAway: func(a, b float32) float32 { return a * (1 - b) },
		study.Within:   func(a, b float32) float32 { return a * b },
	} {
		s.matte().Joins = []study.Join{{With: other.ID, How: how}}
		joined := colour.NewPlane(320, 180)
		for i := range joined.Pix {
			joined.Pix[i] = formula(a.Pix[i], b.Pix[i])
		}
		want := colour.Plane{}
		require.NoError(t, new(selection.Treatment).Apply(t.Context(), &want, &joined, nil, nil, selection.Edge{Grow: 2, About: 0.5, Soften: 1.5}, 1, 1))
		for i, v := range left.Pix {
			want.Pix[i] = min(want.Pix[i], v)
		}
		for _, workers := range []int{1, 2, 7} {
			for _, cacheBytes := range []int{1, DefaultCache} {
				got, err := New(s, workers, cacheBytes).Matte(t.Context(), s.request())
				require.NoError(t, err)
				requireSame(t, want, got, how, workers, cacheBytes)
			}
		}
		// Without grow and soften drop masks still bound what is taken in.
		bare := s.matte().Settings.Clone()
		bare.Edge.Grow.Fix(0)
		bare.Edge.Soften.Fix(0)
		got := matteOf(t, s, &bare)
		for i, v := range left.Pix {
			require.Equal(t, min(joined.Pix[i], v), got.Pix[i], how)
		}
	}
}

// A part of a joined matte has the bits of the whole, however far what it takes in reads;
// so has a proxy of the same part.
func TestRegionsOfJoinedMattes(t *testing.T) {
	s := newFixture(t, 960, 540)
	other, third := s.addOther("other"), s.addOther("third")
	other = s.study.Matte(other.ID)
	other.Edge.Soften.Fix(9)
	other.Joins = []study.Join{{With: third.ID, How: study.TakeAway}}
	third.Edge.Grow.Fix(-7)
	s.setEdge(selection.Edge{Despeckle: 12, Align: 4, About: 0.5, Grow: 3, Soften: 2})
	s.addMasks()
	s.matte().Joins = []study.Join{{With: other.ID, How: study.Touching}, {With: third.ID, How: study.Within}}
	for _, factor := range []int{1, 2} {
		q := s.request()
		q.Factor = factor
		whole, err := New(s, 2, DefaultCache).Matte(t.Context(), q)
		require.NoError(t, err)
		r := New(s, 2, DefaultCache)
		for _, part := range []image.Rectangle{image.Rect(100, 60, 260, 200), image.Rect(700, 300, 704, 304), image.Rect(0, 0, 64, 64)} {
			q.Region = part
			got, err := r.Matte(t.Context(), q)
			require.NoError(t, err)
			requireSame(t, partOf(whole, image.Rectangle{Min: part.Min.Div(factor), Max: part.Max.Div(factor)}), got, factor, part)
		}
	}
}

// A frame renders a matte once that several take in, and hasty requests smooth none.
func TestAJoinedMatteIsRenderedOnce(t *testing.T) {
	s := newFixture(t, 320, 180)
	other := s.addOther("other")
	third := s.addOther("third")
	other = s.study.Matte(other.ID)
	third.Joins = []study.Join{{With: other.ID, How: study.Add}}
	s.matte().Joins = []study.Join{{With: other.ID, How: study.Add}, {With: third.ID, How: study.Touching}}
	r := New(s, 1, DefaultCache)
	for _, m := range []*study.Matte{s.matte(), other, third} {
		_, err := r.Matte(t.Context(), Request{Study: s.study, Settings: &m.Settings, Frame: 1})
		require.NoError(t, err)
	}
	runs := r.Runs()
	assert.Equal(t, 1, runs[Decode])
	assert.Equal(t, 1, runs[Mask], "theirs have one shape")
	assert.Equal(t, 2, runs[Joined])
	assert.Equal(t, 2, runs[Soften], "of the other and of the third, once each")
	h := New(s, 1, DefaultCache)
	q := s.request()
	q.Factor, q.Hasty = 2, true
	_, err := h.Matte(t.Context(), q)
	require.NoError(t, err)
	assert.Zero(t, h.Runs()[SmoothNoise])
}

// shade is a grey picture that gets lighter from left to right, as a body's turn from the
// light: L* from 20 to 80.
func shade(w, h int) still {
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			c := colour.Lab{L: 20 + 60*float64(x)/float64(w-1)}.RGB()
			m.R.Row(y)[x], m.G.Row(y)[x], m.B.Row(y)[x] = float32(c.R), float32(c.G), float32(c.B)
		}
	}
	return still{m}
}

// Two parts of one thing share a soft border: one fades out where the other fades in. Where
// they are picked, and where masks divide them, the larger of the two is about one
// half along the border, a seam that shows under a grade and that softening leaves; their
// sum has none.
func TestTouchingLeavesNoSeamAndAddDoes(t *testing.T) {
	const w, h = 400, 60
	picks := func(s *study.Study) {
		for i, lit := range []selection.Range{{From: 60, To: 200, Before: 20}, {From: -100, To: 40, After: 20}} {
			s.Mattes[i].Pick.Limits[selection.Light] = study.Limit{Soft: study.ConstantRange(lit)}
		}
	}
	masks := func(s *study.Study) {
		for i, x := range [][2]float64{{200, w + 50}, {-50, 200}} {
			points := []mask.Point{{X: x[0], Y: -50}, {X: x[1], Y: -50}, {X: x[1], Y: h + 50}, {X: x[0], Y: h + 50}}
			s.AddMask(&s.Mattes[i], "part", study.Keep, study.MaskKey{Frame: 1, Points: points, Inner: 12, Outer: 12, Opacity: 1})
		}
	}
	for _, divided := range []struct {
		by  string
		set func(*study.Study)
	}{{"ranges of lightness", picks}, {"masks", masks}} {
		for _, soften := range []float64{0, 4} {
			s := study.New(study.Clip{Path: "shade", First: 1, Count: 1})
			s.AddMatte("lit", selection.LCh)
			s.AddMatte("shaded", selection.LCh)
			divided.set(s)
			lit := &s.Mattes[0]
			lit.Edge.Soften.Fix(soften)
			least := map[study.How]float32{}
			for _, how := range []study.How{study.Add, study.Touching} {
				lit.TakeIn(s.Mattes[1].ID, how)
				p, err := New(shade(w, h), 1, DefaultCache).Matte(t.Context(), Request{Study: s, Settings: &lit.Settings, Frame: 1})
				require.NoError(t, err)
				least[how] = slices.Min(p.Row(h / 2)[40 : w-40])
			}
			t.Logf("divided by %s, soften %v: least alpha along the border %.3f by add, %.3f by touching", divided.by, soften, least[study.Add], least[study.Touching])
			assert.Less(t, least[study.Add], float32(0.7))
			assert.Greater(t, least[study.Touching], float32(0.99))
		}
	}
}
