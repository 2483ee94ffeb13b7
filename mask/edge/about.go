package edge

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"

	"halocline/colour"
	"halocline/mask"
)

// followed is how an edge is searched for about an outline that was carried from other
// frames: less may bend it, and what colours nearby say counts more.
var followed = manner{contrast: 25, localShare: 0.7, bandReach: 10}

// FollowReach is how far on both sides of a carried outline its edge is looked for, in
// pixels of a picture of at most 1080 lines.
const FollowReach = 20

// An Expected is where an edge is expected on a frame.
type Expected struct {
	// Depths are how deep each pixel lies inside of a carried outline, in pixels of the source,
	// up to at least FollowReach units on both sides. Pixels beyond them lie outside.
	Depths mask.Raster
	// Colours are those of the subject and of what is about it, on frames where the edge is
	// known.
	Colours []*Colours
	Dabs    []mask.Dab
}

// Colours are samples of what lies inside an edge and about it.
type Colours struct{ in, out []vector }

// A Followed is the edge that was found about a carried outline, and what speaks for it.
type Followed struct {
	Found
	// Carried is how well the edge agrees with the carried outline, Cuts how well the two cuts
	// of the search agree: intersection over union.
	Carried, Cuts float64
	// Alike is the share of the pixels about the edge whose colour is that of their side.
	Alike float64
}

// ColoursOf learns the colours on both sides of an outline that lies on its subject's edge.
// picture is the part that Crop names, as for Find.
func ColoursOf(ctx context.Context, s mask.Shape, picture *colour.Image, size image.Point, workers int) (*Colours, error) {
	f := &finder{shape: s, size: size, area: area(s, size), crop: Crop(s, size), workers: workers}
	if f.crop.Empty() {
		return new(Colours), nil
	}
	g, _ := f.grounds(picture)
	if err := g.fill(ctx, s); err != nil {
		return nil, err
	}
	g.depth = make([]float32, len(g.filled))
	signedDepths(g.depth, g.filled, g.w, g.h)
	return g.coloursOff(float32(localOff * g.unit)), nil
}

// coloursOff samples colours that lie deeper inside or farther outside than so many pixels,
// outside up to the ring's width.
func (g *ground) coloursOff(off float32) *Colours {
	ring := float32(ringWidth * g.unit)
	side := func(i int) (int, bool) {
		d := g.depth[i]
		return btoi(d > 0), g.place[i] != offFrame && (d >= off || d <= -off && d >= -ring)
	}
	var c Colours
	to := [2]*[]vector{&c.out, &c.in}
	g.thinned(side, func(i, k int) { *to[k] = append(*to[k], g.lab[i].vector()) })
	return &c
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// CropAbout returns the part of a picture of a size that FindAbout reads.
func CropAbout(e *Expected, size image.Point) image.Rectangle {
	return e.area(size).Intersect(image.Rectangle{Max: size})
}

// area is the box of what may lie inside, with a margin, as far as it lies near the picture.
func (e *Expected) area(size image.Point) image.Rectangle {
	reach := float32(FollowReach * Unit(size.Y))
	var box image.Rectangle
	for y := range e.Depths.H {
		row := e.Depths.Row(y)
		first := slices.IndexFunc(row, func(d float32) bool { return d > -reach })
		if first < 0 {
			continue
		}
		last := len(row)
		for row[last-1] <= -reach {
			last--
		}
		box = box.Union(image.Rect(first, y, last, y+1))
	}
	if box.Empty() {
		return box
	}
	m := int(math.Ceil(margin * Unit(size.Y)))
	return box.Add(image.Pt(e.Depths.X0, e.Depths.Y0)).Inset(-m).Intersect(image.Rect(-2*m, -2*m, size.X+2*m, size.Y+2*m))
}

// FindAbout finds the edge near where it is expected: once by all colours, once more in a
// narrower band about that by those nearby. picture is the part that CropAbout names of a
// picture of a size. It is Lost where nothing is left inside. Errors as for Find.
func FindAbout(ctx context.Context, e *Expected, picture *colour.Image, size image.Point, workers int) (*Followed, error) {
	f := &finder{size: size, area: e.area(size), crop: CropAbout(e, size), workers: workers}
	if f.crop.Empty() {
		return &Followed{Found: Found{Lost: true}}, nil
	}
	if w, h := picture.Size(); f.crop.Dx() != w || f.crop.Dy() != h {
		panic(fmt.Sprintf("edge: found a picture of %d x %d pixels, want %v", w, h, f.crop.Size()))
	}
	g, fine := f.grounds(picture)
	g.manner, fine.manner = followed, followed
	g.expect(&e.Depths)
	g.dab(e.Dabs)
	if err := g.firstAbout(ctx, e.Colours); err != nil {
		return nil, err
	}
	first := slices.Clone(g.found)
	if err := g.second(ctx); err != nil {
		return nil, err
	}
	g.keepExpected()
	out := Followed{Cuts: overlap(first, g.found), Carried: overlap(g.filled, g.found), Alike: g.alike()}
	if fine != g {
		fine.expect(&e.Depths)
		if err := fine.refine(ctx, g, true); err != nil {
			return nil, err
		}
	}
	if fine.lostAll() {
		out.Lost = true
		return &out, nil
	}
	found, err := fine.soft(ctx, f.crop, picture, workers)
	if err != nil {
		return nil, err
	}
	out.Found = *found
	return &out, nil
}

// expect expects the edge on a carried outline, and looks on both sides of it.
func (g *ground) expect(depths *mask.Raster) {
	n := len(g.place)
	g.depth, g.half, g.prior = make([]float32, n), make([]float32, n), make([]int16, n)
	g.filled, g.dabbed = make([]bool, n), make([]place, n)
	k := float32(g.factor)
	for y := range g.h {
		for x := range g.w {
			d := depths.At(g.area.Min.X+x*g.factor+g.factor/2, g.area.Min.Y+y*g.factor+g.factor/2, -far) / k
			g.depth[y*g.w+x], g.filled[y*g.w+x] = d, d > 0
		}
	}
	g.expectOnLine(FollowReach)
}

// firstAbout finds the edge by the colours of frames where it is known, and by those on
// this frame that the carried outline leaves no doubt of.
func (g *ground) firstAbout(ctx context.Context, known []*Colours) error {
	g.says, g.found = make([]int16, len(g.place)), make([]bool, len(g.place))
	g.floor = min(max(floorShare*g.spread(), floorLeast), floorMost)
	g.link = g.links()
	here := g.coloursOff(float32(FollowReach * g.unit))
	in, out := slices.Clone(here.in), slices.Clone(here.out)
	for _, c := range known {
		in, out = append(in, c.in...), append(out, c.out...)
	}
	if len(in) >= fewest && len(out) >= fewest {
		g.inside, g.outside = learn(in, globalParts, g.floor, rounds), learn(out, globalParts, g.floor, rounds)
		if err := g.weigh(ctx, g.inside, g.outside); err != nil {
			return err
		}
	}
	return g.solve(ctx, g.given)
}

// keepExpected takes away parts of what was found that lie wholly off the carried outline.
func (g *ground) keepExpected() {
	seen := make([]bool, len(g.found))
	for i, in := range g.found {
		if !in || seen[i] {
			continue
		}
		seen[i] = true
		pixels, expected := []int{i}, false
		for n := 0; n < len(pixels); n++ {
			expected = expected || g.filled[pixels[n]] || g.dabbed[pixels[n]] == sureIn
			g.beside(pixels[n], func(j int) {
				if g.found[j] && !seen[j] {
					seen[j] = true
					pixels = append(pixels, j)
				}
			})
		}
		if !expected {
			for _, j := range pixels {
				g.found[j] = false
			}
		}
	}
}

// alike is the share of the undecided pixels whose colour is that of the side they are on.
func (g *ground) alike() float64 {
	agree, all := 0, 0
	for i, p := range g.place {
		if p == undecided {
			all++
			agree += btoi((g.says[i] > 0) == g.found[i])
		}
	}
	return float64(agree) / float64(max(all, 1))
}

// lostAll reports whether nothing lies inside.
func (g *ground) lostAll() bool { return !slices.Contains(g.found, true) }

// overlap is the intersection of two sets of pixels over their union; 1 where both are empty.
func overlap(a, b []bool) float64 {
	both, either := 0, 0
	for i := range a {
		both += btoi(a[i] && b[i])
		either += btoi(a[i] || b[i])
	}
	if either == 0 {
		return 1
	}
	return float64(both) / float64(either)
}

// OutlineOf returns where depths are 0, as one closed polygon of non-zero winding like that of
// a Found; nil where nothing lies inside.
func OutlineOf(depths *mask.Raster) []mask.Point {
	const steep = 8 // pixels over which a depth becomes a weight: the contour is where it was
	w := colour.NewPlane(depths.W, depths.H)
	for i, d := range depths.Pix {
		w.Pix[i] = min(max(0.5+d/steep, 0), 1)
	}
	loops := contours(w, image.Pt(depths.X0, depths.Y0))
	if len(loops) == 0 {
		return nil
	}
	largestFirst(loops)
	return tied(loops)
}
