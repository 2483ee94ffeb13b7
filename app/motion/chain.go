package motion

import (
	"image"

	"halocline/colour"
)

// Still returns the flow of a frame of w x h pixels to itself: no motion.
func Still(w, h int) *Flow {
	f := &Flow{w: w, h: h}
	f.gw, f.gh, f.scale = gridOf(w, h)
	f.u, f.v = make([]float32, f.gw*f.gh), make([]float32, f.gw*f.gh)
	return f
}

// gridOf is the grid on which the motion of a frame is kept, and the pixels between its nodes.
func gridOf(w, h int) (gw, gh, scale int) {
	gw, gh, scale = w, h, 1
	for gh > finestLines {
		gw, gh, scale = (gw+1)/2, (gh+1)/2, 2*scale
	}
	return gw, gh, scale
}

// Then returns the motion of f and then of next, whose first frame is f's second, on the nodes
// of the grid within in. Those beyond lead far outside of the frame (see Outside). Flows of
// different size panic.
func (f *Flow) Then(next *Flow, in image.Rectangle) *Flow {
	if f.w != next.w || f.h != next.h {
		panic("motion: flows must have the same size")
	}
	out := &Flow{w: f.w, h: f.h, scale: f.scale, gw: f.gw, gh: f.gh, u: make([]float32, len(f.u)), v: make([]float32, len(f.v))}
	u, v := next.planes()
	over := 1 / float32(f.scale)
	for y := range f.gh {
		row := out.u[y*f.gw : (y+1)*f.gw]
		if y < in.Min.Y || y >= in.Max.Y {
			fill(row, Outside)
			continue
		}
		fill(row[:max(in.Min.X, 0)], Outside)
		fill(row[min(in.Max.X, f.gw):], Outside)
		for x := max(in.Min.X, 0); x < min(in.Max.X, f.gw); x++ {
			i := y*f.gw + x
			gx, gy := float32(x)+float32(f.u[i]*over), float32(y)+float32(f.v[i]*over)
			out.u[i] = f.u[i] + between(u, gx, gy)
			out.v[i] = f.v[i] + between(v, gx, gy)
		}
	}
	return out
}

// Outside is the motion, in pixels, of nodes that were left out: off every frame.
const Outside = 1e6

func fill(line []float32, v float32) {
	for i := range line {
		line[i] = v
	}
}

// Grid returns the nodes at which the motion is kept: as many each way, so many pixels apart.
// Node (i,j) lies in the middle of that many pixels squared.
func (f *Flow) Grid() (w, h, scale int) { return f.gw, f.gh, f.scale }

// AtNode returns the motion of a node of the grid, in pixels.
func (f *Flow) AtNode(i, j int) (dx, dy float32) { return f.u[j*f.gw+i], f.v[j*f.gw+i] }

// Row writes the motion of the pixels from (x0,y) on, as many as u and v have, in pixels.
// Outside of the frame that of the nearest pixel counts.
func (f *Flow) Row(u, v []float32, x0, y int) { f.read(u, v, x0, min(max(y, 0), f.h-1)) }

// Bytes returns how much memory it takes.
func (f *Flow) Bytes() int { return 8 * len(f.u) }

// planes are the two parts of the motion on the grid.
func (f *Flow) planes() (u, v colour.Plane) {
	return colour.Plane{W: f.gw, H: f.gh, Pix: f.u}, colour.Plane{W: f.gw, H: f.gh, Pix: f.v}
}
