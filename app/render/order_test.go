package render

import (
	"context"
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

// plainMatte is the order of stages as the design has it, without a cache, and
// the edge treatment in one go.
func plainMatte(t *testing.T, s *fixture) colour.Plane {
	at := s.matte().At(1)
	var smoothed, based colour.Image
	require.NoError(t, colour.SmoothNoise(t.Context(), &smoothed, s.picture, s.study.Clip.Noise, 1))
	require.NoError(t, s.study.Base.At(1).Apply(t.Context(), &based, &smoothed, 1))
	read := &based
	if !at.Smooth {
		read = new(colour.Image)
		require.NoError(t, s.study.Base.At(1).Apply(t.Context(), read, s.picture, 1))
	}
	var w selection.Weigher
	w.Set(at.Pick)
	var pick, edge, masks colour.Plane
	var codes selection.Codes
	require.NoError(t, codes.Convert(t.Context(), read, selection.Pick{Model: s.matte().Pick.Model}, 1))
	require.NoError(t, w.Matte(t.Context(), &pick, &codes, 1))
	width, height := s.picture.Size()
	require.NoError(t, mask.Compose(t.Context(), &masks, at.Masks, mask.Whole(width, height), 1))
	var treatment selection.Treatment
	onPick, onWhole := at.Edge, at.Edge
	onPick.Grow, onPick.Soften = 0, 0
	onWhole.Despeckle, onWhole.Align, onWhole.Harden, onWhole.About = 0, 0, 0, 0.5
	require.NoError(t, treatment.Apply(t.Context(), &edge, &pick, &based, &masks, onPick, 1, 1))
	for i, m := range masks.Pix {
		edge.Pix[i] *= m
	}
	if len(onWhole.Stages()) == 0 {
		return edge
	}
	var whole, left colour.Plane
	require.NoError(t, treatment.Apply(t.Context(), &whole, &edge, nil, nil, onWhole, 1, 1))
	drops := slices.DeleteFunc(slices.Clone(at.Masks), func(l mask.Layer) bool { return !l.Drop })
	require.NoError(t, mask.Compose(t.Context(), &left, drops, mask.Whole(width, height), 1))
	for i, v := range left.Pix {
		whole.Pix[i] = min(whole.Pix[i], v)
	}
	return whole
}

func TestMatteIsTheOrderOfStages(t *testing.T) {
	for name, change := range map[string]func(s *fixture){
		"default edge":       func(s *fixture) {},
		"no edge":            func(s *fixture) { s.setEdge(selection.NeutralEdge()) },
		"every stage":        func(s *fixture) { s.setEdge(everyStage) },
		"masks":              func(s *fixture) { s.addMasks() },
		"masks, every stage": func(s *fixture) { s.addMasks(); s.setEdge(everyStage) },
		"masks, grown":       func(s *fixture) { s.addMasks(); s.setEdge(selection.Edge{Grow: 4, About: 0.5}) },
		"masks, shrunk":      func(s *fixture) { s.addMasks(); s.setEdge(selection.Edge{Grow: -4, Despeckle: 9, About: 0.5}) },
		"keep masks, soft": func(s *fixture) {
			s.addMasks()
			s.matte().Masks = s.matte().Masks[:1]
			s.setEdge(selection.Edge{Soften: 3, About: 0.5})
		},
		"not smoothed, align": func(s *fixture) { s.matte().Pick.Smooth = false; s.setEdge(everyStage) },
		"neutral base":        func(s *fixture) { s.study.Base = study.NewBase() },
		"a mask that is off":  func(s *fixture) { s.addMasks(); s.matte().Masks[0].Off = true },
		"hsl":                 func(s *fixture) { s.matte().Pick = study.NewSettings(selection.HSL).Pick },
	} {
		s := newFixture(t, 320, 180)
		change(s)
		want := plainMatte(t, s)
		for _, workers := range []int{1, 2, 7} {
			for _, cacheBytes := range []int{1, DefaultCache} {
				got, err := New(s, workers, cacheBytes).Matte(t.Context(), s.request())
				require.NoError(t, err)
				requireSame(t, want, got, name, workers, cacheBytes)
			}
		}
	}
}

func TestParts(t *testing.T) {
	s := newFixture(t, 320, 180)
	r := New(s, 0, DefaultCache)
	all, err := r.Mask(t.Context(), s.request())
	require.NoError(t, err)
	assert.EqualValues(t, 1, min(all.Pix[0], all.Pix[len(all.Pix)-1]), "no mask is everything")
	pick, err := r.Pick(t.Context(), s.request())
	require.NoError(t, err)
	s.setEdge(selection.NeutralEdge())
	matte, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	requireSame(t, pick, matte, "no mask, no edge")
	s.addMasks()
	masks, err := r.Mask(t.Context(), s.request())
	require.NoError(t, err)
	matte, err = r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	for i, v := range matte.Pix {
		require.Equal(t, pick.Pix[i]*masks.Pix[i], v)
	}

	shown, err := r.Shown(t.Context(), Request{Study: s.study, Frame: 1})
	require.NoError(t, err)
	var want colour.Image
	require.NoError(t, s.study.Base.At(1).Apply(t.Context(), &want, s.picture, 1))
	requireSame(t, want.R, shown.R)
	picked, err := r.Picked(t.Context(), Request{Study: s.study, Frame: 1})
	require.NoError(t, err)
	assert.NotEqual(t, shown.R.Pix, picked.R.Pix, "what is picked is smoothed")
}

func TestWrongRequests(t *testing.T) {
	s := newFixture(t, 320, 180)
	r := New(s, 0, DefaultCache)
	q := s.request()
	q.Factor = -1
	_, err := r.Matte(t.Context(), q)
	assert.EqualError(t, err, "render: proxy factor is -1, want 1 to 1024")
	q = s.request()
	q.Region = image.Rect(320, 0, 330, 10)
	_, err = r.Matte(t.Context(), q)
	assert.EqualError(t, err, "render: region (320,0)-(330,10) lies outside the frame, want a part of 320 x 180")
	q.Settings = nil
	assert.Panics(t, func() { _, _ = r.Matte(t.Context(), q) })
}

func TestStopsWithItsContext(t *testing.T) {
	s := newFixture(t, 320, 180)
	s.addMasks()
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	r := New(s, 0, DefaultCache)
	for _, stage := range []func() error{
		func() error { _, err := r.Matte(ctx, s.request()); return err },
		func() error { _, err := r.Mask(ctx, s.request()); return err },
		func() error { _, err := r.Shown(ctx, s.request()); return err },
		func() error { _, err := r.Reasons(ctx, s.request()); return err },
		func() error { _, _, err := r.Cutout(ctx, s.request()); return err },
	} {
		assert.ErrorIs(t, stage(), context.Canceled)
	}
	_, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err, "what was stopped is not kept")
}

func TestCutoutIsThePictureAndTheMatte(t *testing.T) {
	s := newFixture(t, 320, 180)
	r := New(s, 2, DefaultCache)
	picture, alpha, err := r.Cutout(t.Context(), s.request())
	require.NoError(t, err)
	shown, err := r.Shown(t.Context(), s.request())
	require.NoError(t, err)
	matte, err := r.Matte(t.Context(), s.request())
	require.NoError(t, err)
	requireSame(t, matte, alpha)
	requireSame(t, shown.G, picture.G, "not multiplied")
}
