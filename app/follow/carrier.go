package follow

import (
	"context"
	"fmt"
	"image"
	"math"

	"halocline/app/motion"
	"halocline/colour"
	"halocline/mask"
	"halocline/mask/edge"
)

// reach is how deep on both sides of an outline depths are told, in pixels of a picture of
// size: twice as far as an edge is looked for.
func reach(size image.Point) float64 { return 2 * edge.FollowReach * edge.Unit(size.Y) }

// A Carrier carries an outline from the frame where it is known to its neighbours in turn.
type Carrier struct {
	depths mask.Raster // on that frame
	size   image.Point
	flow   *motion.Flow    // from the frame reached to that one
	nodes  image.Rectangle // of the flow's grid, that lie near the outline; empty where it is not known
}

// NewCarrier starts on the frame where a shape's outline is known. Its feather and opacity do
// not count. It fails where the shape cannot be drawn or ctx ends.
func NewCarrier(ctx context.Context, s mask.Shape, size image.Point, workers int) (*Carrier, error) {
	d, err := depthsOf(ctx, s, size, workers)
	if err != nil {
		return nil, err
	}
	c := &Carrier{depths: d, size: size, flow: motion.Still(size.X, size.Y)}
	_, _, scale := c.flow.Grid()
	c.nodes = image.Rectangle{Min: d.Bounds().Min.Div(scale), Max: d.Bounds().Max.Div(scale).Add(image.Pt(1, 1))}
	return c, nil
}

// How far below the outline motion is trusted, in pixels of a picture of at most 1080 lines:
// nearer, flow mixes it with the motion of what lies behind.
const (
	trustFull = 8  // and deeper: fully
	ownFrom   = 6  // down to here motion is that of what is trusted about it
	ownFull   = 14 // from here on it is its own
	ledSigma  = 7  // of the mean about it
)

// Step goes on to the next frame. back is the flow from that to the frame reached so far. The
// outline goes with what lies inside of it, not with what lies behind.
func (c *Carrier) Step(back *motion.Flow) {
	near := c.nearBy(back)
	raw := back.Then(c.flow, near)
	own, trust, box := c.inside(raw, near)
	c.flow = back.Lead(own, trust, ledSigma*edge.Unit(c.size.Y)).Then(c.flow, near)
	c.nodes = box
}

// nearBy is the nodes of a next frame's flow back at which the outline may be near.
func (c *Carrier) nearBy(back *motion.Flow) image.Rectangle {
	w, h, scale := back.Grid()
	all := image.Rect(0, 0, w, h)
	if c.nodes.Empty() {
		return all
	}
	// Twice as far as anything there moves is far enough: nodes that come from farther off
	// move as much themselves.
	most := 0.
	around := c.nodes.Inset(-int(reach(c.size)) / scale).Intersect(all)
	for j := around.Min.Y; j < around.Max.Y; j++ {
		for i := around.Min.X; i < around.Max.X; i++ {
			dx, dy := back.AtNode(i, j)
			most = max(most, math.Hypot(float64(dx), float64(dy)))
		}
	}
	return c.nodes.Inset(-int(2*most+8)/scale - 2).Intersect(all)
}

// inside tells for the nodes near the outline, of a flow to the first frame, how much of
// their motion is their own, and how much it can be trusted; and in which box the outline's
// depths are told.
func (c *Carrier) inside(flow *motion.Flow, near image.Rectangle) (own, trust []float32, box image.Rectangle) {
	w, h, scale := flow.Grid()
	own, trust = make([]float32, w*h), make([]float32, w*h)
	for i := range own {
		own[i] = 1
	}
	unit, off := float32(edge.Unit(c.size.Y)), -float32(reach(c.size))
	half := (float32(scale) - 1) / 2
	for j := near.Min.Y; j < near.Max.Y; j++ {
		for i := near.Min.X; i < near.Max.X; i++ {
			dx, dy := flow.AtNode(i, j)
			d := c.read(float32(i*scale)+half+dx, float32(j*scale)+half+dy)
			if d <= off { // far outside nothing needs to be led
				continue
			}
			n := j*w + i
			t := min(max(d/(trustFull*unit), 0), 1)
			trust[n] = t * t
			own[n] = min(max((d/unit-ownFrom)/(ownFull-ownFrom), 0), 1)
			box = box.Union(image.Rect(i, j, i+1, j+1))
		}
	}
	return own, trust, box
}

// Reached is the flow from the frame reached to that where the outline is known.
func (c *Carrier) Reached() *motion.Flow { return c.flow }

// GoOn goes on from a frame that a carrier of the same outline has reached before. A flow of
// another size changes nothing and is an error.
func (c *Carrier) GoOn(reached *motion.Flow) error {
	w, h := reached.Size()
	if got := image.Pt(w, h); got != c.size {
		return fmt.Errorf("follow: flow is of a frame of %v pixels, want %v", got, c.size)
	}
	c.flow, c.nodes = reached, image.Rectangle{}
	return nil
}

// Outline is where the outline lies on the frame reached: a closed polygon of non-zero
// winding, in pixels of the source; nil where nothing of what it goes about is left.
func (c *Carrier) Outline(ctx context.Context, workers int) ([]mask.Point, error) {
	d, err := c.carried(ctx, workers)
	if err != nil {
		return nil, err
	}
	return edge.OutlineOf(&d), nil
}

// carried returns the depths on the frame reached.
func (c *Carrier) carried(ctx context.Context, workers int) (out mask.Raster, err error) {
	box := c.box()
	out = mask.Raster{X0: box.Min.X, Y0: box.Min.Y, Plane: colour.NewPlane(box.Dx(), box.Dy())}
	err = colour.EachBand(ctx, workers, box.Dy(), func(y0, y1 int) {
		u, v := make([]float32, box.Dx()), make([]float32, box.Dx())
		for y := y0; y < y1; y++ {
			c.flow.Row(u, v, box.Min.X, box.Min.Y+y)
			row := out.Row(y)
			for x := range row {
				row[x] = c.read(float32(box.Min.X+x)+u[x], float32(box.Min.Y+y)+v[x])
			}
		}
	})
	return out, err
}

// read returns the known depth at a place between pixels' centres.
func (c *Carrier) read(x, y float32) float32 {
	d := &c.depths
	x, y = x-float32(d.X0), y-float32(d.Y0)
	if !(x >= 0 && y >= 0 && x < float32(d.W-1) && y < float32(d.H-1)) {
		return -float32(reach(c.size))
	}
	i, j := int(x), int(y)
	fx, fy := x-float32(i), y-float32(j)
	upper, lower := d.Row(j)[i:i+2], d.Row(j + 1)[i:i+2]
	a := upper[0] + float32(fx*(upper[1]-upper[0]))
	b := lower[0] + float32(fx*(lower[1]-lower[0]))
	return a + float32(fy*(b-a))
}

// box is where the outline may lie on the frame reached. Where it comes to the frame's
// border, it goes on beyond.
func (c *Carrier) box() (box image.Rectangle) {
	w, h, scale := c.flow.Grid()
	in := image.Rect(0, 0, w, h)
	if !c.nodes.Empty() {
		in = c.nodes.Inset(-2).Intersect(in)
	}
	for j := in.Min.Y; j < in.Max.Y; j++ {
		for i := in.Min.X; i < in.Max.X; i++ {
			dx, dy := c.flow.AtNode(i, j)
			x, y := i*scale+scale/2, j*scale+scale/2
			if c.read(float32(x)+dx, float32(y)+dy) > -float32(reach(c.size)) {
				box = box.Union(image.Rect(x-scale, y-scale, x+scale+1, y+scale+1))
			}
		}
	}
	beyond := int(math.Ceil(reach(c.size)))
	if box.Empty() {
		return box
	}
	if box.Min.X <= 0 {
		box.Min.X = -beyond
	}
	if box.Min.Y <= 0 {
		box.Min.Y = -beyond
	}
	if box.Max.X >= c.size.X {
		box.Max.X = c.size.X + beyond
	}
	if box.Max.Y >= c.size.Y {
		box.Max.Y = c.size.Y + beyond
	}
	return box
}

// depthsOf returns depths about an outline, as far as it lies near a picture of a size.
func depthsOf(ctx context.Context, s mask.Shape, size image.Point, workers int) (out mask.Raster, err error) {
	r := reach(size)
	box := edge.Around(s, size, r)
	out.X0, out.Y0 = box.Min.X, box.Min.Y
	if box.Empty() {
		return out, nil
	}
	err = s.Depths(ctx, &out.Plane, mask.Region{X0: box.Min.X, Y0: box.Min.Y, X1: box.Max.X, Y1: box.Max.Y, Factor: 1}, r, workers)
	return out, err
}
