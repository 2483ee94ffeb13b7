package render

import (
	"context"
	"image"
	"slices"
	"sync/atomic"

	"halocline/app/follow"
	"halocline/app/motion"
	"halocline/app/study"
)

// A follows is what renderers of one clip share of the outlines that follow its picture: to
// carry one along a stretch takes longer than all else of its frames.
type follows struct {
	outlines *cache // carried, and as they are known at keys
	found    *cache // outlines as they were found, where renderers share them; nil: each has its own
	carrying turns
	trails   trails
	store    OutlineStore // nil: none
	prints   prints
	pace     pace
	gate     gate // shut while following is paused
	tell     atomic.Pointer[func(done, of int)]
}

// outlineBytes is what is kept of carried outlines: those of some hundred frames, all told.
const outlineBytes = 64 << 20

func newFollows() *follows { return &follows{outlines: newCache(outlineBytes)} }

// An OutlineStore keeps data beyond a renderer's life, under digests of 64 hexadecimal digits
// that tell all that the data depend on. Its methods are called from several goroutines.
type OutlineStore interface {
	Load(digest string) ([]byte, bool)
	Has(digest string) bool
	Save(digest string, data []byte)
	Drop(digest string)
}

// KeepOutlines has what is carried along stretches that masks follow loaded from a store and
// saved there, by this renderer and those made from it (Alone). What lies in the store is taken
// for the content of the frames' files, and never where one of them changes meanwhile. It is to
// be called before anything is rendered. A source that tells no files keeps nothing.
func (r *Renderer) KeepOutlines(s OutlineStore) { r.follows.store = s }

// ShareFound has renderers made from this one (Alone) keep the followed outlines that they find
// where this one keeps edges, so that it has them too. It is to be called before anything is
// rendered.
func (r *Renderer) ShareFound() { r.follows.found = r.edges }

// foundOutlines is where the followed outlines are that were found.
func (r *Renderer) foundOutlines() *cache {
	if r.follows.found != nil {
		return r.follows.found
	}
	return r.edges
}

// KnownOutlines returns the outlines of a matte's own masks that follow the picture to a frame,
// as far as they were found already and are at hand. Nothing is found for it.
func (r *Renderer) KnownOutlines(ctx context.Context, q Request) (all []Outline, err error) {
	q.Region, q.Factor, q.NoSearch = image.Rectangle{}, 1, false
	masks := q.Settings.MasksOn(q.Frame)
	if !slices.ContainsFunc(masks, func(m *study.Mask) bool { return m.StretchAt(q.Frame) != nil }) {
		return nil, nil
	}
	p, err := r.part(ctx, q)
	if err != nil {
		return nil, err
	}
	for i := range p.at.Masks {
		l := p.at.Masks[i]
		if l.Stretch == nil {
			continue
		}
		if v, ok := p.foundOutlines().get(cacheKey(FollowMask, p.followedKey(&l))); ok {
			f := v.(*follow.Result)
			all = append(all, Outline{Mask: masks[i].ID, Layer: l, Found: &f.Found, Confidence: f.Confidence, Breaks: f.Breaks})
		}
	}
	return all, nil
}

// load returns the outline that the store has for a frame of a trail.
func (f *follows) load(at step) *follow.Carried {
	if data, ok := f.store.Load(at.outline()); ok && f.prints.stand(at.before) {
		if c, err := follow.ReadCarried(data); err == nil {
			return c
		}
	}
	return nil
}

// loadState returns what the store has of how a trail goes on from a frame.
func (f *follows) loadState(at step) *motion.Flow {
	if data, ok := f.store.Load(at.state()); ok && f.prints.stand(at.before) {
		flow := new(motion.Flow)
		if flow.UnmarshalBinary(data) == nil {
			return flow
		}
	}
	return nil
}

// save keeps the outline of a frame of a trail, and from where the trail goes on: last tells
// that it ends there. before is the step before, nil at the first.
func (f *follows) save(at step, before *step, t *walk, last bool) {
	if !f.prints.stand(at.before) {
		return
	}
	f.store.Save(at.outline(), t.last.Bytes())
	if !last {
		if flow, err := t.carrier.Reached().MarshalBinary(); err == nil {
			f.store.Save(at.state(), flow)
		}
	}
	if before != nil {
		f.store.Drop(before.state())
	}
}
