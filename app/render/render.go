package render

import (
	"context"
	"image"
	"maps"
	"sync"

	"halocline/colour"
	"halocline/selection"
)

// Source gives frames by the source's own numbers. Frames it returns are not
// written again.
type Source interface {
	Frame(ctx context.Context, n int) (*colour.Image, error)
}

// A FileSource is a Source that tells which file a frame is in; "" for none.
type FileSource interface {
	Source
	Path(n int) string
}

// A CodedSource is a Source whose codes a study may have read by another matrix
// and range than its tags say (study.Clip): a movie.
type CodedSource interface {
	Source
	FrameAs(ctx context.Context, n int, matrix, codes string) (*colour.Image, error)
}

// read takes a frame from the source as its study wants it.
func (r *Renderer) read(ctx context.Context, p place) (*colour.Image, error) {
	if path := r.Path(p.frame); path != "" && r.follows.store != nil {
		r.follows.prints.see(path)
	}
	if s, ok := r.source.(CodedSource); ok {
		return s.FrameAs(ctx, p.frame, p.study.Clip.Matrix, p.study.Clip.Range)
	}
	return r.source.Frame(ctx, p.frame)
}

// DefaultCache is the bytes a Renderer keeps: a 4K frame with everything that
// leads from it to a matte with masks and a treated edge takes 700 MB.
const DefaultCache = 768 << 20

// edgesShare is what part of a Renderer's bytes is kept for found edges, beside the others:
// they take little room and more time than all the rest of a frame, so that the pictures made
// after them must not push them out.
const edgesShare = 4

// A Renderer makes pictures of one clip. It may be used from several
// goroutines.
type Renderer struct {
	source     Source
	workers    int
	cache      *cache
	edges      *cache // of masks, as they were found: see edgesShare
	flows      *cache // between frames, and the lumas between which they are found: of each the last few
	lumas      *cache
	weighers   weighers
	smoothers  sync.Pool // of *colour.Smoother
	treatments sync.Pool // of *selection.Treatment
	lost       lostEdges
	touched    func(ctx context.Context, masks *colour.Plane, workers int) (*cells, error)

	mu   sync.Mutex
	runs map[Stage]int

	finding turns // of edges and followed outlines
	follows *follows
}

// How many flows and lumas a Renderer keeps, besides its other results. Who follows or settles goes from
// frame to frame, and needs those of a frame and its neighbours.
const (
	mostFlows = 6
	mostLumas = 3
)

// New returns a renderer of source that works on workers goroutines (0 = one
// for each processor) and keeps up to cacheBytes of results, a quarter of that of found
// edges, and the last few flows between frames. What it renders does not depend on either.
func New(source Source, workers, cacheBytes int) *Renderer {
	return &Renderer{
		source: source, workers: workers, cache: newCache(cacheBytes), edges: newCache(cacheBytes / edgesShare),
		flows: newCache(mostFlows), lumas: newCache(mostLumas),
		smoothers:  sync.Pool{New: func() any { return new(colour.Smoother) }},
		treatments: sync.Pool{New: func() any { return new(selection.Treatment) }},
		runs:       map[Stage]int{}, touched: touched, follows: newFollows(),
	}
}

// Path returns the file that a frame is in, "" where the source does not tell.
func (r *Renderer) Path(frame int) string {
	if s, ok := r.source.(FileSource); ok {
		return s.Path(frame)
	}
	return ""
}

// A Stage is one of those on the way from footage to matte.
type Stage string

// The stages, in order.
const (
	Decode      Stage = "decode"
	Crop        Stage = "crop" // to the part that is asked for
	SmoothNoise Stage = "smooth noise"
	Shrink      Stage = "shrink" // to a proxy
	Base        Stage = "base"
	Convert     Stage = "convert"
	Weigh       Stage = "weigh"
	FindEdge    Stage = "find edge" // of a mask
	FollowMask  Stage = "follow"    // a mask, from its keys
	ReadLuma    Stage = "luma"      // of a frame, for flows
	FindFlow    Stage = "flow"      // from a frame to another
	Mask        Stage = "mask"
	Despeckle   Stage = selection.Despeckle
	Align       Stage = selection.Align
	Harden      Stage = selection.Harden
	Grow        Stage = selection.Grow
	Soften      Stage = selection.Soften
	Settle      Stage = "settle"    // with the frames beside
	Unsettled   Stage = "unsettled" // what goes into that
	Times       Stage = "times"     // masks times the treated pick
	Joined      Stage = "joined"    // with the mattes that are taken in
	Bound       Stage = "bound"     // at most what drop masks leave
	Reject      Stage = "reject"
	Grade       Stage = "grade" // through the mattes
)

// Runs returns how often each stage has run: what was found in the cache does
// not count.
func (r *Renderer) Runs() map[Stage]int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return maps.Clone(r.runs)
}

// stage returns the result kept under key, or makes and keeps it. What it is
// made of is asked for by make alone, so that it may be gone where it is not
// needed.
func stage[T any](r *Renderer, s Stage, key string, make func() (T, int, error)) (T, error) {
	return stageIn(r, r.cache, s, key, make)
}

// stageIn is stage with one of the renderer's caches.
func stageIn[T any](r *Renderer, in *cache, s Stage, key string, make func() (T, int, error)) (T, error) {
	key = cacheKey(s, key)
	if v, ok := in.get(key); ok {
		return v.(T), nil
	}
	v, bytes, err := make()
	if err != nil {
		var none T
		return none, err
	}
	r.count(s)
	in.put(key, v, bytes)
	return v, nil
}

func cacheKey(s Stage, key string) string { return string(s) + " " + key }

// count notes that a stage has run.
func (r *Renderer) count(s Stage) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.runs[s]++
}

// imageStage and planeStage are stage for results that fill writes.
func imageStage(r *Renderer, s Stage, key string, fill func(dst *colour.Image) error) (*colour.Image, error) {
	return stage(r, s, key, func() (*colour.Image, int, error) {
		dst := new(colour.Image)
		err := fill(dst)
		return dst, imageBytes(dst), err
	})
}

func planeStage(r *Renderer, s Stage, key string, fill func(dst *colour.Plane) error) (*colour.Plane, error) {
	return stage(r, s, key, func() (*colour.Plane, int, error) {
		dst := new(colour.Plane)
		err := fill(dst)
		return dst, 4 * len(dst.Pix), err
	})
}

func imageBytes(m *colour.Image) int { return 4 * (len(m.R.Pix) + len(m.G.Pix) + len(m.B.Pix)) }

// sizeKey begins the keys of frames' sizes.
const sizeKey = "size "

// size returns a frame's size; it decodes it where that was never done.
func (r *Renderer) size(ctx context.Context, p place) (image.Point, error) {
	key := sizeKey + p.sourceKey()
	if v, ok := r.cache.get(key); ok {
		return v.(image.Point), nil
	}
	m, err := r.decoded(ctx, p)
	if err != nil {
		return image.Point{}, err
	}
	w, h := m.Size()
	r.cache.put(key, image.Pt(w, h), len(key))
	return image.Pt(w, h), nil
}
