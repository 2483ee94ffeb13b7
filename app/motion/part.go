package motion

import (
	"context"
	"image"
	"math"

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

// Motion writes the flow's motion at the samples of the part from (x,y) on along the row, as
// many as u and v have, in pixels of the frame.
func (p Part) Motion(f *Flow, u, v []float32, x, y int) {
	f.Along(u, v, p.centre(p.Min.X+x), p.centre(p.Min.Y+y), float32(p.Step))
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

// Targets holds the places to which the flow takes the samples r of the part, and the samples
// about these that Read takes: in samples of the whole plane, which may lie outside of it.
func (p Part) Targets(f *Flow, r image.Rectangle) image.Rectangle {
	least, most := f.extremes(
		p.centre(p.Min.X+r.Min.X), p.centre(p.Min.Y+r.Min.Y), p.centre(p.Min.X+r.Max.X-1), p.centre(p.Min.Y+r.Max.Y-1))
	over := 1 / float32(p.Step)
	low, high := p.Min.Add(r.Min), p.Min.Add(r.Max)
	// One sample more each way, for what rounding does between nodes.
	return image.Rect(
		low.X+whole(least[0]*over)-1, low.Y+whole(least[1]*over)-1,
		high.X+whole(most[0]*over)+2, high.Y+whole(most[1]*over)+2)
}

// whole is the largest whole number up to v, cut off where no frame reaches.
func whole(v float32) int {
	const far = 1 << 22
	return int(math.Floor(float64(min(max(v, -far), far))))
}

// extremes are the least and the most motion to the right and down between two places, in
// pixels of the frame.
func (f *Flow) extremes(x0, y0, x1, y1 float32) (least, most [2]float32) {
	left, _, _ := node(x0, f.scale, f.gw)
	_, right, _ := node(x1, f.scale, f.gw)
	top, _, _ := node(y0, f.scale, f.gh)
	_, bottom, _ := node(y1, f.scale, f.gh)
	least = [2]float32{f.u[top*f.gw+left], f.v[top*f.gw+left]}
	most = least
	for y := top; y <= bottom; y++ {
		for x := left; x <= right; x++ {
			u, v := f.u[y*f.gw+x], f.v[y*f.gw+x]
			least[0], most[0] = min(least[0], u), max(most[0], u)
			least[1], most[1] = min(least[1], v), max(most[1], v)
		}
	}
	return least, most
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

// Carry carries the part to the flow's first frame, where dst shows the part of the same place,
// size and step. dst must not be the part. An error is that of a ctx that ended.
func (p Part) Carry(ctx context.Context, f *Flow, dst colour.Plane, workers int) error {
	var rows colour.Pool[[]float32]
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		row := rows.Take()
		*row = colour.Resized(*row, 2*dst.W)
		u, v := (*row)[:dst.W], (*row)[dst.W:]
		for y := y0; y < y1; y++ {
			p.Motion(f, u, v, 0, y)
			out := dst.Row(y)
			for x := range out {
				out[x] = p.Read(p.Target(x, y, u[x], v[x]))
			}
		}
		rows.Give(row)
	})
}
