package shot

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A strip is a clip of one noisy picture that moves by a pixel a frame. Reading it
// takes no time.
type strip struct{ frames []*colour.Image }

func (s *strip) Frame(_ context.Context, n int) (*colour.Image, error) { return s.frames[n%2], nil }

// BenchmarkShot: twelve 1080p frames judged, against their mattes rendered: a pick
// of three channels under one moving feathered mask of 24 points, or none; smoothed noise,
// base, despeckle 12, soften 1.2.
func BenchmarkShot(b *testing.B) {
	limb := func(x int) colour.RGB {
		if x > 700 && x < 1000 {
			return colour.RGB{R: 0.7, G: 0.55, B: 0.4}
		}
		return colour.RGB{R: 0.3, G: 0.5, B: 0.5}
	}
	rng := rand.New(rand.NewPCG(2, 2))
	src := &strip{[]*colour.Image{noisy(rng, 1920, 1080, 0.01, limb), noisy(rng, 1920, 1080, 0.01, limb)}}
	for _, masked := range []bool{true, false} {
		s := benchShot(src, masked)
		name := map[bool]string{true: "masked", false: "whole"}[masked]
		b.Run(name+"/check", func(b *testing.B) {
			for b.Loop() {
				require.NoError(b, s.Each(b.Context(), s.Frames, func(Frame) {}))
			}
		})
		b.Run(name+"/check by 2", func(b *testing.B) {
			by2 := *s
			by2.Factor = 2
			for b.Loop() {
				require.NoError(b, by2.Each(b.Context(), s.Frames, func(Frame) {}))
			}
		})
		b.Run(name+"/matte", func(b *testing.B) {
			for b.Loop() {
				r := render.New(src, 1, 1920*1080*bytesPerPixel)
				for _, n := range s.Frames {
					_, err := r.Matte(b.Context(), render.Request{Study: s.Study, Settings: s.Settings, Frame: n})
					require.NoError(b, err)
				}
			}
		})
	}
}

func benchShot(src render.Source, masked bool) *Shot {
	doc := study.New(study.Clip{Path: "strip", Count: 12, Noise: [3]float64{0.01, 0.01, 0.01}})
	doc.Base.Exposure.Fix(0.3)
	m := doc.AddMatte("skin", selection.LCh)
	for c, r := range []selection.Range{{From: 20, To: 70, Before: 10, After: 10}, {From: 5, To: 60, Before: 5, After: 10}, {From: 35, To: 80, Before: 5, After: 5}} {
		m.Pick.Limits[c].Off = false
		m.Pick.Limits[c].Fix(r)
	}
	m.Edge.Soften.Fix(1.2)
	if masked {
		key := func(n int, x float64) mask.Key {
			k := mask.Key{Frame: n, Outer: 6, Opacity: 1}
			for i := range 24 {
				sin, cos := math.Sincos(2 * math.Pi * float64(i) / 24)
				k.Points = append(k.Points, mask.Point{X: x + 300*cos, Y: 540 + 200*sin})
			}
			return k
		}
		doc.AddMask(m, "about", study.Keep, key(0, 800)).SetKey(key(12, 860))
	}
	s := &Shot{Source: src, Study: doc, Settings: &doc.Mattes[0].Settings, Workers: 1}
	for n := range 12 {
		s.Frames = append(s.Frames, n)
	}
	return s
}
