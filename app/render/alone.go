package render

import (
	"context"
	"image"
	"slices"
	"strings"

	"halocline/app/study"
)

// Alone returns a renderer of the same footage for work that goes from frame to frame and
// comes back to none. It shares nothing with r but the outlines that are carried from keys
// along the frames. It takes up to cacheBytes, which should have room for what leads to one
// frame's pictures.
func (r *Renderer) Alone(workers, cacheBytes int) *Renderer {
	alone := New(r.source, workers, cacheBytes)
	alone.follows = r.follows
	return alone
}

// Forget drops the results that the renderer keeps, but for those used since it was last
// called that serve the next frame too: masks that stand still, and the mattes that frames
// settle with and where cuts are. Results of frames that are not asked for again would else fill the
// cache.
func (r *Renderer) Forget() {
	stays := []string{cacheKey(Mask, ""), cacheKey(Unsettled, ""), cacheKey(FindFlow, ""), sizeKey}
	r.cache.forget(func(key string) bool {
		return slices.ContainsFunc(stays, func(begin string) bool { return strings.HasPrefix(key, begin) })
	})
	r.edges.forget(func(string) bool { return false })
}

// Size returns a frame's size in pixels. It decodes the frame, which the renderer
// keeps then.
func (r *Renderer) Size(ctx context.Context, s *study.Study, frame int) (image.Point, error) {
	return r.size(ctx, place{s, frame})
}

// A TimedSource is a Source that knows when its frames are shown better than a
// rate tells: a movie.
type TimedSource interface {
	Source
	// Time returns the seconds from the start of the footage to frame n; not ok
	// where only the rate tells them.
	Time(n int) (seconds float64, ok bool)
}

// Time returns when a frame is shown, where the source is a TimedSource that tells.
func (r *Renderer) Time(frame int) (seconds float64, ok bool) {
	if t, is := r.source.(TimedSource); is {
		return t.Time(frame)
	}
	return 0, false
}
