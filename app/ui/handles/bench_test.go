package handles

import (
	"testing"

	"halocline/app/ui/viewer"
)

// One redraw of a chosen mask that fills most of a view of 1480 x 832, and what
// a move of the pointer over it costs.
func BenchmarkHandles(b *testing.B) {
	vp := viewer.Viewport{W: 680, H: 480, VW: 1480, VH: 832}.Fit()
	m := ground(1480, 832)
	s := swimmer()
	b.Run("draw", func(b *testing.B) {
		for b.Loop() {
			Of(s, vp, 1, 2).Draw(m, Part{Kind: OuterFeather}, false)
		}
	})
	b.Run("draw without feather", func(b *testing.B) {
		s := s
		s.Inner, s.Outer = 0, 0
		for b.Loop() {
			Of(s, vp, 1, 2).Draw(m, Part{}, false)
		}
	})
	b.Run("hit", func(b *testing.B) {
		for b.Loop() {
			Of(s, vp, 1, 2).Hit(700, 400)
		}
	})
}
