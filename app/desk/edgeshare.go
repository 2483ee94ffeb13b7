package desk

import (
	"context"
	"fmt"

	"halocline/app/check"
	"halocline/app/desk/watch"
	"halocline/app/render"
	"halocline/app/study"
)

// An edgeShare is which share of a matte's edge its masks cut.
type edgeShare struct {
	about   *study.Study
	matteID int
	frame   int
	masked  float64
	ok      bool // there is an edge
}

// An edgeAsk asks for the share of the matte that was found last.
type edgeAsk struct {
	found    watch.Findings
	renderer *render.Renderer
}

// askEdgeShare asks for the share of the matte that was found, where masks may cut it.
func (d *Desk) askEdgeShare() {
	f := &d.Found
	m := f.About.Matte(f.MatteID)
	if m == nil || f.Matte == nil || len(m.Masks) == 0 {
		return
	}
	if s := &d.edge; s.about == f.About && s.matteID == f.MatteID && s.frame == f.Frame {
		return
	}
	d.edges.Ask(edgeAsk{*f, d.Work.Renderer})
}

// findEdgeShare works for the desk's edges.
func (d *Desk) findEdgeShare(ctx context.Context, q edgeAsk) {
	f := &q.found
	masks, err := q.renderer.Mask(ctx, render.Request{Study: f.About, Settings: &f.About.Matte(f.MatteID).Settings, Frame: f.Frame})
	if err != nil { // the same error is told of the picture
		return
	}
	masked, ok, err := check.MaskedEdge(ctx, *f.Matte, masks)
	if err != nil {
		return
	}
	d.Post(func() {
		if d.Study() != f.About {
			return
		}
		d.edge = edgeShare{f.About, f.MatteID, f.Frame, masked, ok}
		d.Learned(NewEdgeShare)
	})
}

// EdgeWords says what ends the chosen matte along its edge: "81 % pick, 19 % masks"; ""
// while it is not known, and where no mask may.
func (d *Desk) EdgeWords() string {
	s := &d.edge
	if !d.Fresh() || !s.ok || s.about != d.Study() || s.matteID != d.MatteID || s.frame != d.Frame {
		return ""
	}
	return fmt.Sprintf("%.0f %% pick, %.0f %% masks", 100-100*s.masked, 100*s.masked)
}
