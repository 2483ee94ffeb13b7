package desk

import (
	"context"

	"halocline/app/render"
	"halocline/app/study"
)

// A Cause says what brings a pixel into the matte though its pick and masks do not, or takes
// it out though they keep it.
type Cause struct {
	Text   string // "in by ‘legs’"
	Advice string // what would change it
}

// A causeOf is what a cause is of.
type causeOf struct {
	about       *study.Study
	matteID     int
	frame, x, y int
	kept        bool // by pick and masks
	in          bool // the matte
}

// A causeAsk asks for a cause in the background.
type causeAsk struct {
	causeOf
	renderer *render.Renderer
}

// CauseAt is the cause of a pixel of the frame shown, by the weight in [0,1] that the matte
// gives it. needed: the pick and the masks alone do not say what the matte has there. The
// cause is empty while it is not known: it is worked out in the background then, and
// NewCause tells that it is. There must be a matte.
func (d *Desk) CauseAt(a AskedPixel, weight float64) (c Cause, needed bool) {
	kept := d.Matte().Pick.At(d.Frame).Weight(a.Value)*d.MaskAt(a.X, a.Y) >= 0.5
	in := weight >= 0.5
	if kept == in {
		return Cause{}, false
	}
	of := causeOf{d.Study(), d.MatteID, d.Frame, a.X, a.Y, kept, in}
	if d.cause.of != of {
		d.cause.of, d.cause.Cause = of, Cause{}
		d.causes.Ask(causeAsk{of, d.Work.Renderer})
	}
	return d.cause.Cause, true
}

// findCause works for the desk's causes.
func (d *Desk) findCause(ctx context.Context, q causeAsk) {
	c, err := q.find(ctx)
	if err != nil { // the same error is told of the picture
		return
	}
	d.Post(func() {
		if d.cause.of == q.causeOf {
			d.cause.Cause = c
			d.Learned(NewCause)
		}
	})
}

// find makes the matte part by part, and sees which decides last.
func (q causeAsk) find(ctx context.Context) (c Cause, err error) {
	kept := q.kept
	for _, p := range matteParts(q.about, q.about.Matte(q.matteID), q.frame) {
		m, err := q.renderer.Matte(ctx, render.Request{Study: q.about, Settings: &p.settings, Frame: q.frame})
		if err != nil {
			return Cause{}, err
		}
		if now := m.Row(q.y)[q.x] >= 0.5; now != kept {
			kept, c = now, p.takesOut
			if now {
				c = p.bringsIn
			}
		}
	}
	if kept != q.in { // the weight that was told is of before
		return Cause{}, nil
	}
	return c, nil
}

// A mattePart is a matte up to one part of its making, and the cause that the part is where
// it brings a pixel in or takes one out.
type mattePart struct {
	settings           study.Settings
	bringsIn, takesOut Cause
}

// matteParts are the parts in which a matte is made after its pick: the treatment of the
// pick's edge and the masks, each joined matte, grow, soften and settle.
func matteParts(s *study.Study, m *study.Matte, frame int) []mattePart {
	set := m.Settings
	set.Joins = nil
	set.Edge.Grow, set.Edge.Soften, set.Edge.Settle = study.Constant(0), study.Constant(0), study.Constant(0)
	all := []mattePart{{set,
		Cause{"in: the treatment of the pick's edge brings it in", "Less despeckle, align or harden would leave it out."},
		Cause{"out: the treatment of the pick's edge takes it away", "Less despeckle, align or harden would leave it in."}}}
	for i, j := range m.Joins {
		set.Joins = m.Joins[:i+1]
		name := "‘" + s.Matte(j.With).Name + "’"
		out := Cause{"out: not within " + name, "Change that matte, or how it is joined."}
		if j.How == study.TakeAway {
			out.Text = "out: taken away by " + name
		}
		all = append(all, mattePart{set, Cause{"in by " + name, out.Advice}, out})
	}
	grow, soften, settle := m.Edge.Grow, m.Edge.Soften, m.Edge.Settle
	if grow.At(frame) != 0 {
		set.Edge.Grow = grow
		all = append(all, mattePart{set,
			Cause{"in by growing", "Less grow would leave it out."}, Cause{"out by growing inward", "More grow would leave it in."}})
	}
	if soften.At(frame) != 0 {
		set.Edge.Soften = soften
		all = append(all, mattePart{set,
			Cause{"in by softening", "Less soften would leave it out."}, Cause{"out by softening", "Less soften would leave it in."}})
	}
	if settle.At(frame) != 0 {
		set.Edge.Settle = settle
		all = append(all, mattePart{set,
			Cause{"in by settling: the frames beside have it", "Less settle would leave it out."},
			Cause{"out by settling: the frames beside lack it", "Less settle would leave it in."}})
	}
	return all
}
