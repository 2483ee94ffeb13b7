package settle

import (
	"context"
	"image"
	"math"

	"halocline/app/motion"
	"halocline/colour"
)

// tileSide is the samples on a side of the tiles in which a matte is looked at. Most of a
// matte is 0 or 1 all over a tile, and so is what is carried there: then it stays as it is.
const tileSide = 16

// tiles are the alpha of each tile of a plane, NaN where it is not the same all over.
type tiles struct {
	across int
	alpha  []float32
}

func tilesOf(ctx context.Context, p colour.Plane, workers int) (tiles, error) {
	t := tiles{across: tileCount(p.W)}
	t.alpha = make([]float32, t.across*tileCount(p.H))
	err := colour.EachStrip(ctx, workers, p.H, tileSide, func(y0, y1 int) {
		row := t.alpha[y0/tileSide*t.across:][:t.across]
		for i := range row {
			row[i] = evenAlpha(p, i*tileSide, min((i+1)*tileSide, p.W), y0, y1)
		}
	})
	return t, err
}

// evenAlpha is the alpha of a part of a plane, NaN where it is not the same all over.
func evenAlpha(p colour.Plane, x0, x1, y0, y1 int) float32 {
	first := p.Pix[y0*p.W+x0]
	for y := y0; y < y1; y++ {
		for _, a := range p.Pix[y*p.W+x0 : y*p.W+x1] {
			if a != first {
				return float32(math.NaN())
			}
		}
	}
	return first
}

// tileCount is how many tiles a side of n samples has.
func tileCount(n int) int { return (n + tileSide - 1) / tileSide }

// all reports whether all of a rectangle's tiles, one or more samples of the plane, are a.
func (t *tiles) all(r image.Rectangle, a float32) bool {
	for y := r.Min.Y / tileSide; y < tileCount(r.Max.Y); y++ {
		for x := r.Min.X / tileSide; x < tileCount(r.Max.X); x++ {
			if t.alpha[y*t.across+x] != a {
				return false
			}
		}
	}
	return true
}

// tileAt is a tile of a plane, in its samples.
func tileAt(p colour.Plane, x, y int) image.Rectangle {
	return image.Rect(x*tileSide, y*tileSide, (x+1)*tileSide, (y+1)*tileSide).Intersect(image.Rect(0, 0, p.W, p.H))
}

// onto is the part of a rectangle within another; where it lies beyond, the border nearest to it,
// as motion.Part.Read has it.
func onto(r, within image.Rectangle) image.Rectangle {
	near := func(v, from, to int) int { return min(max(v, from), to) }
	return image.Rect(
		near(r.Min.X, within.Min.X, within.Max.X-1), near(r.Min.Y, within.Min.Y, within.Max.Y-1),
		near(r.Max.X, within.Min.X+1, within.Max.X), near(r.Max.Y, within.Min.Y+1, within.Max.Y))
}

// Reach returns the samples of a side that a part of a matte is carried from, by the motion to
// that side, and a few about them: part and whole are in samples of the whole plane, each of
// which stands for step x step pixels.
func Reach(ctx context.Context, part, whole image.Rectangle, step int, to *motion.Flow, workers int) (image.Rectangle, error) {
	at := motion.Part{Plane: colour.Plane{W: part.Dx(), H: part.Dy()}, Min: part.Min, Step: step}
	rows := make([]image.Rectangle, tileCount(at.H))
	err := colour.EachStrip(ctx, workers, at.H, tileSide, func(y0, _ int) {
		y := y0 / tileSide
		for x := range tileCount(at.W) {
			rows[y] = rows[y].Union(onto(at.Targets(to, tileAt(at.Plane, x, y)), whole))
		}
	})
	var all image.Rectangle
	for _, r := range rows {
		all = all.Union(r)
	}
	return all, err
}
