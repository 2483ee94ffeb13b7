package study

import "halocline/selection"

// Edge is the treatment of a matte's edge, in the order of its fields: what the pick makes
// is despeckled, aligned and hardened, then masks cut it and joined mattes are taken in,
// and the edge of all that is grown and softened. Last the matte settles with those of the
// frames beside it.
type Edge struct {
	Despeckle Number // area in square pixels under which specks and pinholes go
	Align     Number // radius in pixels within which the edge takes the shape of the picture's
	Harden    Number // 0: as it comes, towards 1: hard
	About     Number // the alpha that hardening turns into one half
	Grow      Number // pixels outward, or inward where negative
	Soften    Number // sigma in pixels
	Settle    Number // the weight in [0,1] of the mattes beside: see SettleAt
}

// Settings returns the edge's numbers. The tracks are the edge's own.
func (e *Edge) Settings() []Setting {
	// Spec: name, label, hint, unit, neutral, min, max, low, high, increment, decimals.
	return []Setting{
		{Spec{"despeckle", "despeckle", "Specks and pinholes of the pick smaller than this go", "px²", 12, 0, 1e6, 0, 200, 1, 0}, &e.Despeckle},
		{Spec{"align", "align", "The pick's edge fits the picture's within this radius", "px", 0, 0, 500, 0, 20, 0.1, 1}, &e.Align},
		{Spec{"harden", "harden", "Towards 1 the pick's edge turns hard", "", 0, 0, 0.99, 0, 0.95, 0.01, 2}, &e.Harden},
		{Spec{"hardenAbout", "harden about", "The alpha that hardening turns into one half", "", 0.5, 0, 1, 0, 1, 0.01, 2}, &e.About},
		{Spec{"grow", "grow", "All edges, masks' too, move outward, inward below 0", "px", 0, -500, 500, -6, 6, 0.1, 1}, &e.Grow},
		{Spec{"soften", "soften", "All edges are blurred by a Gaussian of this sigma", "px", 0, 0, 500, 0, 12, 0.1, 1}, &e.Soften},
		{Spec{"settle", "settle", "The matte takes the mean with those of the frames beside, moved along", "", 0, 0, 1, 0, 1, 0.05, 2}, &e.Settle},
	}
}

// At returns the edge at a frame, but for what frames beside it have a part in.
func (e *Edge) At(frame int) selection.Edge {
	return selection.Edge{
		Despeckle: e.Despeckle.At(frame), Align: e.Align.At(frame), Harden: e.Harden.At(frame),
		About: e.About.At(frame), Grow: e.Grow.At(frame), Soften: e.Soften.At(frame),
	}
}
