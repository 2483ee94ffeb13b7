package seam

import (
	"context"
	"fmt"
	"image"

	"halocline/app/check"
	"halocline/app/render"
	"halocline/colour"
	"halocline/mask"
	"halocline/selection"
)

// A Coverage says how much of a grade lies on whole regions that it should not reach, and how
// much it leaves out of what it should. Shares are of what the grade changes farther than R/5 inside
// the matte's edge: the sum of alpha times CIEDE2000 over these pixels.
type Coverage struct {
	// Spilled is the share that lies on what looks like the drop dabs and goes on beyond the
	// matte's edge as if there were none.
	Spilled float64 `json:"spilled"`
	// Beyond is the share that lies farther than R outside the edge of the masks.
	Beyond float64 `json:"beyond"`
	// Short is what the matte leaves out of what looks like the keep dabs and goes on inside
	// its edge as if there were none, as a share; it may be more than 1.
	Short float64 `json:"short"`
	// SpilledAt and ShortAt are where most of that is; nil where it is too little to be told.
	SpilledAt *Place `json:"spilledAt,omitempty"`
	ShortAt   *Place `json:"shortAt,omitempty"`
	// Crossed is over which length, in pixels of the source, the subject may cross the outlines of
	// masks, which cut it there; 0 where the dabs tell what is left out.
	Crossed float64 `json:"crossed,omitempty"`
	// Unknown says why nothing is known of whole regions; "" where something is.
	Unknown string `json:"cannotTell,omitempty"`
}

// A Place is a pixel of the source.
type Place struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// What counts as a region that is open, and how much of it must be there to be told.
// They were chosen on the scenes and pictures on which TestVerdictsOnWholeRegions counts right and
// wrong verdicts.
const (
	alikeOf    = 0.35 // of the usual contrast across the edge: less is no edge
	openFrom   = 0.3  // of what a region touches across the edge
	leastShare = 0.04 // of the grade
	leastTiled = 500  // pixels of the source, well inside the matte: of fewer nothing is known
	mostOdd    = 0.6  // share of the grade on what looks like no dab: from there on dabs tell nothing
)

// Spills, ReachesBeyond and StopsShort report whether so much of it is there that it is to be
// told.
func (c *Coverage) Spills() bool        { return c.Spilled >= leastShare }
func (c *Coverage) ReachesBeyond() bool { return c.Beyond >= leastShare }
func (c *Coverage) StopsShort() bool    { return c.Short >= leastShare }

// Wrong reports whether any of it is there.
func (c *Coverage) Wrong() bool { return c.Spills() || c.ReachesBeyond() || c.StopsShort() }

// Coverage looks for whole regions that the trial's grade should not reach, or should. The dabs
// are the samples of the matte's own. Without a trial that grades all is 0.
func (f *Frame) Coverage(ctx context.Context, dabs []selection.Dab, workers int) (Coverage, error) {
	var c Coverage
	if f.change == 0 {
		return c, nil
	}
	if len(f.request.Settings.Joins) > 0 {
		c.Unknown = "it takes in other mattes"
		return c, nil
	}
	outlines, err := f.renderer.Outlines(ctx, f.request)
	if err != nil {
		return c, err
	}
	g := tiling{likeness: check.LikenessOf(dabs), grade: f.request.Settings.Trial.At(f.request.Frame).CDL().Colour, radius: f.band.radius}
	if g.matte, err = f.renderer.Matte(ctx, f.request); err != nil {
		return c, err
	}
	if g.picture, err = f.renderer.Picked(ctx, f.request); err != nil {
		return c, err
	}
	t, err := g.tile(ctx, workers)
	if err != nil {
		return c, err
	}
	total := t.total()
	if c.Beyond, err = f.beyond(ctx, &g, outlines, total, workers); err != nil {
		return c, err
	}
	byColour := f.whyNoColours(&g, t, total)
	if byColour == "" {
		f.byColours(&c, t, total)
		return c, nil
	}
	for _, crossing := range render.CrossingsOf(outlines) {
		c.Crossed += crossing.Length
	}
	if !findsEdge(outlines) {
		c.Unknown = byColour
	}
	return c, nil
}

// total is all that the grade changes in the tiles inside the matte.
func (t *tiles) total() (sum float64) {
	for i := range t.sides[within] {
		sum += t.sides[within][i].grade
	}
	return sum
}

// whyNoColours says why colours do not tell what the matte should cover; "" where they do.
func (f *Frame) whyNoColours(g *tiling, t *tiles, total float64) string {
	keep, drop := g.likeness.Dabs()
	const orMask = ", no mask that finds its edge"
	switch {
	case keep == 0 && drop == 0:
		return "no dabs" + orMask
	case drop == 0:
		return "no drop dabs" + orMask
	case keep == 0:
		return "no keep dabs" + orMask
	}
	pixels, odd := 0, 0.
	for i := range t.sides[within] {
		u := &t.sides[within][i]
		pixels += u.pixels
		if u.looks == neither {
			odd += u.grade
		}
	}
	switch {
	case float64(pixels)*f.factor()*f.factor() < leastTiled:
		return "the matte is too small"
	case odd > mostOdd*total:
		return "most of what is graded looks like no dab"
	}
	return ""
}

// byColours finds what is spilled and what is left out.
func (f *Frame) byColours(c *Coverage, t *tiles, total float64) {
	if total == 0 {
		return
	}
	alike := alikeOf * t.usual()
	c.Spilled, c.SpilledAt = f.share(t, t.regions(within, dropped, alike), total)
	c.Short, c.ShortAt = f.share(t, t.regions(outside, kept, alike), total)
	if !c.Spills() {
		c.SpilledAt = nil
	}
	if !c.StopsShort() {
		c.ShortAt = nil
	}
}

// share is the part that open regions have in all that is graded, and where the largest is.
func (f *Frame) share(t *tiles, all []region, total float64) (share float64, at *Place) {
	most := 0.
	for _, r := range all {
		if float64(r.open) < openFrom*float64(r.touched) || r.open == 0 {
			continue
		}
		share += r.grade / total
		if r.grade > most {
			most = r.grade
			x, y := t.middle(r)
			origin := f.origin()
			at = &Place{float64(origin.X) + f.factor()*x, float64(origin.Y) + f.factor()*y}
		}
	}
	return share, at
}

// origin is where the planes begin, in pixels of the source.
func (f *Frame) origin() image.Point {
	k := int(f.factor())
	from := f.request.Region.Min
	return image.Pt(max(0, from.X)/k*k, max(0, from.Y)/k*k)
}

// findsEdge reports whether a mask that keeps is led to an edge in the picture.
func findsEdge(outlines []render.Outline) bool {
	for _, o := range outlines {
		if !o.Layer.Drop && o.Found != nil && !o.Found.Lost {
			return true
		}
	}
	return false
}

// beyond is the share of a grade that lies farther than R outside the keep masks, of all that it
// changes in the tiles inside the matte; 0 where there is no keep mask.
func (f *Frame) beyond(ctx context.Context, g *tiling, outlines []render.Outline, total float64, workers int) (float64, error) {
	layers := []mask.Layer{{Off: true}} // all that is not near a keep mask
	for _, o := range outlines {
		if l := o.OnFound(); !l.Drop {
			l.Inner, l.Outer, l.Opacity = 0, g.radius*f.factor(), 1
			layers = append(layers, l)
		}
	}
	if len(layers) == 1 || total == 0 {
		return 0, nil
	}
	k, origin := int(f.factor()), f.origin()
	part := mask.Region{X0: origin.X, Y0: origin.Y, X1: origin.X + k*g.matte.W, Y1: origin.Y + k*g.matte.H, Factor: k}
	var near colour.Plane
	if err := mask.Compose(ctx, &near, layers, part, workers); err != nil {
		return 0, fmt.Errorf("seam: %w", err)
	}
	sum := 0.
	for i, w := range near.Pix {
		if alpha := check.Alpha(g.matte.Pix[i]); w == 0 && alpha > 0 {
			sum += float64(alpha) * g.change(g.picture.RGB(i%g.matte.W, i/g.matte.W))
		}
	}
	return sum / total, nil
}
