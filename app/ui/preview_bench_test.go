package ui

import (
	"context"
	"image"
	"testing"

	"github.com/stretchr/testify/require"

	"halocline/app/desk/watch"
	"halocline/app/render"
	"halocline/app/study"
	"halocline/app/ui/stage"
	"halocline/app/view"
	"halocline/selection"
)

// benchRequest is a view of a frame of w x h as a drag shows it in a view of vw x
// vh: the sample's skin matte in HSL with base, smooth, two feathered masks and a
// treated edge.
func benchRequest(tb testing.TB, w, h, vw, vh int) (*watch.Preview, watch.Request) {
	tb.Helper()
	s := stage.MaskedSample(tb, w, h)
	p := &watch.Preview{}
	vp := view.Viewport{W: w, H: h, VW: vw, VH: vh}.Fit()
	return p, watch.Request{
		Renderer: render.New(stage.Still{Picture: stage.Enlarged(tb, w, h)}, 0, render.DefaultCache), Study: s, Settings: &s.Mattes[0].Settings,
		Frame: 1, Vp: vp, Left: view.Hatch, Right: view.Hatch, Divider: -1,
	}
}

// BenchmarkDragPicture is what one picture of a drag takes in the background: the
// engine's part, and composing it for the screen.
func BenchmarkDragPicture(b *testing.B) {
	drags := []struct {
		name   string
		change func(s *study.Study, m *study.Matte, v float64)
	}{
		{"range", func(_ *study.Study, m *study.Matte, v float64) {
			l := &m.Pick.Limits[selection.Hue]
			r := l.HueAt(1)
			r.To += v
			l.Fix(r)
		}},
		{"soften", func(_ *study.Study, m *study.Matte, v float64) { m.Edge.Soften.Fix(1.2 + v) }},
		{"vertex", func(_ *study.Study, m *study.Matte, v float64) {
			m.Masks[0].Keys[0].Points[0].X += 100 * v
		}},
		{"exposure", func(s *study.Study, _ *study.Matte, v float64) { s.Base.Exposure.Fix(v) }},
		{"trial", func(_ *study.Study, m *study.Matte, v float64) { m.Trial.Slope[0].Fix(1.3 + v) }}, // in its own view
	}
	for _, size := range []struct {
		name         string
		w, h, vw, vh int
	}{{"1080p", 1920, 1080, 940, 654}, {"1080p large", 1920, 1080, 1480, 934}, {"4K", 3840, 2160, 940, 654}} {
		for _, d := range drags {
			b.Run(size.name+" "+d.name, func(b *testing.B) {
				p, request := benchRequest(b, size.w, size.h, size.vw, size.vh)
				dst := image.NewRGBA(image.Rect(0, 0, size.vw, size.vh))
				base := request.Study
				if d.name == "trial" {
					request.Left, request.Right = view.Trial, view.Trial
				}
				factor := view.QuickFactor(request.Vp.Visible(), view.FullFactor(request.Vp.Zoom))
				v := 0.0
				picture := func() {
					v += 0.01
					s := base.Clone()
					d.change(s, &s.Mattes[0], v)
					request.Study, request.Settings = s, &s.Mattes[0].Settings
					l, err := p.Layers(context.Background(), request, factor, true)
					require.NoError(b, err)
					require.NoError(b, p.Composer.Compose(context.Background(), dst, request.Vp, request.Left, request.Right, request.Divider, l, 0))
				}
				picture() // what does not change is made once
				for b.Loop() {
					picture()
				}
			})
		}
	}
}

// BenchmarkFindings is what is worked out while the hand rests: all but the seam of
// a trial, and that.
func BenchmarkFindings(b *testing.B) {
	for _, size := range []struct {
		name string
		w, h int
	}{{"1080p", 1920, 1080}, {"4K", 3840, 2160}} {
		_, request := benchRequest(b, size.w, size.h, 940, 654)
		v := 0.0
		find := func(b *testing.B) (watch.Inquiry, *study.Matte, *watch.Findings) {
			v += 0.01
			s := request.Study.Clone()
			s.Mattes[0].Trial.Slope[0].Fix(1.4)
			s.Mattes[0].Edge.Soften.Fix(1.2 + v)
			q := watch.Inquiry{Renderer: request.Renderer, Study: s, MatteID: s.Mattes[0].ID, Frame: 1}
			f := new(watch.Findings)
			for _, part := range []func(context.Context, watch.Inquiry, *study.Matte, *watch.Findings) error{watch.FindSource, watch.FindField, watch.FindMatte, watch.FindThumbs, watch.FindSeparation, watch.FindWorst} {
				require.NoError(b, part(context.Background(), q, &s.Mattes[0], f))
			}
			return q, &s.Mattes[0], f
		}
		b.Run(size.name+" rest", func(b *testing.B) {
			find(b)
			for b.Loop() {
				find(b)
			}
		})
		b.Run(size.name+" seam", func(b *testing.B) {
			for b.Loop() {
				b.StopTimer()
				q, m, f := find(b)
				b.StartTimer()
				found, err := watch.FindSeam(context.Background(), q, m, f)
				require.NoError(b, err)
				require.Empty(b, found.Why)
			}
		})
	}
}
