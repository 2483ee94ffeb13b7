package render

import (
	"context"
	"image"
	"math"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/scene"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A still is a clip whose every frame is one picture.
type still struct{ picture *colour.Image }

func (s still) Frame(context.Context, int) (*colour.Image, error) { return s.picture, nil }

// A fixture is the demo scene with a study of it: a base, and a matte of the skin
// with a fitted pick, masks and every stage of an edge treatment.
type fixture struct {
	still
	frame *scene.Frame
	study *study.Study
}

var drawn sync.Map // of *scene.Frame, by size

func sceneFrame(t testing.TB, w, h int) *scene.Frame {
	size := image.Pt(w, h)
	if f, ok := drawn.Load(size); ok {
		return f.(*scene.Frame)
	}
	f, err := scene.Render(t.Context(), 1, 1, w, h, 0)
	require.NoError(t, err)
	drawn.Store(size, f)
	return f
}

var fitted sync.Map // of selection.Pick, by size

// fittedPick returns the pick that a study's dabs ask for.
func fittedPick(t testing.TB, f *scene.Frame, s *study.Study) selection.Pick {
	w, h := f.Image.Size()
	if p, ok := fitted.Load(image.Pt(w, h)); ok {
		return p.(selection.Pick)
	}
	samples, err := New(still{f.Image}, 0, DefaultCache).DabSamples(t.Context(), s, &s.Mattes[0])
	require.NoError(t, err)
	fit, err := selection.Fit(samples, selection.LCh)
	require.NoError(t, err)
	fitted.Store(image.Pt(w, h), fit.Pick)
	return fit.Pick
}

// newFixture returns the scene at a size, with the study's default edge and no
// masks.
func newFixture(t testing.TB, w, h int) *fixture {
	f := sceneFrame(t, w, h)
	s := study.New(study.Clip{Path: "scene", First: 1, Count: 100, Noise: colour.Noise(f.Image)})
	s.Base.Exposure.Fix(0.2)
	s.Base.Gain[0].Fix(1.3)
	m := s.AddMatte("skin", selection.LCh)
	dabs, err := f.Dabs(scene.Skin, 1)
	require.NoError(t, err)
	for _, d := range dabs.Keep {
		s.AddDab(m, study.Dab{Frame: 1, X: d.X, Y: d.Y, Radius: d.Radius})
	}
	for _, d := range dabs.Drop {
		s.AddDab(m, study.Dab{Frame: 1, X: d.X, Y: d.Y, Radius: d.Radius, Kind: study.Drop})
	}
	m.Pick = study.ConstantPick(fittedPick(t, f, s), true)
	return &fixture{still{f.Image}, f, s}
}

func (s *fixture) matte() *study.Matte { return &s.study.Mattes[0] }

// request asks for the whole matte.
func (s *fixture) request() Request {
	return Request{Study: s.study, Settings: &s.matte().Settings, Frame: 1}
}

// addMasks gives the matte two masks: a large keep mask, and one to drop.
func (s *fixture) addMasks() {
	w, h := s.picture.Size()
	s.study.AddMask(s.matte(), "figure", study.Keep, s.blob(w/2, h/2, 0.42, 24))
	s.study.AddMask(s.matte(), "arm", study.Drop, s.blob(w*5/8, h*5/8, 0.12, 24)).Rounded = true
}

// blob is a key with n points about a place, feathered by 1/60 of the height.
func (s *fixture) blob(x, y int, share float64, n int) study.MaskKey {
	w, h := s.picture.Size()
	k := study.MaskKey{Frame: 1, Inner: float64(h) / 60, Outer: float64(h) / 60, Opacity: 1}
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		r := share * (1 + 0.2*math.Sin(5*a))
		k.Points = append(k.Points, mask.Point{X: float64(x) + float64(w)*r*math.Cos(a), Y: float64(y) + float64(h)*r*math.Sin(a)})
	}
	return k
}

// setEdge makes the matte's edge constant.
func (s *fixture) setEdge(e selection.Edge) {
	to := &s.matte().Edge
	to.Despeckle.Fix(e.Despeckle)
	to.Align.Fix(e.Align)
	to.Harden.Fix(e.Harden)
	to.About.Fix(e.About)
	to.Grow.Fix(e.Grow)
	to.Soften.Fix(e.Soften)
}

var everyStage = selection.Edge{Despeckle: 12, Align: 6, Harden: 0.3, About: 0.45, Grow: 1.5, Soften: 1.2}

// requireSame demands the same bits.
func requireSame(t testing.TB, want, got colour.Plane, what ...any) {
	t.Helper()
	require.Equal(t, [2]int{want.W, want.H}, [2]int{got.W, got.H}, what...)
	for i, v := range want.Pix {
		if math.Float32bits(v) != math.Float32bits(got.Pix[i]) {
			require.Failf(t, "planes differ", "%v: pixel (%d,%d) is %v, want %v", what, i%want.W, i/want.W, got.Pix[i], v)
		}
	}
}

// partOf returns the part r of a plane, by single look-ups.
func partOf(p colour.Plane, r image.Rectangle) colour.Plane {
	out := colour.NewPlane(r.Dx(), r.Dy())
	for y := range out.H {
		for x := range out.W {
			out.Row(y)[x] = p.At(r.Min.X+x, r.Min.Y+y)
		}
	}
	return out
}

func planesOf(m *colour.Image) []colour.Plane { return []colour.Plane{m.R, m.G, m.B} }
