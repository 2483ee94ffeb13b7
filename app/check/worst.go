package check

import (
	"context"
	"errors"
	"fmt"
	"math"

	"halocline/colour"
)

// A Patch is a square of the frame on the edge, by its upper left corner.
type Patch struct {
	X, Y    int
	Badness float64 // pixels, see WorstEdges
}

// cellPx is the side of the squares in which the edge is looked at: long enough
// for a stretch to have a direction, short enough for a limb to be straight in it.
const cellPx = 8

// WorstEdges returns up to n squares of sizePx pixels, at least 8, on the edge
// of a matte that are most worth a look, the worst first. They lie within the
// frame and do not overlap; there are fewer where there is no more edge. What a
// square is worth adds up three kinds of trouble, all in pixels, over the squares
// of 8 px in it, with a weight that falls from 1 in its middle to 0 at its
// sides, and is divided by the length of a straight edge through it:
//
//	width    the area of 0.1 < alpha < 0.9 within 8 to 16 px of the contour, less
//	         the contour's length times the whole matte's mean edge width; not
//	         below 0
//	ragged   4 px times the length of contour that leads nowhere: in 8 px, the
//	         pieces' lengths less the length of their sum as directions without
//	         a sense (Mardia & Jupp 2000, "Directional Statistics", axial data:
//	         angles doubled)
//	off      the contour's length times how far from it, up to 4 px along its
//	         normal, the picture changes most, where it changes more than twice as
//	         much there as on the contour (and 0.04 of [0,1] more, which noise
//	         does not); change is the distance in R, G, B over 2 px
//
// So a badness of 3 is an edge 3 px wider than it is elsewhere, or one that lies
// 3 px off what is seen, all through the square. picture is what the matte was
// picked from, of its size; best is the one with its noise smoothed, after base. nil leaves out the third
// kind. Other sizes are errors, and so is an empty matte.
func WorstEdges(ctx context.Context, matte colour.Plane, picture *colour.Image, n, sizePx, workers int) ([]Patch, error) {
	switch {
	case len(matte.Pix) == 0:
		return nil, errors.New("check: the matte is empty")
	case sizePx < cellPx:
		return nil, fmt.Errorf("check: a patch of the edge is %d px wide, want %d or more", sizePx, cellPx)
	case picture != nil && !picture.R.SameSize(matte):
		w, h := picture.Size()
		return nil, fmt.Errorf("check: the matte is %d x %d, its picture %d x %d", matte.W, matte.H, w, h)
	}
	t, err := findTroubles(ctx, Clamped(matte), picture, workers)
	if err != nil {
		return nil, fmt.Errorf("check: %w", err)
	}
	return t.worst(n, matte.W, matte.H, sizePx), nil
}

// A trouble is what one cell of the edge has.
type trouble struct {
	contour float64 // px
	edge    int     // px of area
	axis    [2]float64
	off     float64 // px of length times px of distance
}

func (t *trouble) add(s colour.Segment, off float64) {
	dx, dy := float64(s.X1-s.X0), float64(s.Y1-s.Y0)
	length := math.Hypot(dx, dy)
	if length == 0 {
		return
	}
	t.contour += length
	// length times the cosine and sine of twice the angle
	t.axis[0] += (float64(dx*dx) - float64(dy*dy)) / length
	t.axis[1] += 2 * dx * dy / length
	t.off += float64(length * off)
}

// ragged returns the length of contour that leads nowhere.
func (t *trouble) ragged() float64 { return max(0, t.contour-math.Hypot(t.axis[0], t.axis[1])) }

// troubles are all cells of a matte, by rows.
type troubles struct {
	w, h  int
	cells []trouble
}

func (t *troubles) row(y int) []trouble { return t.cells[y*t.w : (y+1)*t.w] }

func findTroubles(ctx context.Context, a colour.Plane, picture *colour.Image, workers int) (*troubles, error) {
	t := &troubles{w: (a.W + cellPx - 1) / cellPx, h: (a.H + cellPx - 1) / cellPx}
	t.cells = make([]trouble, t.w*t.h)
	err := colour.EachStrip(ctx, workers, a.H, cellPx, func(y0, y1 int) {
		cells := t.row(y0 / cellPx)
		for y := y0; y < y1; y++ {
			for x, v := range a.Row(y) {
				if v > edgeAbove && v < edgeBelow {
					cells[x/cellPx].edge++
				}
			}
			if y+1 == a.H {
				continue
			}
			colour.ContourRow(a, y, func(x int, s colour.Segment) { cells[x/cellPx].add(s, offset(picture, s)) })
		}
	})
	return t, err
}

// Where the picture's own edge is looked for, and how far it must stand out.
const (
	offReach = 4 // px to each side
	offTimes = 2
	offFloor = 0.04
)

// offset returns how far from a piece of contour the picture changes most, in
// pixels; 0 where it changes there about as much, or nothing stands out.
func offset(picture *colour.Image, s colour.Segment) float64 {
	dx, dy := float64(s.X1-s.X0), float64(s.Y1-s.Y0)
	length := math.Hypot(dx, dy)
	if picture == nil || length == 0 {
		return 0
	}
	nx, ny := dy/length, -dx/length
	mx, my := float64(s.X0+s.X1)/2, float64(s.Y0+s.Y1)/2
	w, h := picture.Size()
	var seen [2*offReach + 3][3]float64 // from offReach+1 px before to as much behind
	for i := range seen {
		at := float64(i - offReach - 1)
		x := min(max(int(math.Floor(mx+float64(at*nx))), 0), w-1)
		y := min(max(int(math.Floor(my+float64(at*ny))), 0), h-1)
		p := y*w + x
		seen[i] = [3]float64{float64(picture.R.Pix[p]), float64(picture.G.Pix[p]), float64(picture.B.Pix[p])}
	}
	here, most, far := change(seen[offReach], seen[offReach+2]), 0.0, 0
	for i := range 2*offReach + 1 {
		if c := change(seen[i], seen[i+2]); c > most {
			most, far = c, i-offReach
		}
	}
	if most <= offTimes*here+offFloor {
		return 0
	}
	return math.Abs(float64(far))
}

func change(a, b [3]float64) float64 {
	r, g, u := a[0]-b[0], a[1]-b[1], a[2]-b[2]
	return math.Sqrt(float64(r*r) + float64(g*g) + float64(u*u))
}
