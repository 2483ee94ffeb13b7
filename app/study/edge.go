package study

import "halocline/selection"

// Edge is the treatment of a matte's edge, in the order of its fields.
type Edge struct {
	Despeckle Number // area in square pixels under which specks and pinholes go
	Align     Number // radius in pixels within which the matte follows the picture
	Harden    Number // 0: as it comes, towards 1: hard
	About     Number // the alpha about which Firm works
	Grow      Number // pixels outward, or inward where negative
	Soften    Number // sigma in pixels
}

// Settings returns the edge's numbers. The tracks are the edge's own.
func (e *Edge) Settings() []Setting {
	return []Setting{
		{"despeckle", "px of area", 12, 0, 1e6, &e.Despeckle},
		{"follow", "px", 0, 0, 500, &e.Align},
		{"firm", "", 0, 0, 0.99, &e.Harden},
		{"balance", "", 0.5, 0, 1, &e.About},
		{"grow", "px", 0, -500, 500, &e.Grow},
		{"soften", "px", 0, 0, 500, &e.Soften},
	}
}

// At returns the edge at a frame.
func (e *Edge) At(frame int) selection.Edge {
	return selection.Edge{
		Despeckle: e.Despeckle.At(frame), Align: e.Align.At(frame), Harden: e.Harden.At(frame),
		About: e.About.At(frame), Grow: e.Grow.At(frame), Soften: e.Soften.At(frame),
	}
}
