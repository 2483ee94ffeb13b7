package render

import (
	"sync/atomic"

	"halocline/app/follow"
	"halocline/app/motion"
)

// A follows is what renderers of one clip share of the outlines that follow its picture: to
// carry one along a stretch takes longer than all else of its frames.
type follows struct {
	outlines *cache // carried, and as they are known at keys
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
