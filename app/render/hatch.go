package render

import (
	"context"
	"image"

	"halocline/colour"
)

// The hatch: pairs of diagonal lines a pixel wide, one darker and one lighter
// than what lies under them, so that they show on any ground and shift no hue.
// It lies on the picture's own grid, as the patterns of reasons do.
const (
	hatchEvery = 6   // px from pair to pair
	hatchDark  = 0.5 // how far the dark line goes to black
	hatchLight = 0.2 // how far the light line goes to white
)

// Hatch returns the picture as it is shown, with what a matte does not keep
// under a hatch, the more the less it keeps.
func (r *Renderer) Hatch(ctx context.Context, q Request) (*colour.Image, error) {
	shown, at, err := r.shownAt(ctx, q)
	if err != nil {
		return nil, err
	}
	matte, err := r.Matte(ctx, q)
	if err != nil {
		return nil, err
	}
	return Hatched(ctx, shown, matte, at, r.workers)
}

// Hatched lays the hatch over a picture where a matte of its size does not keep it.
// Its first pixel is at a place of the grid that the hatch lies on.
func Hatched(ctx context.Context, shown *colour.Image, matte colour.Plane, at image.Point, workers int) (*colour.Image, error) {
	w, h := shown.Size()
	out := colour.NewImage(w, h)
	err := colour.EachBand(ctx, workers, h, func(y0, y1 int) {
		for y := y0; y < y1; y++ {
			hatchRow(rowOf(out, y), rowOf(shown, y), matte.Row(y), at.Add(image.Pt(0, y)))
		}
	})
	return out, err
}

func hatchRow(out, shown pixels, matte []float32, at image.Point) {
	for c := range out {
		copy(out[c], shown[c])
		row := out[c][:len(matte)]
		first := (hatchEvery - (at.X+at.Y)%hatchEvery) % hatchEvery
		for x := first; x < len(row); x += hatchEvery {
			row[x] -= float32(hatchDark * (1 - matte[x]) * row[x])
		}
		first = (first + 1) % hatchEvery
		for x := first; x < len(row); x += hatchEvery {
			row[x] += float32(hatchLight * (1 - matte[x]) * (1 - row[x]))
		}
	}
}

// Cutout returns the picture as it is shown and the matte as its alpha, by which
// the colours are not multiplied.
func (r *Renderer) Cutout(ctx context.Context, q Request) (*colour.Image, colour.Plane, error) {
	shown, err := r.Shown(ctx, q)
	if err != nil {
		return nil, colour.Plane{}, err
	}
	matte, err := r.Matte(ctx, q)
	return shown, matte, err
}
