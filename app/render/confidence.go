package render

import (
	"context"
	"encoding/binary"
	"encoding/json"
	"math"

	"halocline/app/follow"
	"halocline/app/study"
	"halocline/mask"
)

// A Confidence tells how likely outlines that follow the picture to a frame are right.
type Confidence struct {
	Least float64 // in [0,1], of the least likely
	Lost  bool    // nothing is left of one or more, so that they are as drawn
	// Breaks are those on the ways to the frame.
	Breaks follow.Breaks
}

func confidenceOf(r *follow.Result) Confidence { return Confidence{r.Confidence, r.Lost, r.Breaks} }

// Confidence tells how likely the outlines are right that follow the picture on a frame: of the
// masks of settings and of the mattes that these take in. ok is false where none follows. What
// is not known yet, it finds.
func (r *Renderer) Confidence(ctx context.Context, s *study.Study, of *study.Settings, frame int) (all Confidence, ok bool, err error) {
	at := s.SettingsAt(of, frame)
	layers := at.Followed()
	p := &part{Renderer: r, place: place{s, frame}}
	all.Least = 1
	for _, l := range layers {
		c, err := p.confidence(ctx, l)
		if err != nil {
			return Confidence{}, false, err
		}
		all.Least, all.Lost = min(all.Least, c.Least), all.Lost || c.Lost
		all.Breaks.Add(c.Breaks)
	}
	return all, len(layers) > 0, nil
}

// confidence is that of one layer.
func (p *part) confidence(ctx context.Context, l *mask.Layer) (c Confidence, err error) {
	if v, ok := p.foundOutlines().get(cacheKey(FollowMask, p.followedKey(l))); ok {
		return confidenceOf(v.(*follow.Result)), nil
	}
	known, err := p.record(ctx, l)
	if err != nil {
		return c, err
	}
	if c, ok := p.follows.loadConfidence(known); ok {
		return c, nil
	}
	q, err := p.part(ctx, Request{Study: p.study, Frame: p.frame})
	if err != nil {
		return c, err
	}
	r, err := q.followed(ctx, l)
	if err != nil {
		return c, err
	}
	return confidenceOf(r), nil
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
	r.digest = digestOf("likelihood of %v %v with %v", l.Stretch, text, l.Search)
	return r, nil
}

// saveConfidence has the store keep what was found of a layer.
func (p *part) saveConfidence(ctx context.Context, l *mask.Layer, c Confidence) error {
	if p.follows.store == nil {
		return nil
	}
	r, err := p.record(ctx, l)
	if err != nil || !p.follows.stands(r) {
		return err
	}
	p.follows.store.Save(r.digest, c.bytes())
	return nil
}

// loadConfidence returns what the store has of a layer.
func (f *follows) loadConfidence(r record) (c Confidence, ok bool) {
	if !f.stands(r) {
		return c, false
	}
	data, ok := f.store.Load(r.digest)
	if !ok || len(data) < confidenceBytes {
		return c, false
	}
	c = Confidence{Least: math.Float64frombits(binary.LittleEndian.Uint64(data)), Lost: data[confidenceBytes-1] != 0}
	err := json.Unmarshal(data[confidenceBytes:], &c.Breaks)
	return c, err == nil && c.Least >= 0 && c.Least <= 1
}

// confidenceBytes is how many bytes a confidence takes before its breaks.
const confidenceBytes = 9

// bytes writes a confidence: the least as a 64-bit float, little-endian, 1 where one is lost,
// and the breaks as JSON.
func (c Confidence) bytes() []byte {
	lost := byte(0)
	if c.Lost {
		lost = 1
	}
	breaks, err := json.Marshal(c.Breaks)
	if err != nil {
		panic("render: lists of numbers cannot be written")
	}
	return append(append(binary.LittleEndian.AppendUint64(nil, math.Float64bits(c.Least)), lost), breaks...)
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

// CarryBack carries outlines to a frame from the keys after it, where masks follow the picture
// there. Frames of a stretch asked for from its end to its beginning take a step each; Confidence
// then takes those from the other end.
func (r *Renderer) CarryBack(ctx context.Context, s *study.Study, of *study.Settings, frame int) error {
	at := s.SettingsAt(of, frame)
	for _, l := range at.Followed() {
		if l.Stretch.To == nil {
			continue
		}
		p, err := r.part(ctx, Request{Study: s, Frame: frame})
		if err != nil {
			return err
		}
		if _, err := p.carried(ctx, l.Stretch, l.Stretch.To, func(int) {}); err != nil {
			return err
		}
	}
	return nil
}
