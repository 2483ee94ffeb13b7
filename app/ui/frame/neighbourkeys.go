package frame

import (
	"image"

	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/view"
)

// neighbourKeys are what is drawn of a mask at other frames than the one shown:
// the keys before and after it, and the way of the vertex that is chosen. It is
// kept until something of what it is made of changes.
type neighbourKeys struct {
	of       neighbourKeysOf
	outlines []neighbourKey
	path     []handles.PathPoint
}

type neighbourKeysOf struct {
	study              *study.Study
	mask, frame, point int
	hidden             bool
	vp                 view.Viewport
	scale              float64
}

// A neighbourKey is the mask's outline at one.
type neighbourKey struct {
	*handles.Handles
	frame  int
	before bool
}

// drawNeighbourKeys draws the chosen mask's neighbour keys and the chosen vertex's
// way between them.
func (t *maskTool) drawNeighbourKeys(dst *image.RGBA, vp view.Viewport, scale float64) {
	d := t.desk
	if !d.Several() {
		return
	}
	of := neighbourKeysOf{d.Study(), d.MaskID, d.Frame, t.chosen.one(), d.HideNeighbours, vp, scale}
	if of != t.drawn.of {
		t.drawn = newNeighbourKeys(of, d.Mask())
	}
	for _, g := range t.drawn.outlines {
		g.DrawGhost(dst, g.frame, g.before)
	}
	handles.DrawPath(dst, t.drawn.path, vp, scale)
}

func newNeighbourKeys(of neighbourKeysOf, m *study.Mask) neighbourKeys {
	n := neighbourKeys{of: of}
	if of.hidden {
		return n
	}
	before, after := handles.Neighbours(&m.Track, of.frame)
	add := func(b study.Bound, earlier bool) {
		if b.Set {
			n.outlines = append(n.outlines, neighbourKey{handles.Of(m.At(b.Frame), of.vp, of.scale), b.Frame, earlier})
		}
	}
	add(before, true)
	add(after, false)
	n.path = handles.Path(&m.Track, of.point, of.frame)
	return n
}
