package handles

import (
	"testing"

	"halocline/app/view"
	"halocline/mask"
)

// One redraw of a chosen mask that fills most of a view of 1480 x 832, and what
// a move of the pointer over it costs.
func BenchmarkHandles(b *testing.B) {
	vp := view.Viewport{W: 680, H: 480, VW: 1480, VH: 832}.Fit()
	m := ground(1480, 832)
	s := swimmer()
	b.Run("draw", func(b *testing.B) {
		for b.Loop() {
			Of(s, vp, 1).Draw(m, Part{Kind: OuterFeather}, false)
		}
	})
	b.Run("draw without feather", func(b *testing.B) {
		s := s
		s.Inner, s.Outer = 0, 0
		for b.Loop() {
			Of(s, vp, 1).Draw(m, Part{}, false)
		}
	})
	b.Run("at neighbour keys, with a way of 100 frames", func(b *testing.B) {
		t := &mask.Track{Rounded: s.Rounded, Keys: []mask.Key{
			{Frame: 0, Points: s.Points, Opacity: 1}, {Frame: 50, Points: s.Points, Opacity: 1}, {Frame: 100, Points: s.Points, Opacity: 1}}}
		for b.Loop() {
			for _, f := range []int{0, 100} {
				Of(t.At(f), vp, 1).DrawGhost(m, f, f == 0)
			}
			DrawPath(m, Path(t, 2, 50), vp, 1)
		}
	})
	b.Run("hit", func(b *testing.B) {
		for b.Loop() {
			Of(s, vp, 1).Hit(700, 400)
		}
	})
}
