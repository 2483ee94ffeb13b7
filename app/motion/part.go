package motion

import (
	"image"

	"halocline/colour"
)

// A Part is a part of a plane that shows a frame: its sample (0,0) is sample Min of the whole
// plane, and each sample stands for Step x Step pixels of the frame.
type Part struct {
	colour.Plane
	Min  image.Point
	Step int
}

// centre is where sample k of a side of the whole plane lies, in pixels of the frame.
func (p Part) centre(k int) float32 { return (float32(k)+0.5)*float32(p.Step) - 0.5 }

// Motion writes the flow's motion at the samples of row y of the part, in pixels of the frame.
func (p Part) Motion(f *Flow, u, v []float32, y int) {
	f.Along(u, v, p.centre(p.Min.X), p.centre(p.Min.Y+y), float32(p.Step))
}

// Miss returns how far sample (x,y) of the part is from itself when it goes with (du,dv) and
// then with back, squared, in pixels of the frame.
func (p Part) Miss(back *Flow, x, y int, du, dv float32) float32 {
	return back.MissSquared(p.centre(p.Min.X+x), p.centre(p.Min.Y+y), du, dv)
}

// Target is where sample (x,y) of the part comes to by (du,dv), in samples of the whole plane.
func (p Part) Target(x, y int, du, dv float32) (tx, ty float32) {
	over := 1 / float32(p.Step)
	return float32(p.Min.X+x) + float32(du*over), float32(p.Min.Y+y) + float32(dv*over)
}

// Read returns the part at a place of the whole plane, by bilinear interpolation; outside of
// the part its border counts.
func (p Part) Read(x, y float32) float32 {
	x = min(max(x, float32(p.Min.X)), float32(p.Min.X+p.W-1))
	y = min(max(y, float32(p.Min.Y)), float32(p.Min.Y+p.H-1))
	x0, y0 := int(x), int(y)
	i, next := x0-p.Min.X, min(x0-p.Min.X+1, p.W-1)
	upper, lower := p.Row(y0-p.Min.Y), p.Row(min(y0-p.Min.Y+1, p.H-1))
	fx := x - float32(x0)
	return mix(mix(upper[i], upper[next], fx), mix(lower[i], lower[next], fx), y-float32(y0))
}
