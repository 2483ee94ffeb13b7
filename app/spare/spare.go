package spare

import (
	"context"
	"fmt"
	"image"
	"math"
	"slices"

	"halocline/app/render"
	"halocline/app/retrace"
	"halocline/app/study"
	"halocline/mask"
	"halocline/mask/edge"
)

// How far a spare key's absence may move the outline on any frame, in pixels of a picture of at
// most 1080 lines.
const (
	mostMean  = 2
	mostWorst = 4
)

// What else a spare key's absence may change: its feathers, in pixels, and its opacity.
const (
	featherSlack = 0.5
	opacitySlack = 0.005
)

// A Key is one that can go: how far the outline moves without it, and without those before it
// that can go, on the frame where that is most; in pixels.
type Key struct {
	Frame       int
	Mean, Worst float64
}

// Candidates are the frames of a mask's keys that might be spare: those but the first and the
// last on both sides of which it follows the picture.
func Candidates(t *mask.Track) (frames []int) {
	for i := 1; i+1 < len(t.Keys); i++ {
		if t.Keys[i-1].Way == mask.Follow && t.Keys[i].Way == mask.Follow {
			frames = append(frames, t.Keys[i].Frame)
		}
	}
	return frames
}

// Find returns the keys of one of a matte's masks that can go, ascending. tell is told of how
// many candidates were looked at, of how many.
func Find(ctx context.Context, r *render.Renderer, s *study.Study, matteID, maskID int, tell func(done, of int)) ([]Key, error) {
	m := s.Matte(matteID)
	if m == nil || m.Mask(maskID) == nil {
		return nil, fmt.Errorf("spare: there is no mask with id %d", maskID)
	}
	size, err := r.Size(ctx, s, firstOf(r, s))
	if err != nil {
		return nil, err
	}
	j := job{renderer: r, size: size, matteID: matteID, maskID: maskID, now: s, left: s.Clone()}
	all := Candidates(&m.Mask(maskID).Track)
	var found []Key
	for i, frame := range all {
		tell(i, len(all))
		k, ok, err := j.try(ctx, frame)
		if err != nil {
			return nil, err
		}
		if ok {
			found = append(found, k)
		}
	}
	tell(len(all), len(all))
	return found, nil
}

// firstOf is the first frame that there is.
func firstOf(r *render.Renderer, s *study.Study) int {
	n := s.Clip.First
	for last := n + s.Clip.Count; n < last && !r.Has(n); n++ {
	}
	return n
}

// A job looks for the spare keys of one mask.
type job struct {
	renderer        *render.Renderer
	size            image.Point
	matteID, maskID int
	now             *study.Study // as it is
	left            *study.Study // without the keys that were found spare so far
}

// try looks whether a key can go, and takes it away where it can.
func (j *job) try(ctx context.Context, frame int) (k Key, spare bool, err error) {
	without := j.left.Clone()
	t := without.Matte(j.matteID).Mask(j.maskID)
	i := slices.IndexFunc(t.Keys, func(k mask.Key) bool { return k.Frame == frame })
	first, last, key := t.Keys[i-1].Frame, t.Keys[i+1].Frame, t.Keys[i]
	t.RemoveKey(frame)
	if changesNumbers(&t.Track, key) {
		return k, false, nil
	}
	k.Frame = frame
	looked := 0
	for _, n := range framesOf(first, last, frame) {
		if !j.renderer.Has(n) || !t.Works(n) {
			continue
		}
		looked++
		mean, worst, ok, err := j.moved(ctx, without, n)
		if err != nil {
			return k, false, err
		}
		k.Mean, k.Worst = max(k.Mean, mean), max(k.Worst, worst)
		if unit := edge.Unit(j.size.Y); !ok || mean > mostMean*unit || worst > mostWorst*unit {
			return k, false, nil
		}
	}
	if looked == 0 {
		return k, false, nil // the mask works on none of these frames: nothing is known of it
	}
	j.left = without
	return k, true, nil
}

// framesOf are those between two others, that of the key first: there it is seen soonest that the
// outline would not stay.
func framesOf(first, last, key int) []int {
	all := []int{key}
	for n := first + 1; n < last; n++ {
		if n != key {
			all = append(all, n)
		}
	}
	return all
}

// changesNumbers reports whether feathers or opacity are others where a key was.
func changesNumbers(t *mask.Track, k mask.Key) bool {
	at := t.At(k.Frame)
	return math.Abs(at.Inner-k.Inner) > featherSlack || math.Abs(at.Outer-k.Outer) > featherSlack || math.Abs(at.Opacity-k.Opacity) > opacitySlack
}

// moved is how far the outline on a frame lies from where it is now; not ok where nothing of it
// is left in one of the two.
func (j *job) moved(ctx context.Context, without *study.Study, frame int) (mean, worst float64, ok bool, err error) {
	a, ok, err := j.outline(ctx, j.now, frame)
	if err != nil || !ok {
		return 0, 0, false, err
	}
	b, ok, err := j.outline(ctx, without, frame)
	if err != nil || !ok {
		return 0, 0, false, err
	}
	mean, worst, err = apart(ctx, a, b, j.size)
	return mean, worst, true, err
}

// outline is that of the mask on a frame, where the picture leads it; not ok where nothing is
// left of what it follows. At a key without an edge it is as drawn.
func (j *job) outline(ctx context.Context, s *study.Study, frame int) (mask.Shape, bool, error) {
	m := s.Matte(j.matteID)
	i := slices.IndexFunc(m.Masks, func(k study.Mask) bool { return k.ID == j.maskID })
	o, err := retrace.Find(ctx, j.renderer, s, m, i, frame)
	return o.OnFound().Shape, err == nil && !(o.Found != nil && o.Found.Lost && o.Layer.Stretch != nil), err
}
