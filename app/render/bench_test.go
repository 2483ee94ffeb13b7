package render

import (
	"context"
	"fmt"
	"testing"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// stretched is the scene at a larger size: its picture repeated, as long as the
// frame, so that no time goes into drawing it.
func stretched(b *testing.B, w, h int) *fixture {
	s := newFixture(b, 960, 540)
	big := colour.NewImage(w, h)
	for c, p := range planesOf(big) {
		src := planesOf(s.picture)[c]
		for y := range h {
			for x := range w {
				p.Row(y)[x] = src.At(x%src.W, y%src.H)
			}
		}
	}
	s.picture = big
	s.still = still{big}
	light := &s.matte().Pick.Limits[selection.Light]
	light.Off = false
	light.Fix(selection.Range{From: 35, To: 70, Before: 5, After: 5})
	s.matte().Edge.Soften.Fix(1.2)
	s.addMasks()
	return s
}

func eachSize(b *testing.B, run func(b *testing.B, s *fixture)) {
	for _, size := range [][2]int{{1920, 1080}, {3840, 2160}} {
		s := stretched(b, size[0], size[1])
		b.Run(fmt.Sprint(size[0]), func(b *testing.B) { run(b, s) })
	}
}

func ask(b *testing.B, r *Renderer, q Request) {
	if _, err := r.Matte(context.Background(), q); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkWhole: a frame that was never seen, on one thread: a pick of three
// channels, despeckle 12, soften 1.2, two feathered masks of 24 points that move
// from frame to frame. Decoding takes no time here.
func BenchmarkWhole(b *testing.B) {
	eachSize(b, func(b *testing.B, s *fixture) {
		moved := s.matte().Masks[0].Keys[0]
		moved.Frame = 1 << 20
		moved.Points = s.blob(200, 200, 0.3, 24).Points
		s.matte().Masks[0].SetKey(moved)
		base := s.study.Base
		for _, m := range []selection.Model{selection.LCh, selection.HSL} {
			for _, on := range []bool{false, true} {
				b.Run(fmt.Sprintf("%s/smooth noise+base=%t", m, on), func(b *testing.B) {
					s.matte().Pick.Smooth, s.study.Base, s.matte().Pick.Model = on, base, m
					if !on {
						s.study.Base = study.NewBase()
					}
					r := New(s, 1, DefaultCache)
					q := s.request()
					for b.Loop() {
						q.Frame++
						ask(b, r, q)
					}
				})
			}
		}
	})
}

// BenchmarkChange: one setting changes, and the matte is asked for again.
func BenchmarkChange(b *testing.B) {
	eachSize(b, func(b *testing.B, s *fixture) {
		n := 0.
		for _, c := range []struct {
			name   string
			change func()
		}{
			{"soften", func() { s.matte().Edge.Soften.Fix(1.2 + n/1e6) }},
			{"despeckle", func() { s.matte().Edge.Despeckle.Fix(12 + n/1e6) }},
			{"range", func() { s.matte().Pick.Limits[selection.Light].Value.To = 70 + n/1e6 }},
			{"exposure", func() { s.study.Base.Exposure.Fix(0.2 + n/1e6) }},
			{"vertex", func() { s.matte().Masks[0].Keys[0].Points[4].X += 1e-3 }},
		} {
			b.Run(c.name, func(b *testing.B) {
				r := New(s, 1, DefaultCache)
				ask(b, r, s.request())
				for b.Loop() {
					n++
					c.change()
					ask(b, r, s.request())
				}
			})
		}
	})
}

// BenchmarkTrial: a number of a trial changes, and the picture is asked for again
// while the mattes stay; beside what a change of the base takes to be shown. The
// trial grades through the scene's matte, or through one that keeps everything;
// plain is the formula on 1/16 of the rows: there, ns/px compares.
func BenchmarkTrial(b *testing.B) {
	eachSize(b, func(b *testing.B, s *fixture) {
		w, h := s.picture.Size()
		px := func(b *testing.B, pixels int) {
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(pixels), "ns/px")
		}
		n := 0.
		b.Run("base", func(b *testing.B) {
			r := New(s, 1, DefaultCache)
			for b.Loop() {
				n++
				s.study.Base.Exposure.Fix(0.2 + n/1e6)
				if _, err := r.Shown(context.Background(), Request{Study: s.study, Frame: 1}); err != nil {
					b.Fatal(err)
				}
			}
			px(b, w*h)
		})
		everything := s.study.AddMatte("everything", selection.LCh)
		for name, m := range map[string]*study.Matte{"matte": s.matte(), "everything": everything} {
			b.Run(name, func(b *testing.B) {
				q := Request{Study: s.study, Settings: &m.Settings, Frame: 1}
				r := New(s, 1, DefaultCache)
				ask(b, r, q)
				for b.Loop() {
					n++
					d := warm
					d.Slope[0] += n / 1e6
					if err := m.Trial.SetCDL(1, d); err != nil {
						b.Fatal(err)
					}
					if _, err := r.TrialAlone(context.Background(), q); err != nil {
						b.Fatal(err)
					}
				}
				px(b, w*h)
			})
		}
		b.Run("plain", func(b *testing.B) {
			for b.Loop() {
				for y := range h / 16 {
					for x := range w {
						over(s.picture.RGB(x, y), 0.5, warm)
					}
				}
			}
			px(b, w*(h/16))
		})
	})
}

// BenchmarkProxy: one range changes on a proxy of a 4K frame, and the base.
func BenchmarkProxy(b *testing.B) {
	s := stretched(b, 3840, 2160)
	n := 0.
	for _, factor := range []int{2, 4} {
		for _, draft := range []bool{false, true} {
			q := s.request()
			q.Factor, q.Draft = factor, draft
			r := New(s, 1, DefaultCache)
			for name, change := range map[string]func(){
				"range":    func() { s.matte().Pick.Limits[selection.Light].Value.To = 70 + n/1e6 },
				"exposure": func() { s.study.Base.Exposure.Fix(0.2 + n/1e6) },
			} {
				b.Run(fmt.Sprintf("%d/draft=%t/%s", factor, draft, name), func(b *testing.B) {
					ask(b, r, q)
					for b.Loop() {
						n++
						change()
						ask(b, r, q)
					}
				})
			}
		}
	}
}

// BenchmarkRegion: a part of 1280 x 720 of a 4K frame, against the whole.
func BenchmarkRegion(b *testing.B) {
	s := stretched(b, 3840, 2160)
	for name, whole := range map[string]bool{"part": false, "whole": true} {
		b.Run(name, func(b *testing.B) {
			r := New(s, 1, DefaultCache)
			q := s.request()
			if !whole {
				q.Region.Min.X, q.Region.Min.Y, q.Region.Max.X, q.Region.Max.Y = 1000, 900, 2280, 1620
			}
			for b.Loop() {
				q.Frame++
				ask(b, r, q)
			}
		})
	}
}

// BenchmarkFollow: a frame of a stretch of six between two keys, on one thread, of a mask of
// 480 pixels across at 1080 lines: flows of both directions, the outline carried from both
// ends, the edge found. Decoding takes no time here.
func BenchmarkFollow(b *testing.B) {
	d := drift{w: 1920, h: 1080, count: 7, scale: 7}
	for n := 1; n <= d.count; n++ {
		if _, err := d.Frame(b.Context(), n); err != nil {
			b.Fatal(err)
		}
	}
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("%d workers", workers), func(b *testing.B) {
			for b.Loop() {
				s, set := driftStudy(d, 24, mask.Follow, 1, d.count)
				r := New(d, workers, DefaultCache)
				for n := 2; n < d.count; n++ {
					if _, err := r.Outlines(b.Context(), Request{Study: s, Settings: set, Frame: n}); err != nil {
						b.Fatal(err)
					}
				}
			}
			b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N*(d.count-2)), "ms/frame")
		})
	}
}
