package render

import (
	"context"
	"fmt"
	"sync"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// Source gives frames by the source's own numbers. Frames it returns are not
// written again.
type Source interface {
	Frame(ctx context.Context, n int) (*colour.Image, error)
}

// DefaultCache is the bytes a Renderer keeps: a 4K frame with everything that
// leads from it to a matte takes 500 MB.
const DefaultCache = 768 << 20

// A Renderer makes pictures of one clip. It may be used from several
// goroutines.
type Renderer struct {
	source  Source
	workers int
	cache   *cache

	mu   sync.Mutex
	runs map[Stage]int
}

// New returns a renderer of source that works on workers goroutines (0 = one
// for each processor) and keeps up to cacheBytes of results. What it renders
// does not depend on either.
func New(source Source, workers, cacheBytes int) *Renderer {
	return &Renderer{source: source, workers: workers, cache: newCache(cacheBytes), runs: map[Stage]int{}}
}

// Stage is a step on the way from footage to matte.
type Stage string

// The stages, in order.
const (
	Decode  Stage = "decode"
	Calm    Stage = "calm"
	Base    Stage = "base"
	Convert Stage = "convert"
	Weigh   Stage = "weigh"
)

// Runs returns how often each stage has run: what was found in the cache does
// not count.
func (r *Renderer) Runs() map[Stage]int {
	r.mu.Lock()
	defer r.mu.Unlock()
	out := map[Stage]int{}
	for s, n := range r.runs {
		out[s] = n
	}
	return out
}

// stage returns the result kept under key, or makes and keeps it.
func stage[T any](r *Renderer, s Stage, key string, make func() (T, int, error)) (T, error) {
	key = string(s) + " " + key
	if v, ok := r.cache.get(key); ok {
		return v.(T), nil
	}
	v, bytes, err := make()
	if err != nil {
		var none T
		return none, err
	}
	r.mu.Lock()
	r.runs[s]++
	r.mu.Unlock()
	r.cache.put(key, v, bytes)
	return v, nil
}

func imageBytes(m *colour.Image) int { return 4 * (len(m.R.Pix) + len(m.G.Pix) + len(m.B.Pix)) }

// A place is one frame of a study, with the keys of what is made of it.
type place struct {
	study *study.Study
	frame int
}

func (p place) source() string { return fmt.Sprintf("%d of %s", p.frame, p.study.Clip.Path) }

func (p place) calmed(calm bool) string {
	if !calm {
		return p.source()
	}
	return fmt.Sprintf("%s calmed %v", p.source(), p.study.Clip.Noise)
}

func (p place) based(calm bool) string {
	return fmt.Sprintf("%s base %v", p.calmed(calm), p.study.Base.At(p.frame))
}

func (p place) converted(calm bool, m selection.Model) string {
	return fmt.Sprintf("%s in %s", p.based(calm), m)
}
