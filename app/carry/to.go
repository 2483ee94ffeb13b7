package carry

import (
	"context"
	"fmt"
	"strings"

	"halocline/app/study"
	"halocline/app/work"
	"halocline/mask"
)

// Options say what else is carried.
type Options struct {
	Masks     bool // masks too: see moveMasks
	Overwrite bool // Make may replace studies
}

// A Result is the study of another clip, which is not saved yet.
type Result struct {
	Work   *work.Work // the study and its clip
	Shift  float64    // how far the clips' mean colours after base are apart, in CIEDE2000
	Mattes []Matte
	// Notices say in words what could not be done as it was asked.
	Notices []string
}

// A Matte is what became of one matte.
type Matte struct {
	Name   string
	Unlike *float64    // the share of its dabs' colours that the clip lacks; nil where it has no dabs
	Moved  study.Moves // what makes its pick stale
	Masks  int         // that were carried
}

// To makes the study of a clip that Open has opened what is carried to it. Its noise is its own.
func (t *Taken) To(ctx context.Context, w *work.Work, o Options) (Result, error) {
	r := Result{Work: w, Notices: append([]string{}, w.Notices...)}
	s := t.from.Clone()
	w.Study.Base, w.Study.Mattes, w.Study.Next = s.Base, s.Mattes, s.Next
	if w.Clip.IsSequence() && t.several {
		w.Study.Clip.Rate = t.from.Clip.Rate
	}
	now, left, err := paletteOf(ctx, w.Clip, w.Renderer, w.Study)
	if err != nil {
		return r, err
	}
	for _, err := range left {
		r.Notices = append(r.Notices, fmt.Sprintf("%s was looked at without one of its frames (%v)", w.Study.Clip.Name(), err))
	}
	r.Shift = rounded(t.colours.mean.DeltaE(now.mean), 2)
	masks := o.Masks && t.sameSize(&r)
	for i := range w.Study.Mattes {
		m := &w.Study.Mattes[i]
		f := suits(m.Pick.At(w.Study.Clip.First), t.dabs[m.ID], t.colours, now)
		m.Carried = study.Carried{
			From: t.from.Clip.Name(), HandFades: m.Carried.HandFades || !m.Pick.Fitted,
			Shift: r.Shift, Unlike: rounded(f.unlike, 4), Moved: f.moved, Dabs: t.dabs[m.ID],
		}
		m.Pick.Fitted = false
		m.Dabs, m.MaskDabs, m.Proofs, m.Dismissed = nil, nil, nil, nil
		if masks {
			moveMasks(m.Masks, w.Study.Clip.First)
		} else {
			r.tellMasksAlone(m)
			m.Masks = nil
		}
		out := Matte{Name: m.Name, Moved: m.Carried.Moved, Masks: len(m.Masks)}
		if f.known {
			out.Unlike = &m.Carried.Unlike
		}
		r.Mattes = append(r.Mattes, out)
	}
	return r, w.Study.Validate()
}

// sameSize reports whether the two clips have one size, and tells that masks are left out where
// they have not.
func (t *Taken) sameSize(r *Result) bool {
	now := r.Work.Clip.Info()
	if now.Width == t.clip.Width && now.Height == t.clip.Height {
		return true
	}
	r.Notices = append(r.Notices, fmt.Sprintf("%s is %d x %d pixels and the masks were drawn on %d x %d: they are left out", r.Work.Study.Clip.Name(), now.Width, now.Height, t.clip.Width, t.clip.Height))
	return false
}

// tellMasksAlone tells of a matte that masks alone make: without them it keeps the whole frame.
func (r *Result) tellMasksAlone(m *study.Matte) {
	l := &m.Pick.Limits
	if len(m.Masks) > 0 && len(m.Joins) == 0 && l[0].Off && l[1].Off && l[2].Off {
		r.Notices = append(r.Notices, fmt.Sprintf("matte %q is made by masks alone: without them it keeps the whole frame of %s", m.Name, r.Work.Study.Clip.Name()))
	}
}

// moveMasks leaves each mask its first outline, on a clip's first frame. It holds from there on, or
// follows the picture where the mask did so beyond its keys.
func moveMasks(masks []study.Mask, first int) {
	for i := range masks {
		m := &masks[i]
		key := m.Keys[0]
		key.Frame, key.Way = first, mask.Straight
		m.Keys = []study.MaskKey{key}
		m.In, m.Out = study.Bound{}, study.Bound{}
	}
}

// Stale are the mattes whose picks do not suit the clip.
func (r *Result) Stale() (all []Matte) {
	for _, m := range r.Mattes {
		if m.Moved.Any() {
			all = append(all, m)
		}
	}
	return all
}

// Line says in one line how what was carried suits the clip.
func (r *Result) Line() string {
	text := fmt.Sprintf("%s: light shifted by %.1f dE00", r.Work.Study.Clip.Name(), r.Shift)
	stale := r.Stale()
	switch {
	case len(r.Mattes) == 0:
		return text + "; no mattes"
	case len(stale) == 0:
		return text + "; all picks suit it"
	}
	var parts []string
	for _, m := range stale {
		part := fmt.Sprintf("%s (%s", m.Name, m.Moved)
		if m.Unlike != nil && *m.Unlike > UnlikeLimit {
			part += fmt.Sprintf("; lacks %.0f %% of its colours", 100**m.Unlike)
		}
		parts = append(parts, part+")")
	}
	return text + "; to be fitted again: " + strings.Join(parts, ", ")
}
