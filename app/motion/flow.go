package motion

import (
	"context"
	"fmt"

	"halocline/colour"
)

// A Flow is the motion of each pixel of a frame to another, in pixels of the frame. It is
// kept on a grid (see the package's comment) and never written again.
type Flow struct {
	w, h  int // of the frame
	scale int // pixels of the frame between two nodes of the grid
	gw    int
	gh    int
	u, v  []float32 // pixels of the frame
}

// Size returns the frame's width and height in pixels.
func (f *Flow) Size() (w, h int) { return f.w, f.h }

// Between finds how far each pixel of from has moved in to, over workers goroutines (0 =
// one for each processor). Pictures of different size are an error, since the frames of a
// sequence may differ; so is a ctx that ends.
func Between(ctx context.Context, from, to *Picture, workers int) (*Flow, error) {
	if from.w != to.w || from.h != to.h {
		return nil, fmt.Errorf("motion: the second picture has %d x %d pixels, want %d x %d as the first", to.w, to.h, from.w, from.h)
	}
	var f *field
	for k := len(from.levels) - 1; k >= 0; k-- {
		var err error
		if f, err = seek(ctx, workers, &from.levels[k], &to.levels[k], f); err != nil {
			return nil, err
		}
		if err = refine(ctx, workers, &from.levels[k], &to.levels[k], f); err != nil {
			return nil, err
		}
	}
	size := float32(from.scale)
	for i := range f.u {
		f.u[i] *= size
		f.v[i] *= size
	}
	return &Flow{w: from.w, h: from.h, scale: from.scale, gw: f.w, gh: f.h, u: f.u, v: f.v}, nil
}

// At returns the motion of pixel (x,y), in pixels. Outside the frame that of the nearest
// pixel counts. It is for single look-ups, not for loops.
func (f *Flow) At(x, y int) (dx, dy float32) {
	var row [2][1]float32
	f.read(row[0][:], row[1][:], min(max(x, 0), f.w-1), min(max(y, 0), f.h-1))
	return row[0][0], row[1][0]
}

// node is the place of x, in pixels, on a side of n nodes: between i and i+1 by share, where
// i+1 stays on the grid.
func node(x float32, scale, n int) (i, next int, share float32) {
	at := max((x+0.5)/float32(scale)-0.5, 0)
	i = min(int(at), n-1)
	return i, min(i+1, n-1), at - float32(i)
}

// read writes the motion of the pixels from (x0,y) on, as many as u and v have.
func (f *Flow) read(u, v []float32, x0, y int) { f.Along(u, v, float32(x0), float32(y), 1) }

// Along writes the motion at the places (x0 + k step, y), as many as u and v have, in pixels.
// They may lie between pixels. Outside of the frame the motion at its border counts.
func (f *Flow) Along(u, v []float32, x0, y, step float32) {
	j, below, fy := node(y, f.scale, f.gh)
	u0, u1 := f.u[j*f.gw:][:f.gw], f.u[below*f.gw:][:f.gw]
	v0, v1 := f.v[j*f.gw:][:f.gw], f.v[below*f.gw:][:f.gw]
	v = v[:len(u)]
	for k := range u {
		i, next, fx := node(x0+float32(float32(k)*step), f.scale, f.gw)
		u[k] = mix(mix(u0[i], u0[next], fx), mix(u1[i], u1[next], fx), fy)
		v[k] = mix(mix(v0[i], v0[next], fx), mix(v1[i], v1[next], fx), fy)
	}
}

func mix(a, b, share float32) float32 { return a + float32(share*(b-a)) }

// Carry carries src, a plane of the second frame such as a matte or distances, to the
// first: dst at (x,y) is src at (x,y) plus the motion there, by bilinear interpolation;
// outside src its border counts. dst must not be src. Planes of another size than the
// frame's panic. An error is that of a ctx that ended; dst is then undefined.
func (f *Flow) Carry(ctx context.Context, dst, src colour.Plane, workers int) error {
	if dst.W != f.w || dst.H != f.h || !dst.SameSize(src) {
		panic("motion: planes must have the size of the flow's frame")
	}
	return Part{Plane: src, Step: 1}.Carry(ctx, f, dst, workers)
}

// each calls work for every row with its motion.
func (f *Flow) each(ctx context.Context, workers int, work func(y int, u, v []float32)) error {
	var rows colour.Pool[[]float32]
	return colour.EachBand(ctx, workers, f.h, func(y0, y1 int) {
		row := rows.Take()
		*row = colour.Resized(*row, 2*f.w)
		u, v := (*row)[:f.w], (*row)[f.w:]
		for y := y0; y < y1; y++ {
			f.read(u, v, 0, y)
			work(y, u, v)
		}
		rows.Give(row)
	})
}

// between reads p at a place between pixel centres; outside the border counts.
func between(p colour.Plane, x, y float32) float32 { return Part{Plane: p}.Read(x, y) }

// Disagreement returns for each pixel of forward's first frame how far from it, in
// pixels, it comes back when it goes with forward and then with back, the flow from the
// second frame to the first. It is near 0 where both agree and large where what is in the
// first frame is hidden in the second. Flows of different size panic. An error is that of a
// ctx that ended.
func Disagreement(ctx context.Context, forward, back *Flow, workers int) (colour.Plane, error) {
	if forward.w != back.w || forward.h != back.h {
		panic("motion: flows must have the same size")
	}
	out := colour.NewPlane(forward.w, forward.h)
	err := forward.each(ctx, workers, func(y int, du, dv []float32) {
		row := out.Row(y)
		for x := range row {
			row[x] = root(back.MissSquared(float32(x), float32(y), du[x], dv[x]))
		}
	})
	return out, err
}

// MissSquared returns how far from (x,y) what moved from there by (du,dv) comes back when it
// goes with back, squared, in pixels.
func (back *Flow) MissSquared(x, y, du, dv float32) float32 {
	u, v := back.planes()
	over := 1 / float32(back.scale)
	gx, gy := float32((x+du+0.5)*over)-0.5, float32((y+dv+0.5)*over)-0.5
	eu, ev := du+between(u, gx, gy), dv+between(v, gx, gy)
	return float32(eu*eu) + float32(ev*ev)
}
