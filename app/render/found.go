package render

import (
	"cmp"
	"context"
	"crypto/sha256"
	"fmt"
	"image"
	"reflect"
	"slices"

	"halocline/app/follow"
	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/mask/edge"
)

// found returns layers led by the picture (see lead).
func (p *part) found(ctx context.Context, layers []mask.Layer) ([]mask.Layer, []*mask.Raster, error) {
	if !searches(layers) {
		return layers, nil, nil
	}
	all := make([]*edge.Found, len(layers))
	for i := range layers {
		if l := &layers[i]; l.Searches() {
			var err error
			if all[i], err = p.leadOf(ctx, l); err != nil {
				return nil, nil, err
			}
		}
	}
	led, weights := lead(layers, all)
	return led, weights, nil
}

// leadOf finds where the picture leads a layer's outline: to its edge, or along with its
// motion.
func (p *part) leadOf(ctx context.Context, l *mask.Layer) (*edge.Found, error) {
	if l.Stretch == nil {
		return p.findEdge(ctx, l)
	}
	r, err := p.followed(ctx, l)
	if err != nil {
		return nil, err
	}
	return &r.Found, nil
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
		case l.Inner+l.Outer > 0 || len(f.Weights.Pix) == 0:
			*l = Outline{Layer: *l, Found: f}.OnFound()
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
	return stageIn(p.Renderer, p.edges, FindEdge, key, func() (*edge.Found, int, error) {
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
	if l.Stretch != nil {
		return p.followedKey(l)
	}
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

// searches reports whether the picture leads any of the layers.
func searches(layers []mask.Layer) bool {
	return slices.ContainsFunc(layers, func(l mask.Layer) bool { return l.Searches() })
}

// asDrawn returns layers whose edges are not searched for, where they are drawn at all.
func asDrawn(layers []mask.Layer) []mask.Layer {
	layers = slices.Clone(layers)
	for i := range layers {
		if layers[i].Stretch == nil {
			layers[i].Search = mask.Search{}
		}
	}
	return layers
}

// withoutSearch returns settings whose outlines stay as they are drawn where their edges
// were not found before, also in what they take in and settle with.
func (p *part) withoutSearch(at study.SettingsAt) study.SettingsAt {
	if searches(at.Masks) {
		at.Masks = slices.Clone(at.Masks)
		for i := range at.Masks {
			l := &at.Masks[i]
			if !l.Searches() {
				continue
			}
			stage, in := FindEdge, p.edges
			if l.Stretch != nil {
				stage, in = FollowMask, p.foundOutlines()
			}
			if _, ok := in.get(cacheKey(stage, p.edgeKey(l))); !ok {
				l.Search, l.Stretch = mask.Search{}, nil
			}
		}
	}
	at.Joined = slices.Clone(at.Joined)
	for i := range at.Joined {
		at.Joined[i].Settings = p.withoutSearch(at.Joined[i].Settings)
	}
	if t := at.Settle; t != nil {
		at.Settle = &study.SettleAt{Share: t.Share, Before: p.on(p.frame - 1).withoutSearch(t.Before), After: p.on(p.frame + 1).withoutSearch(t.After)}
	}
	return at
}

// An Outline is a mask's outline on a frame as drawn, and where its edge was found.
type Outline struct {
	Mask  int // its id
	Layer mask.Layer
	Found *edge.Found // nil where the picture does not lead it
	// Confidence is how likely a followed outline is right, in [0,1]; 1 where none is followed.
	Confidence float64
	// Breaks are where the picture does not go on as usual on the ways of a followed outline.
	Breaks follow.Breaks
}

// OnFound returns the layer with the found edge as its outline, as if it had been drawn there;
// as it is drawn where none was found.
func (o Outline) OnFound() mask.Layer {
	l := o.Layer
	if o.Found != nil && !o.Found.Lost {
		l.Points, l.Rounded = o.Found.Outline, false
	}
	l.Search, l.Stretch = mask.Search{}, nil
	return l
}

// IsOf reports whether an outline's edge is that of a layer too, in the same picture: they
// have alike what the search reads of them. Feather and opacity do not count.
func (o *Outline) IsOf(l *mask.Layer) bool {
	return slices.Equal(o.Layer.Points, l.Points) && o.Layer.Rounded == l.Rounded &&
		reflect.DeepEqual(o.Layer.Search, l.Search) && reflect.DeepEqual(o.Layer.Stretch, l.Stretch)
}

// Outlines returns the outlines of a matte's own masks, and finds their edges. Region,
// factor and what is hidden do not count.
func (r *Renderer) Outlines(ctx context.Context, q Request) ([]Outline, error) {
	q.Region, q.Factor = image.Rectangle{}, 1
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, err
	}
	all, masks := make([]Outline, len(p.at.Masks)), q.Settings.MasksOn(q.Frame)
	for i, l := range p.at.Masks {
		all[i].Mask, all[i].Layer, all[i].Confidence = masks[i].ID, l, 1
		if !l.Searches() {
			continue
		}
		if err := p.lead(ctx, &all[i]); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// lead finds where the picture leads an outline.
func (p *part) lead(ctx context.Context, o *Outline) (err error) {
	if o.Layer.Stretch == nil {
		o.Found, err = p.findEdge(ctx, &o.Layer)
		return err
	}
	r, err := p.followed(ctx, &o.Layer)
	if err == nil {
		o.Found, o.Confidence, o.Breaks = &r.Found, r.Confidence, r.Breaks
	}
	return err
}

// A Crossing is where the subject may cross a mask's drawn outline, so that this cuts it.
type Crossing struct {
	Mask         int     // its id
	X, Y, Length float64 // its middle and how long it is, in pixels of the source
}

// CrossingsOf returns the crossings of outlines, the longest first.
func CrossingsOf(outlines []Outline) (all []Crossing) {
	for _, o := range outlines {
		if o.Found == nil {
			continue
		}
		for _, c := range o.Found.Crossings {
			all = append(all, Crossing{o.Mask, c.At.X, c.At.Y, c.Length})
		}
	}
	slices.SortStableFunc(all, func(a, b Crossing) int { return cmp.Compare(b.Length, a.Length) })
	return all
}

// DrawnAt is the weight in [0,1] that masks of one frame, as their outlines are drawn, give a
// source pixel.
func DrawnAt(ctx context.Context, masks []Outline, x, y int) (float64, error) {
	masks = slices.Clone(masks)
	for i := range masks {
		masks[i].Found = nil
	}
	return WeightAt(ctx, masks, x, y)
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
