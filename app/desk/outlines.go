package desk

import (
	"context"

	"halocline/app/render"
	"halocline/app/retrace"
	"halocline/app/study"
	"halocline/mask"
)

// An outlinesAsk asks for the edges of a matte's masks on a frame. One without a study asks
// for nothing.
type outlinesAsk struct {
	renderer *render.Renderer
	study    *study.Study
	matteID  int
	frame    int
}

// foundOutlines are the outlines of a matte's masks that the picture leads.
type foundOutlines struct {
	of outlinesAsk
	by map[int]render.Outline // by mask
}

// askOutlines has the edges of the chosen matte's masks found while the hand rests, and ends
// the search while it does not.
func (d *Desk) askOutlines() {
	var q outlinesAsk
	m := d.Matte()
	if m != nil && d.Clip() != nil && m.SearchesEdges(d.Frame) && !d.Dragging() && !d.Scrubbing && !d.Plays() {
		q = outlinesAsk{d.Work.Renderer, d.Study(), m.ID, d.Frame}
	}
	if q != d.outlined {
		d.outlined = q
		d.outliner.Ask(q)
	}
}

// findOutlines works for the desk's outliner.
func (d *Desk) findOutlines(ctx context.Context, q outlinesAsk) {
	if q.study == nil {
		return
	}
	found := foundOutlines{q, map[int]render.Outline{}}
	m := q.study.Matte(q.matteID)
	for i := range m.Masks {
		if !m.Masks[i].Searches(q.frame) {
			continue
		}
		o, err := retrace.Find(ctx, q.renderer, q.study, m, i, q.frame)
		if err != nil { // overtaken, or the same error is told of the picture
			return
		}
		found.by[m.Masks[i].ID] = o
	}
	d.Post(func() {
		if d.outlined == q {
			d.outlines = found
			d.noteSure()
			d.Learned(NewOutlines)
		}
	})
}

// OutlineOf returns the outline of one of the chosen matte's masks, and where the picture leads
// it on the frame shown; ok is false while that is not known of the outline as it is now,
// and where the picture does not lead it.
func (d *Desk) OutlineOf(maskID int) (o render.Outline, ok bool) {
	return d.outlineIn(d.Matte(), maskID)
}

// outlineIn is OutlineOf for the chosen matte as it is, or as it was before an edit.
func (d *Desk) outlineIn(m *study.Matte, maskID int) (o render.Outline, ok bool) {
	if m == nil || d.outlines.of.matteID != m.ID || d.outlines.of.frame != d.Frame {
		return o, false
	}
	if o, ok = d.outlines.by[maskID]; !ok {
		return o, false
	}
	now, ok := layerOf(m, maskID, d.Frame)
	if !ok || !o.IsOf(&now) {
		return render.Outline{}, false
	}
	o.Layer = now
	return o, true
}

// LayerAt is one of the chosen matte's masks as it is on a frame where the picture leads it; ok
// is false where it does not.
func (d *Desk) LayerAt(maskID, frame int) (l mask.Layer, ok bool) {
	return layerOf(d.Matte(), maskID, frame)
}

// layerOf is a matte's mask as it is on a frame where the picture leads it; ok is false where
// it does not.
func layerOf(m *study.Matte, maskID, frame int) (l mask.Layer, ok bool) {
	for i := range m.Masks {
		if m.Masks[i].ID == maskID && m.Masks[i].Searches(frame) {
			alone := retrace.Alone(&m.Settings, i)
			return alone.At(frame).Masks[0], true
		}
	}
	return l, false
}

// LostWords says that nothing was found of what the chosen mask's outline goes about, that
// it may be wrong, or where the picture does not go on as usual on its way; "" otherwise, and while it is not known.
func (d *Desk) LostWords() string {
	o, ok := d.OutlineOf(d.MaskID)
	follows := d.Follows(d.MaskID)
	switch {
	case !ok:
		return ""
	case o.Found.Lost && follows:
		return "Nothing of it is left here: the nearest key's outline is used."
	case o.Found.Lost:
		return "No edge found inside this outline: the outline itself is used."
	case follows && len(o.Breaks.Cuts) == 0 && o.Confidence < Sure:
		return "The mask may have lost it here: set a key."
	case follows && o.Breaks.Any():
		return Capital(o.Breaks.Sentences()[0]) + "."
	}
	return ""
}

// maskOutlines are the chosen matte's masks that matter on the frame shown, with the edges
// found for them so far. There must be a matte.
func (d *Desk) maskOutlines() (all []render.Outline) {
	m := d.Matte()
	for i := range m.Masks {
		if o, ok := d.OutlineOf(m.Masks[i].ID); ok {
			all = append(all, o)
			continue
		}
		alone := retrace.Alone(&m.Settings, i)
		for _, l := range alone.At(d.Frame).Masks {
			all = append(all, render.Outline{Layer: l})
		}
	}
	return all
}
