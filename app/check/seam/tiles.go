package seam

import (
	"context"
	"fmt"
	"math"
	"slices"

	"halocline/app/check"
	"halocline/colour"
	"halocline/selection"
)

// Tiles are squares of the frame, R/2 wide. What lies nearer than R/5 to the matte's edge takes
// no part: pixels there are mixed.
const (
	tilesPerRadius = 2
	besideEdge     = 1. / 5 // R
	leastFilled    = 6      // a tile needs one pixel of so many that it has
)

// A look is which dabs a colour looks like.
type look int8

const (
	neither look = iota
	kept
	dropped
)

// A tile is the pixels of a square on one side of a matte's edge.
type tile struct {
	pixels int
	colour colour.Lab // their mean
	looks  look
	// grade is what a grade changes of them through the matte; outside it is what the
	// matte keeps from them. A sum over the pixels, in CIEDE2000.
	grade float64
	shows bool // a grade changes the colour by more than is hard to see
}

// tiles are those of a frame, inside the matte's edge and outside.
type tiles struct {
	w, h, px int
	sides    [2][]tile
}

const (
	within = iota
	outside
)

// tiling is what tiles are made of.
type tiling struct {
	matte    colour.Plane
	picture  *colour.Image // after base, its noise smoothed
	likeness *check.Likeness
	grade    func(colour.RGB) colour.RGB
	radius   float64 // R in pixels
}

// tile cuts a frame in tiles.
func (g *tiling) tile(ctx context.Context, workers int) (*tiles, error) {
	px := max(1, int(g.radius/tilesPerRadius))
	t := &tiles{w: (g.matte.W + px - 1) / px, h: (g.matte.H + px - 1) / px, px: px}
	for side := range t.sides {
		t.sides[side] = make([]tile, t.w*t.h)
	}
	thin, fat, err := g.besides(ctx, workers)
	if err != nil {
		return nil, err
	}
	err = colour.EachStrip(ctx, workers, g.matte.H, px, func(y0, y1 int) {
		row := y0 / px * t.w
		for side := range t.sides {
			takes := func(i int) (bool, float32) { return thin.Pix[i] >= colour.Half, check.Alpha(g.matte.Pix[i]) }
			if side == outside {
				takes = func(i int) (bool, float32) { return fat.Pix[i] < colour.Half, 1 - check.Alpha(g.matte.Pix[i]) }
			}
			g.fill(t.sides[side][row:row+t.w], px, y0, y1, takes)
		}
	})
	if err != nil {
		return nil, fmt.Errorf("seam: %w", err)
	}
	return t, nil
}

// besides returns the matte shrunk and grown by what takes no part.
func (g *tiling) besides(ctx context.Context, workers int) (thin, fat colour.Plane, err error) {
	var treat selection.Treatment
	by := besideEdge * g.radius
	for dst, grow := range map[*colour.Plane]float64{&thin: -by, &fat: by} {
		edge := selection.NeutralEdge()
		edge.Grow = grow
		if err := treat.Apply(ctx, dst, &g.matte, nil, nil, edge, 1, workers); err != nil {
			return thin, fat, fmt.Errorf("seam: %w", err)
		}
	}
	return thin, fat, nil
}

// fill makes a row of tiles of the pixels of one side, in rows [y0,y1) of the frame. takes says
// whether a pixel is one of them, and how much the grade counts there.
func (g *tiling) fill(row []tile, px, y0, y1 int, takes func(i int) (bool, float32)) {
	w := g.matte.W
	var lab [3][]float32
	for c := range lab {
		lab[c] = make([]float32, w)
	}
	counts, rgb := make([]float64, len(row)), make([]colour.RGB, len(row))
	for y := y0; y < y1; y++ {
		colour.LabRow(lab[0], lab[1], lab[2], g.picture.R.Row(y), g.picture.G.Row(y), g.picture.B.Row(y))
		for x := range w {
			is, counting := takes(y*w + x)
			c := g.picture.RGB(x, y)
			if !is || !finite(c) {
				continue
			}
			t := &row[x/px]
			t.pixels++
			t.colour.L += float64(lab[0][x])
			t.colour.A += float64(lab[1][x])
			t.colour.B += float64(lab[2][x])
			counts[x/px] += float64(counting)
			rgb[x/px] = colour.RGB{R: rgb[x/px].R + c.R, G: rgb[x/px].G + c.G, B: rgb[x/px].B + c.B}
		}
	}
	for k := range row {
		t := &row[k]
		if t.pixels*leastFilled < px*px {
			t.pixels = 0
			continue
		}
		n := float64(t.pixels)
		t.colour = colour.Lab{L: t.colour.L / n, A: t.colour.A / n, B: t.colour.B / n}
		change := g.change(colour.RGB{R: rgb[k].R / n, G: rgb[k].G / n, B: rgb[k].B / n})
		t.grade, t.shows = change*counts[k], change >= Noticeable
		switch {
		case g.likeness.SurelyKept(t.colour):
			t.looks = kept
		case g.likeness.SurelyDropped(t.colour):
			t.looks = dropped
		}
	}
}

// change is by how much the grade changes a colour, in CIEDE2000.
func (g *tiling) change(c colour.RGB) float64 {
	to := g.grade(c)
	if to == c || !finite(to) {
		return 0
	}
	return c.Lab().DeltaE(to.Lab())
}

// apart is how far two tiles' colours lie apart in CIELAB.
func (t *tile) apart(u *tile) float64 {
	l, a, b := t.colour.L-u.colour.L, t.colour.A-u.colour.A, t.colour.B-u.colour.B
	return math.Sqrt(l*l + a*a + b*b)
}

// each visits the tiles of one side that touch a place, its own among them.
func (t *tiles) each(at, side int, visit func(at int, u *tile)) {
	x, y := at%t.w, at/t.w
	for j := max(y-1, 0); j <= min(y+1, t.h-1); j++ {
		for i := max(x-1, 0); i <= min(x+1, t.w-1); i++ {
			if u := &t.sides[side][j*t.w+i]; u.pixels > 0 {
				visit(j*t.w+i, u)
			}
		}
	}
}

// leastUsual is the least contrast, in CIELAB, that an edge is taken to have.
const leastUsual = 5

// usual is the median contrast of tiles that touch across the edge.
func (t *tiles) usual() float64 {
	var all []float64
	for at := range t.sides[within] {
		if own := &t.sides[within][at]; own.pixels > 0 {
			t.each(at, outside, func(_ int, u *tile) { all = append(all, own.apart(u)) })
		}
	}
	if len(all) == 0 {
		return leastUsual
	}
	slices.Sort(all)
	return max(leastUsual, all[len(all)/2])
}

// A region is tiles of one side that look alike and hang together.
type region struct {
	grade float64 // of those in which it shows
	tiles []int
	// Across the edge it touches tiles; of these some are open to it: they look like it, and
	// the picture has no edge between.
	open, touched int
}

// regions finds those of one side that look like one kind of dab. Tiles hang together where they
// are no farther apart than alike, in CIELAB.
func (t *tiles) regions(side int, looks look, alike float64) (all []region) {
	own, seen := t.sides[side], make([]bool, t.w*t.h)
	for start := range own {
		if seen[start] || own[start].pixels == 0 || own[start].looks != looks {
			continue
		}
		r := region{tiles: []int{start}}
		seen[start] = true
		for i := 0; i < len(r.tiles); i++ {
			at := r.tiles[i]
			from := &own[at]
			if from.shows {
				r.grade += from.grade
			}
			t.each(at, side, func(next int, u *tile) {
				if !seen[next] && u.looks == looks && u.apart(from) < alike {
					seen[next] = true
					r.tiles = append(r.tiles, next)
				}
			})
			t.each(at, within+outside-side, func(_ int, u *tile) {
				r.touched++
				if u.looks == looks && u.apart(from) < alike {
					r.open++
				}
			})
		}
		all = append(all, r)
	}
	return all
}

// middle is the middle of the region's tile that is nearest to the middle of all, in pixels.
func (t *tiles) middle(r region) (x, y float64) {
	for _, at := range r.tiles {
		x += float64(at%t.w) / float64(len(r.tiles))
		y += float64(at/t.w) / float64(len(r.tiles))
	}
	nearest := slices.MinFunc(r.tiles, func(a, b int) int {
		far := func(at int) float64 { return math.Hypot(float64(at%t.w)-x, float64(at/t.w)-y) }
		switch d := far(a) - far(b); {
		case d < 0:
			return -1
		case d > 0:
			return 1
		}
		return 0
	})
	return (float64(nearest%t.w) + 0.5) * float64(t.px), (float64(nearest/t.w) + 0.5) * float64(t.px)
}
