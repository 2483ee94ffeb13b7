package follow

import (
	"context"
	"image"
	"math"

	"halocline/colour"
	"halocline/mask"
	"halocline/mask/edge"
)

// perFrame is how much confidence is left with each frame from a single key.
const perFrame = 0.98

// An Ask is what is known of a followed frame. Share is the way from one end of its stretch
// to the other, in [0,1]; From and To are the outlines carried from there.
type Ask struct {
	From, To *Carried // nil where the stretch has no key on that side
	Share    float64
	Frames   int // from the key, where there is one alone
	Size     image.Point
	Search   *Search // nil where the mask does not search for the edge
}

// A Search is what is needed to find the edge near the carried outline.
type Search struct {
	Colours []*edge.Colours // at the keys
	Dabs    []mask.Dab
	// Picture gives a part of the smoothed picture after base.
	Picture func(ctx context.Context, r image.Rectangle) (*colour.Image, error)
}

// A Result is a followed outline. Weights of Found are empty where the mask does not search.
type Result struct {
	edge.Found
	Confidence float64 // in [0,1]: how likely the outline is right; 0 where nothing of it is left, or it came across a cut
	Breaks     Breaks  // on the ways to it
}

// Frame finds the outline on a followed frame. It is Lost where nothing of it is left.
func Frame(ctx context.Context, a Ask, workers int) (*Result, error) {
	r, err := a.find(ctx, workers)
	if err != nil {
		return nil, err
	}
	for _, c := range []*Carried{a.From, a.To} {
		if c != nil {
			r.Breaks.Add(c.Breaks)
		}
	}
	if len(r.Breaks.Cuts) > 0 {
		r.Confidence = 0
	}
	return r, nil
}

// find finds the outline, and how likely it is right unless it came across a cut.
func (a *Ask) find(ctx context.Context, workers int) (*Result, error) {
	expected, agreed, err := a.expected(ctx, workers)
	if err != nil {
		return nil, err
	}
	if a.Search == nil {
		outline := edge.OutlineOf(&expected)
		if outline == nil {
			agreed = 0
		}
		return &Result{Found: edge.Found{Outline: outline, Contours: [][]mask.Point{outline}, Lost: outline == nil}, Confidence: a.faded(agreed)}, nil
	}
	e := &edge.Expected{Depths: expected, Colours: a.Search.Colours, Dabs: a.Search.Dabs}
	picture, err := a.Search.Picture(ctx, edge.CropAbout(e, a.Size))
	if err != nil {
		return nil, err
	}
	f, err := edge.FindAbout(ctx, e, picture, a.Size, workers)
	if err != nil {
		return nil, err
	}
	r := &Result{Found: f.Found}
	switch {
	case f.Lost:
	case a.From != nil && a.To != nil:
		r.Confidence = agreed * f.Cuts * f.Alike
	default:
		r.Confidence = a.faded(f.Carried * f.Alike)
	}
	return r, nil
}

// faded is a confidence after the frames from a single key.
func (a *Ask) faded(v float64) float64 {
	if a.From != nil && a.To != nil {
		return v
	}
	return v * math.Pow(perFrame, float64(a.Frames))
}

// expected blends what came from both ends by time, and tells how well the two agree: their
// intersection over their union.
func (a *Ask) expected(ctx context.Context, workers int) (out mask.Raster, agreed float64, err error) {
	var ends []mask.Raster
	for _, c := range []*Carried{a.From, a.To} {
		if c == nil {
			continue
		}
		var d mask.Raster
		if len(c.Points) > 0 {
			if d, err = depthsOf(ctx, mask.Shape{Points: c.Points}, a.Size, workers); err != nil {
				return out, 0, err
			}
		}
		ends = append(ends, d)
	}
	if len(ends) == 1 {
		return ends[0], 1, nil
	}
	out, agreed = blended(ends[0], ends[1], a.Share, -float32(reach(a.Size)))
	return out, agreed, nil
}

// blended goes from one raster of depths to another, a share of the way; beyond them depths
// are off.
func blended(from, to mask.Raster, share float64, off float32) (out mask.Raster, overlap float64) {
	box := from.Bounds().Union(to.Bounds())
	out = mask.Raster{X0: box.Min.X, Y0: box.Min.Y, Plane: colour.NewPlane(box.Dx(), box.Dy())}
	both, either := 0, 0
	for y := range out.H {
		row := out.Row(y)
		for x := range row {
			a, b := from.At(box.Min.X+x, box.Min.Y+y, off), to.At(box.Min.X+x, box.Min.Y+y, off)
			row[x] = float32((1-share)*float64(a)) + float32(share*float64(b))
			if a > 0 || b > 0 {
				either++
				if a > 0 && b > 0 {
					both++
				}
			}
		}
	}
	return out, float64(both) / float64(max(either, 1))
}
