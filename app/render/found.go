package render

import (
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"reflect"
	"slices"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/mask/edge"
)

// found returns layers led to the edges that are found for them (see lead).
func (p *part) found(ctx context.Context, layers []mask.Layer) ([]mask.Layer, []*mask.Raster, error) {
	if !searches(layers) {
		return layers, nil, nil
	}
	all := make([]*edge.Found, len(layers))
	for i := range layers {
		if l := &layers[i]; l.Searches() {
			var err error
			if all[i], err = p.findEdge(ctx, l); err != nil {
				return nil, nil, err
			}
		}
	}
	led, weights := lead(layers, all)
	return led, weights, nil
}

// lead returns layers with the outlines that were found in place of those drawn where
// they have a feather, and where they have none the weights that were found. Of a layer
// whose edge is not searched for, found is nil.
func lead(layers []mask.Layer, found []*edge.Found) ([]mask.Layer, []*mask.Raster) {
	layers = slices.Clone(layers)
	weights := make([]*mask.Raster, len(layers))
	for i, f := range found {
		l := &layers[i]
		switch {
		case f == nil || f.Lost: // the drawn outline is all there is
		case l.Inner+l.Outer > 0:
			l.Points, l.Rounded = f.Outline, false
		default:
			weights[i] = &f.Weights
		}
	}
	return layers, weights
}

// findEdge finds a layer's edge in the smoothed picture after base, at full detail. It is
// the same whatever part of the frame is asked for. Who asks for it while it is being found
// waits for that.
func (p *part) findEdge(ctx context.Context, l *mask.Layer) (*edge.Found, error) {
	key := p.edgeKey(l)
	done, err := p.finding.take(ctx, key)
	if err != nil {
		return nil, err
	}
	defer done()
	return stage(p.Renderer, FindEdge, key, func() (*edge.Found, int, error) {
		picture, err := p.pictureIn(ctx, edge.Crop(l.Shape, p.size))
		if err != nil {
			return nil, 0, err
		}
		f, err := edge.Find(ctx, l.Shape, l.Search, picture, p.size, p.workers)
		if err != nil {
			return nil, 0, err
		}
		if f.Lost && inPicture(l.Shape, p.size) {
			p.lost.add(p.edgeKey(l))
		}
		return f, f.Bytes(), nil
	})
}

// edgeKey is what a layer's edge depends on: see also Outline.IsOf.
func (p *part) edgeKey(l *mask.Layer) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%v %v %v", l.Points, l.Rounded, l.Search))
	return fmt.Sprintf("edge %x in %s", sum, p.searchedKey())
}

// searchedKey is what edges are found in, whatever the part and the proxy.
func (p *part) searchedKey() string {
	return fmt.Sprintf("%s smoothed %v base %v", p.sourceKey(), p.study.Clip.Noise, p.study.Base.At(p.frame))
}

// pictureIn returns a rectangle of the smoothed picture after base, as it is in the whole
// frame.
func (p *part) pictureIn(ctx context.Context, r image.Rectangle) (*colour.Image, error) {
	if r.Empty() {
		return new(colour.Image), nil
	}
	q := *p
	if !p.isWhole() || p.factor > 1 {
		q.work = r.Inset(-smoothReach).Intersect(image.Rectangle{Max: p.size})
	}
	q.factor, q.need = 1, cellsIn(q.work.Size(), r.Sub(q.work.Min))
	m, err := q.based(ctx, true)
	if err != nil {
		return nil, err
	}
	out := new(colour.Image)
	return out, cutImage(ctx, out, m, r.Sub(q.work.Min), p.workers)
}

// searches reports whether any of the layers' edges is searched for.
func searches(layers []mask.Layer) bool {
	return slices.ContainsFunc(layers, func(l mask.Layer) bool { return l.Searches() })
}

// withoutSearch returns settings whose outlines stay as they are drawn where their edges
// were not found before, also in what they take in.
func (p *part) withoutSearch(at study.SettingsAt) study.SettingsAt {
	if searches(at.Masks) {
		at.Masks = slices.Clone(at.Masks)
		for i := range at.Masks {
			l := &at.Masks[i]
			if _, ok := p.cache.get(cacheKey(FindEdge, p.edgeKey(l))); l.Search.On() && !ok {
				l.Search = mask.Search{}
			}
		}
	}
	at.Joined = slices.Clone(at.Joined)
	for i := range at.Joined {
		at.Joined[i].Settings = p.withoutSearch(at.Joined[i].Settings)
	}
	return at
}

// An Outline is a mask's outline on a frame as drawn, and where its edge was found.
type Outline struct {
	Layer mask.Layer
	Found *edge.Found // nil where none is searched for
}

// IsOf reports whether an outline's edge is that of a layer too, in the same picture: they
// have alike what the search reads of them. Feather and opacity do not count.
func (o *Outline) IsOf(l *mask.Layer) bool {
	return slices.Equal(o.Layer.Points, l.Points) && o.Layer.Rounded == l.Rounded && reflect.DeepEqual(o.Layer.Search, l.Search)
}

// Outlines returns the outlines of a matte's own masks, and finds their edges. Region,
// factor and what is hidden do not count.
func (r *Renderer) Outlines(ctx context.Context, q Request) ([]Outline, error) {
	q.Region, q.Factor = image.Rectangle{}, 1
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, err
	}
	all := make([]Outline, len(p.at.Masks))
	for i, l := range p.at.Masks {
		all[i].Layer = l
		if !l.Searches() {
			continue
		}
		if all[i].Found, err = p.findEdge(ctx, &l); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// WeightAt is the weight in [0,1] that masks of one frame, led to the edges found for them,
// give a source pixel.
func WeightAt(ctx context.Context, masks []Outline, x, y int) (float64, error) {
	layers, found := make([]mask.Layer, len(masks)), make([]*edge.Found, len(masks))
	for i, o := range masks {
		layers[i], found[i] = o.Layer, o.Found
	}
	layers, weights := lead(layers, found)
	var one colour.Plane
	if err := mask.ComposeFound(ctx, &one, layers, weights, mask.Region{X0: x, Y0: y, X1: x + 1, Y1: y + 1, Factor: 1}, 1); err != nil {
		return 0, err
	}
	return float64(one.Pix[0]), nil
}
