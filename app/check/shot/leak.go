package shot

import (
	"context"
	"image"
	"math"
	"slices"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// leastBand is the width in pixels over which a mask's edge is looked at where it
// fades over less: one pixel alone would be as much chance as the matte.
const leastBand = 3

// leaks finds what a frame's masks cut through, nothing where no mask's edge is
// in the picture, which share of the matte's edge they end, and the core. A mask that is led
// to the picture's edge is looked at along the edge that was found, but for what it cuts.
//
// Masks count at full opacity, so that a faint one has no band all over. A keep
// mask that fades over less than leastBand has its band that wide, inward, and a
// drop mask outward: there the matte is, on the other side there is none. Where a
// mask's edge lies within another keep mask it cuts through nothing, and is left
// out.
func (p *pass) leaks(ctx context.Context, r *render.Renderer, f *Frame, now *moment) error {
	layers := p.Settings.At(f.Number).Masks
	if len(layers) == 0 {
		return nil
	}
	drawn, err := r.Mask(ctx, now.request)
	if err != nil {
		return err
	}
	masked, ok, err := check.MaskedEdge(ctx, now.matte, drawn)
	if err != nil {
		return err
	}
	if ok {
		f.MaskedEdge = &masked
	}
	f.Filled = filled(now.matte, drawn)
	outlines, err := r.Outlines(ctx, now.request)
	if err != nil {
		return err
	}
	f.Crossings, f.Sure = render.CrossingsOf(outlines), sureOf(outlines)
	found := onFound(outlines)
	c, err := coreOf(ctx, r, now.request, found, now.region(), now.size.X)
	if err != nil {
		return err
	}
	f.Core = c.mean()
	if len(p.Settings.Joins) == 0 && keeps(outlines) {
		if f.Bite, err = check.MeasureBite(ctx, c.matte, c.deep, now.picture, p.samples, 1); err != nil {
			return err
		}
		if f.Bite != nil { // of a proxy
			f.Bite.Inside *= max(p.Factor, 1) * max(p.Factor, 1)
		}
	}
	bands, err := bandsOf(ctx, found, now)
	if err != nil {
		return err
	}
	matte, err := p.uncovered(ctx, r, now)
	if err != nil {
		return err
	}
	if f.Band = bandMean(matte, bands); f.Band == nil {
		return nil
	}
	if at := cutting(outlines); at != nil {
		if bands, err = bandsOf(ctx, at, now); err != nil {
			return err
		}
	}
	f.Cut = pointer(cutLength(matte, drawn, bands) * float64(max(p.Factor, 1)))
	return nil
}

// filled is a matte's area over that of its masks; nil where these are empty.
func filled(matte, masks colour.Plane) *float64 {
	var area, of float64
	for i, w := range masks.Pix {
		area += float64(matte.Pix[i])
		of += float64(w)
	}
	if of == 0 {
		return nil
	}
	return pointer(area / of)
}

// onFound returns masks with their found edges in place of the outlines.
func onFound(outlines []render.Outline) []mask.Layer {
	out := make([]mask.Layer, len(outlines))
	for i, o := range outlines {
		out[i] = o.OnFound()
	}
	return out
}

// cutting returns masks along whose edges what they cut is lost; nil where these are the
// found edges. What lies outside an outline that is drawn about the subject is lost. One that
// is drawn on the edge is looked at on both sides: there the edge that was found ends it.
func cutting(outlines []render.Outline) (out []mask.Layer) {
	out = onFound(outlines)
	same := true
	for i, o := range outlines {
		if o.Layer.Searches() && o.Layer.Stretch == nil && !o.Layer.Search.Tight {
			out[i], same = o.Layer, false
		}
	}
	if same {
		return nil
	}
	return out
}

// bandsOf draws the bands of masks on a moment.
func bandsOf(ctx context.Context, layers []mask.Layer, now *moment) (bands colour.Plane, err error) {
	return bands, mask.Compose(ctx, &bands, banded(layers), now.region(), 1)
}

// banded returns masks as their bands are looked for.
func banded(layers []mask.Layer) []mask.Layer {
	out := make([]mask.Layer, 0, len(layers))
	for _, l := range layers {
		if l.Opacity > 0 {
			l.Opacity = 1
		}
		if narrow := leastBand - l.Inner - l.Outer; narrow > 0 {
			if l.Drop {
				l.Outer += narrow
			} else {
				l.Inner += narrow
			}
		}
		out = append(out, l)
	}
	return out
}

// region is the part of a frame that a moment has, as package mask has it.
func (m *moment) region() mask.Region {
	factor := max(m.request.Factor, 1)
	low := m.request.Region.Min.Div(factor).Mul(factor)
	high := low.Add(image.Pt(m.matte.W, m.matte.H).Mul(factor))
	return mask.Region{X0: low.X, Y0: low.Y, X1: min(high.X, m.size.X), Y1: min(high.Y, m.size.Y), Factor: factor}
}

// bandMean is the mean alpha where weights lie between 0 and 1; nil where none
// does.
func bandMean(matte, weights colour.Plane) *float64 {
	return meanWhere(matte, weights, func(w float32) bool { return w > 0 && w < 1 })
}

// meanWhere is the mean alpha where weights are as is says; nil where none is.
func meanWhere(matte, weights colour.Plane, is func(w float32) bool) *float64 {
	sum, n := 0.0, 0
	for i, w := range weights.Pix {
		if is(w) {
			sum += float64(matte.Pix[i])
			n++
		}
	}
	if n == 0 {
		return nil
	}
	return pointer(sum / float64(n))
}

// A mask's edge cuts through the matte where alpha before the masks was one half
// or more; where these leave less than leastLeft nothing is known of that.
const (
	cutFrom   = 0.5
	leastLeft = 0.05
)

// cutLength is the length, in pixels, of the longest stretch of the masks' edges
// that cuts through the matte without a break. In the bands, where weights rise
// from 0 to 1, the sum of their slopes over an area is the length of the edge in
// it (the coarea formula of geometric measure theory).
func cutLength(matte, drawn, bands colour.Plane) float64 {
	in := make([]bool, len(matte.Pix))
	any := false
	for i, w := range bands.Pix {
		in[i] = w > 0 && w < 1 && drawn.Pix[i] >= leastLeft && matte.Pix[i] >= cutFrom*drawn.Pix[i]
		any = any || in[i]
	}
	if !any {
		return 0
	}
	label := make([]int32, len(in))
	lengths := make([]float64, len(selection.Components(label, in, matte.W, matte.H)))
	for i, k := range label {
		if k >= 0 {
			lengths[k] += slope(bands, i%bands.W, i/bands.W)
		}
	}
	return slices.Max(lengths)
}

// slope is the length of a plane's gradient at a pixel.
func slope(p colour.Plane, x, y int) float64 {
	across := float64(p.At(min(x+1, p.W-1), y)-p.At(max(x-1, 0), y)) / 2
	down := float64(p.At(x, min(y+1, p.H-1))-p.At(x, max(y-1, 0))) / 2
	return math.Hypot(across, down)
}
