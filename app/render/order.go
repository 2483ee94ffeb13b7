package render

import (
	"context"
	"crypto/sha256"
	"fmt"
	"slices"

	"halocline/app/study"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// Matte returns how much of each pixel a matte keeps, in [0,1]. This is the
// order of the stages:
//
//	decode -> smooth noise -> base -> pick -> despeckle, align, harden
//	-> times masks (led to the picture's edges) -> joined mattes -> grow, soften, settle -> at most what drop masks leave = matte
//
// and decode -> base is what is shown, which trials grade through the mattes in
// their order (see Trial). Fit, pick and align read the smoothed picture after
// base; never a trial, a look or another matte. A joined matte is another's final one:
// see study.How. Pixels where the masks are 0 take
// no part in despeckle, align and harden. Grow and soften treat the edges that masks
// cut as those of the pick: what lies outside a keep mask is 0 to them, and their
// result may reach past it. A proxy's pick is the mean of what the pick makes
// of every pixel, and its edge is treated as a proxy; what is shown, and what align
// reads, is made a proxy before base. Settle reads the mattes of the frames before and after as
// soften leaves them there (package settle), and the motion at full detail.
func (r *Renderer) Matte(ctx context.Context, q Request) (colour.Plane, error) {
	return r.plane(ctx, q, (*part).matte)
}

// Pick returns the colour part of a matte alone.
func (r *Renderer) Pick(ctx context.Context, q Request) (colour.Plane, error) {
	return r.plane(ctx, q, (*part).pick)
}

// Mask returns a matte's masks alone; where it has none, 1.
func (r *Renderer) Mask(ctx context.Context, q Request) (colour.Plane, error) {
	return r.plane(ctx, q, (*part).drawnMask)
}

// Shown returns a frame as it is shown: after base, its noise as it came. It
// is the same for every matte.
func (r *Renderer) Shown(ctx context.Context, q Request) (*colour.Image, error) {
	return r.image(ctx, q, func(p *part) (*colour.Image, error) { return p.based(ctx, false) })
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

// Picked returns the picture that fit and pick read: after base, and smoothed
// where the settings ask for it.
func (r *Renderer) Picked(ctx context.Context, q Request) (*colour.Image, error) {
	return r.image(ctx, q, func(p *part) (*colour.Image, error) { return p.based(ctx, p.at.Smooth) })
}

// Source returns a frame as it was decoded.
func (r *Renderer) Source(ctx context.Context, s *study.Study, frame int) (*colour.Image, error) {
	return r.decoded(ctx, place{s, frame})
}

func (r *Renderer) plane(ctx context.Context, q Request, make func(*part, context.Context) (*colour.Plane, error)) (colour.Plane, error) {
	if q.Settings == nil {
		panic("render: a matte needs settings")
	}
	p, err := r.part(ctx, q)
	if err != nil {
		return colour.Plane{}, err
	}
	p.touch()
	m, err := make(p, ctx)
	if err != nil {
		return colour.Plane{}, err
	}
	return p.wanted(ctx, m)
}

func (r *Renderer) image(ctx context.Context, q Request, make func(*part) (*colour.Image, error)) (*colour.Image, error) {
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, err
	}
	m, err := make(p)
	if err != nil {
		return nil, err
	}
	return p.wantedImage(ctx, m)
}

// Below are the stages, each under a key of all that it depends on.

func (r *Renderer) decoded(ctx context.Context, p place) (*colour.Image, error) {
	return stage(r, Decode, p.sourceKey(), func() (*colour.Image, int, error) {
		m, err := r.read(ctx, p)
		if err != nil {
			return nil, 0, err
		}
		return m, imageBytes(m), nil
	})
}

// glanced returns a frame that is decoded already or is not kept: on a long way from a key many frames
// are looked at once.
func (p *part) glanced(ctx context.Context) (*colour.Image, error) {
	if v, ok := p.cache.get(cacheKey(Decode, p.sourceKey())); ok {
		return v.(*colour.Image), nil
	}
	return p.read(ctx, p.place)
}

func (p *part) cropped(ctx context.Context) (*colour.Image, error) {
	if p.isWhole() {
		return p.decoded(ctx, p.place)
	}
	return imageStage(p.Renderer, Crop, p.sourceKey()+p.where(), func(dst *colour.Image) error {
		src, err := p.decoded(ctx, p.place)
		if err != nil {
			return err
		}
		return cutImage(ctx, dst, src, p.inSource(), p.workers)
	})
}

func (p *part) smoothedKey(smooth bool) string {
	if !smooth {
		return p.sourceKey() + p.where()
	}
	return fmt.Sprintf("%s smoothed %v", p.sourceKey()+p.where(), p.study.Clip.Noise)
}

func (p *part) smoothed(ctx context.Context, smooth bool) (*colour.Image, error) {
	if !smooth {
		return p.cropped(ctx)
	}
	return imagePart(p.Renderer, SmoothNoise, p.smoothedKey(smooth), p.needInDetail(), p.inSource().Size(), func(dst *colour.Image, missing *cells) error {
		src, err := p.cropped(ctx)
		if err != nil {
			return err
		}
		s := p.smoothers.Get().(*colour.Smoother)
		defer p.smoothers.Put(s)
		if missing == nil {
			return s.SmoothNoise(ctx, dst, src, p.study.Clip.Noise, p.workers)
		}
		return s.SmoothParts(ctx, dst, src, p.study.Clip.Noise, missing.parts(), p.workers)
	})
}

func (p *part) shrunkKey(smooth bool) string {
	return fmt.Sprintf("%s by %d", p.smoothedKey(smooth), p.factor)
}

func (p *part) proxy(ctx context.Context, smooth bool) (*colour.Image, error) {
	if p.factor == 1 {
		return p.smoothed(ctx, smooth)
	}
	return imagePart(p.Renderer, Shrink, p.shrunkKey(smooth), p.need, p.work.Size(), func(dst *colour.Image, missing *cells) error {
		src, err := p.only(missing).smoothed(ctx, smooth)
		if err != nil {
			return err
		}
		return shrinkImage(ctx, dst, src, p.factor, missing, p.workers)
	})
}

func (p *part) basedKey(smooth bool) string {
	return fmt.Sprintf("%s base %v", p.shrunkKey(smooth), p.study.Base.At(p.frame))
}

func (p *part) based(ctx context.Context, smooth bool) (*colour.Image, error) {
	base := p.study.Base.At(p.frame)
	if base.IsNeutral() {
		return p.proxy(ctx, smooth)
	}
	return imagePart(p.Renderer, Base, p.basedKey(smooth), p.need, p.work.Size(), func(dst *colour.Image, missing *cells) error {
		src, err := p.only(missing).proxy(ctx, smooth)
		if err != nil {
			return err
		}
		curves, err := base.Curves()
		if err != nil {
			return err
		}
		if missing == nil {
			return curves.Apply(ctx, dst, src, p.workers)
		}
		return curves.ApplyParts(ctx, dst, src, missing.parts(), p.workers)
	})
}

func (p *part) codesKey() string {
	key := fmt.Sprintf("%s in %s", p.basedKey(p.at.Smooth), p.at.Pick.Model)
	if p.at.Pick.Model == selection.PlaneModel {
		key += fmt.Sprintf(" %v", p.at.Pick.Normal)
	}
	return key
}

func (p *part) codes(ctx context.Context) (*selection.Codes, error) {
	return partStage(p.Renderer, Convert, p.codesKey(), p.need, func(old *partial[*selection.Codes], missing *cells) (*selection.Codes, int, error) {
		all, before := missing, (*selection.Codes)(nil)
		if old != nil { // the codes keep a picture, which must be good wherever they are
			all, before = p.need.and(old.made), old.value
		}
		src, err := p.only(all).based(ctx, p.at.Smooth)
		if err != nil {
			return nil, 0, err
		}
		c := new(selection.Codes)
		if missing == nil {
			err = c.Convert(ctx, src, p.at.Pick, p.workers)
		} else {
			err = c.ConvertParts(ctx, before, src, p.at.Pick, missing.parts(), p.workers)
		}
		return c, imageBytes(src) * 21 / 12, err // 9 bytes a pixel, and the picture
	})
}

func (p *part) pickKey() string {
	if p.shrinksPick() {
		return fmt.Sprintf("%s by %d", p.full().pickKey(), p.factor)
	}
	return fmt.Sprintf("%s pick %v", p.codesKey(), p.at.Pick)
}

// shrinksPick reports whether the pick is made at full detail, then a proxy.
func (p *part) shrinksPick() bool { return p.factor > 1 && !p.draft }

func (p *part) pick(ctx context.Context) (*colour.Plane, error) {
	if !p.shrinksPick() {
		return p.weighed(ctx)
	}
	return planePart(p.Renderer, Shrink, p.pickKey(), p.need, p.work.Size(), func(dst *colour.Plane, missing *cells) error {
		src, err := p.only(missing).full().weighed(ctx)
		if err != nil {
			return err
		}
		return shrinkCells(ctx, dst, *src, p.factor, missing, p.workers)
	})
}

func (p *part) weighed(ctx context.Context) (*colour.Plane, error) {
	return planePart(p.Renderer, Weigh, p.pickKey(), p.need, p.work.Size(), func(dst *colour.Plane, missing *cells) error {
		codes, err := p.only(missing).codes(ctx)
		if err != nil {
			return err
		}
		w := p.weighers.take(p.at.Pick)
		defer p.weighers.give(w)
		if missing == nil {
			return w.Matte(ctx, dst, codes, p.workers)
		}
		return w.MatteParts(ctx, dst, codes, missing.parts(), p.workers)
	})
}

// touch marks what leads to the pick as used, so that results of settings that
// a slider has passed by are forgotten before it, though they are newer.
func (p *part) touch() {
	if p.shrinksPick() {
		p.full().touch()
	}
	for _, k := range []struct {
		stage Stage
		key   string
	}{
		{Decode, p.sourceKey()}, {Crop, p.sourceKey() + p.where()}, {SmoothNoise, p.smoothedKey(p.at.Smooth)}, {Shrink, p.shrunkKey(p.at.Smooth)},
		{Base, p.basedKey(p.at.Smooth)}, {Convert, p.codesKey()}, {Weigh, p.pickKey()}, {Shrink, p.pickKey()},
	} {
		p.cache.get(cacheKey(k.stage, k.key))
	}
	p.touchWhole()
	for _, j := range p.at.Joined {
		p.other(j.Settings).touch()
	}
}

// touchWhole is touch for what lies between the pick and the stages that treat the whole.
func (p *part) touchWhole() {
	if len(p.at.Masks) == 0 {
		return
	}
	onPick, _ := p.stages()
	p.cache.get(cacheKey(Mask, p.maskKey(p.at.Masks)))
	p.cache.get(cacheKey(Mask, p.maskKey(p.drops())))
	p.cache.get(cacheKey(Times, p.afterKey(onPick)))
}

// maskKey does not name the frame, unless edges are found in it: masks that stand still are
// drawn once.
func (p *part) maskKey(layers []mask.Layer) string {
	sum := sha256.Sum256(fmt.Appendf(nil, "%v", layers))
	key := fmt.Sprintf("masks %x on %v by %d of %v", sum, p.work, p.factor, p.size)
	if searches(layers) {
		key += " in " + p.searchedKey()
	}
	return key
}

// masks returns the masks made one, nil where there are none: everything.
func (p *part) masks(ctx context.Context) (*colour.Plane, error) {
	if len(p.at.Masks) == 0 {
		return nil, nil
	}
	return p.drawnMask(ctx)
}

func (p *part) drawnMask(ctx context.Context) (*colour.Plane, error) {
	return p.drawn(ctx, p.at.Masks)
}

func (p *part) drawn(ctx context.Context, layers []mask.Layer) (*colour.Plane, error) {
	return planeStage(p.Renderer, Mask, p.maskKey(layers), func(dst *colour.Plane) error {
		layers, found, err := p.found(ctx, layers)
		if err != nil {
			return err
		}
		in := p.inSource()
		region := mask.Region{X0: in.Min.X, Y0: in.Min.Y, X1: in.Max.X, Y1: in.Max.Y, Factor: p.factor}
		return mask.ComposeFound(ctx, dst, layers, found, region, p.workers)
	})
}

// drops are the masks that leave out.
func (p *part) drops() []mask.Layer {
	return slices.DeleteFunc(slices.Clone(p.at.Masks), func(l mask.Layer) bool { return !l.Drop })
}

// matte returns the masked pick, with all that it takes in, after the stages that treat the
// whole, bounded by what the drop masks leave: those stages and what is taken in may reach
// past a keep mask, never into a drop mask.
func (p *part) matte(ctx context.Context) (*colour.Plane, error) {
	if p.at.Settle != nil {
		return p.settled(ctx)
	}
	onPick, onWhole := p.stages()
	drops := p.drops()
	switch {
	case len(onWhole) == 0 && len(p.at.Joined) == 0: // what is masked is bounded already
		return p.masked(ctx, onPick)
	case len(onWhole) == 0 && len(drops) == 0:
		return p.joined(ctx, onPick)
	}
	stage := Bound
	if len(drops) == 0 {
		stage = Stage(onWhole[len(onWhole)-1].Name)
	}
	return planeStage(p.Renderer, stage, p.wholeKey(onPick, onWhole), func(dst *colour.Plane) error {
		if nothing, err := p.keepNothing(ctx, dst); nothing || err != nil {
			return err
		}
		if err := p.unbounded(ctx, dst, onPick, onWhole); err != nil || len(drops) == 0 {
			return err
		}
		left, err := p.drawn(ctx, drops)
		if err != nil {
			return err
		}
		return least(ctx, dst, left, p.workers)
	})
}

// unbounded makes dst the matte before drop masks bound it. Its last stage is not kept
// where they do: nothing else is made of it.
func (p *part) unbounded(ctx context.Context, dst *colour.Plane, onPick, onWhole []selection.EdgeStage) error {
	if len(onWhole) > 0 {
		if len(p.drops()) > 0 {
			p.count(Stage(onWhole[len(onWhole)-1].Name))
		}
		return p.treatWhole(ctx, dst, onPick, onWhole)
	}
	src, err := p.joined(ctx, onPick)
	if err != nil {
		return err
	}
	dst.Reshape(src.W, src.H)
	copy(dst.Pix, src.Pix)
	return nil
}

// keepNothing makes dst 0 and returns true where the masks are 0 everywhere and nothing
// is taken in.
func (p *part) keepNothing(ctx context.Context, dst *colour.Plane) (bool, error) {
	m, err := p.masks(ctx)
	if err != nil || m == nil || len(p.at.Joined) > 0 {
		return false, err
	}
	need, err := p.touched(ctx, m, p.workers)
	if err != nil || !need.empty() {
		return false, err
	}
	dst.Reshape(m.W, m.H)
	clear(dst.Pix)
	return true, nil
}

// masked returns the treated pick times the masks: 0 where these are, so that all that
// leads to it is made only in the cells that they touch. The last stage of the
// treatment is not kept by itself: nothing else is made of it.
func (p *part) masked(ctx context.Context, stages []selection.EdgeStage) (*colour.Plane, error) {
	if len(p.at.Masks) == 0 {
		return p.after(ctx, stages)
	}
	return planeStage(p.Renderer, Times, p.afterKey(stages), func(dst *colour.Plane) error {
		m, err := p.masks(ctx)
		if err != nil {
			return err
		}
		need, err := p.touched(ctx, m, p.workers)
		if err != nil {
			return err
		}
		if need.empty() {
			dst.Reshape(m.W, m.H)
			clear(dst.Pix)
			return nil
		}
		return p.only(need).maskedInto(ctx, dst, m, stages)
	})
}

// maskedInto makes dst the treated pick times the masks m.
func (p *part) maskedInto(ctx context.Context, dst, m *colour.Plane, stages []selection.EdgeStage) error {
	if len(stages) == 0 {
		pick, err := p.pick(ctx)
		if err != nil {
			return err
		}
		return times(ctx, dst, pick, m, p.workers)
	}
	if err := p.treatPick(ctx, dst, stages); err != nil {
		return err
	}
	p.count(Stage(stages[len(stages)-1].Name))
	return times(ctx, dst, dst, m, p.workers)
}

// times makes dst, which may be a or b, their product.
func times(ctx context.Context, dst, a, b *colour.Plane, workers int) error {
	dst.Reshape(a.W, a.H)
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		from, to := y0*dst.W, y1*dst.W
		out, a, b := dst.Pix[from:to], a.Pix[from:to], b.Pix[from:to]
		for i, v := range a {
			out[i] = v * b[i]
		}
	})
}

// least makes each sample of dst at most that of b.
func least(ctx context.Context, dst, b *colour.Plane, workers int) error {
	return colour.EachBand(ctx, workers, dst.H, func(y0, y1 int) {
		from, to := y0*dst.W, y1*dst.W
		out, b := dst.Pix[from:to], b.Pix[from:to]
		for i, v := range b {
			out[i] = min(out[i], v)
		}
	})
}
