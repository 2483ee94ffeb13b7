package handles

import (
	"image"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"halocline/app/view"
	"halocline/mask"
)

// Whatever a shape and a view are, nothing crashes, nothing is drawn beyond the
// picture, and what a drag gives passes the track's check or says why not.
func FuzzHandles(f *testing.F) {
	f.Add(200.0, 200.0, 300.0, 200.0, 250.0, 300.0, 10.0, 20.0, 1.0, 400.0, 300.0, uint8(4), 260.0, 240.0)
	f.Add(0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 16.0, 0.0, 0.0, uint8(5), 1.0, 1.0)
	f.Add(1e9, -1e9, -1e9, 1e9, 1e9, 1e9, 1e6, 1e6, 16.0, 0.0, 0.0, uint8(6), -1e300, 1e300)
	f.Add(5.0, 5.0, 5.0, 5.0, 6.0, 5.0, 3.0, 0.0, 0.5, 3.0, 3.0, uint8(133), 1e-9, math.Inf(1))
	f.Add(1e-8, 1e-9, 2e-8, 0.0, 1e-8, 3e-8, 400.0, 1e6, 0.03125, -70.0, 9e8, uint8(134), math.NaN(), 4.0)
	f.Fuzz(func(t *testing.T, x0, y0, x1, y1, x2, y2, inner, outer, zoom, vx, vy float64, kind uint8, toX, toY float64) {
		s := mask.Shape{Rounded: kind > 127, Inner: inner, Outer: outer, Opacity: 1,
			Points: []mask.Point{{X: x0, Y: y0}, {X: x1, Y: y1}, {X: x2, Y: y2}, {X: x0 + 40, Y: y1}, {X: x2, Y: y0 - 30}}}
		vp := view.Viewport{W: 640, H: 480, VW: 60, VH: 40, Zoom: zoom, X: vx, Y: vy}
		h := Of(s, vp, 1)
		h.Choose(1)
		whole := ground(80, 60)
		m := whole.SubImage(image.Rect(10, 10, 70, 50)).(*image.RGBA)
		part := Part{Kind: PartKind(kind % 10), Index: int(kind%7) - 1, U: 0.5}
		h.Draw(m, part, false)
		h.Draw(m, Part{}, true)
		h.DrawGhost(m, 7, kind > 200)
		clean := ground(80, 60)
		for y := range 60 {
			for x := range 80 {
				if !(image.Point{x, y}).In(m.Rect) && whole.RGBAAt(x, y) != clean.RGBAAt(x, y) {
					t.Fatalf("drawn on (%d, %d)", x, y)
				}
			}
		}
		h.Hit(toX, toY)
		h.Covers(toX, toY)
		if s.Check() != nil {
			assert.Equal(t, Part{}, h.Hit(toX, toY))
			return
		}
		track := trackOf(s)
		for _, pull := range []*Pull{h.Grab(part, x0, y0), h.GrabSoft(part, x0, y0)} {
			if err := pull.To(toX, toY, kind%2 == 0).Apply(track, 1, mask.Everywhere); err == nil {
				assert.NoError(t, track.Check())
			}
		}
	})
}
