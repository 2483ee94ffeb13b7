package render

import (
	"context"
	"encoding/binary"
	"math"

	"halocline/app/follow"
	"halocline/app/study"
	"halocline/mask"
)

// Confidence tells how likely the outlines are right that follow the picture on a frame, in
// [0,1]: that of the least likely, of the masks of settings and of the mattes that these take
// in; 0 where nothing is left of one. ok is false where none follows. What is not known yet, it
// finds.
func (r *Renderer) Confidence(ctx context.Context, s *study.Study, of *study.Settings, frame int) (least float64, ok bool, err error) {
	at := s.SettingsAt(of, frame)
	layers := at.Followed()
	if len(layers) == 0 {
		return 0, false, nil
	}
	p := &part{Renderer: r, place: place{s, frame}}
	least = 1
	for _, l := range layers {
		c, err := p.confidence(ctx, l)
		if err != nil {
			return 0, false, err
		}
		least = min(least, c)
	}
	return least, true, nil
}

// confidence is that of one layer.
func (p *part) confidence(ctx context.Context, l *mask.Layer) (float64, error) {
	if v, ok := p.edges.get(cacheKey(FollowMask, p.followedKey(l))); ok {
		return v.(*follow.Result).Confidence, nil
	}
	known, err := p.record(ctx, l)
	if err != nil {
		return 0, err
	}
	if c, ok := p.follows.loadConfidence(known); ok {
		return c, nil
	}
	q, err := p.part(ctx, Request{Study: p.study, Frame: p.frame})
	if err != nil {
		return 0, err
	}
	r, err := q.followed(ctx, l)
	if err != nil {
		return 0, err
	}
	return r.Confidence, nil
}

// KnowsFollowed reports whether the store has all that the outlines which follow the picture on
// a frame are made of, so that they need not be carried. It is true where none follows.
func (r *Renderer) KnowsFollowed(ctx context.Context, s *study.Study, of *study.Settings, frame int) (bool, error) {
	p := &part{Renderer: r, place: place{s, frame}}
	at := s.SettingsAt(of, frame)
	for _, l := range at.Followed() {
		known, err := p.record(ctx, l)
		if err != nil || known.digest == "" || !r.follows.store.Has(known.digest) {
			return false, err
		}
		for _, end := range known.ends {
			if !r.follows.store.Has(end.outline()) {
				return false, nil
			}
		}
	}
	return true, nil
}

// A record names what the store has of a followed frame beside the outlines carried there.
type record struct {
	digest string // "" where the store has none
	ends   []step // the last from each key
}

// record returns how a layer's frame is named, by all that its outline depends on.
func (p *part) record(ctx context.Context, l *mask.Layer) (r record, err error) {
	text := ""
	for _, a := range []*mask.Anchor{l.Stretch.From, l.Stretch.To} {
		if a == nil {
			continue
		}
		steps, err := p.steps(ctx, a, p.frame)
		if err != nil || len(steps) == 0 || steps[len(steps)-1].frame != p.frame {
			return record{}, err
		}
		end := steps[len(steps)-1]
		r.ends, text = append(r.ends, end), text+" "+end.name
	}
	if l.Search.On() {
		text += p.look(p.frame)
	}
	r.digest = digestOf("confidence of %v %v with %v", l.Stretch, text, l.Search)
	return r, nil
}

// saveConfidence has the store keep what was found of a layer.
func (p *part) saveConfidence(ctx context.Context, l *mask.Layer, c float64) error {
	if p.follows.store == nil {
		return nil
	}
	r, err := p.record(ctx, l)
	if err != nil || !p.follows.stands(r) {
		return err
	}
	p.follows.store.Save(r.digest, binary.LittleEndian.AppendUint64(nil, math.Float64bits(c)))
	return nil
}

// loadConfidence returns what the store has of a layer.
func (f *follows) loadConfidence(r record) (c float64, ok bool) {
	if !f.stands(r) {
		return 0, false
	}
	data, ok := f.store.Load(r.digest)
	if !ok || len(data) != 8 {
		return 0, false
	}
	c = math.Float64frombits(binary.LittleEndian.Uint64(data))
	return c, c >= 0 && c <= 1
}

// stands reports whether the files of a record's frames are as they were measured.
func (f *follows) stands(r record) bool {
	for _, end := range r.ends {
		if !f.prints.stand(end.before) {
			return false
		}
	}
	return r.digest != ""
}
