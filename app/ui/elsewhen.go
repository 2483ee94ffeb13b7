package ui

import (
	"image"

	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/view"
)

// An elsewhen is what is drawn of a mask at other frames than the one in sight:
// the keys before and after it, and the way of the vertex that is chosen. It is
// kept until something of what it is made of changes.
type elsewhen struct {
	of     elsewhenOf
	ghosts []ghost
	path   []handles.Step
}

type elsewhenOf struct {
	study              *study.Study
	mask, frame, point int
	lonely             bool
	vp                 view.Viewport
	scale              float64
}

// A ghost is the mask at a neighbour key.
type ghost struct {
	*handles.Handles
	frame  int
	before bool
}

// drawElsewhen draws the chosen mask's neighbour keys and the chosen vertex's
// way between them.
func (t *maskTool) drawElsewhen(dst *image.RGBA, vp view.Viewport, scale float64) {
	b := t.w.bench
	if !t.w.several() {
		return
	}
	of := elsewhenOf{b.study(), b.maskID, b.frame, t.vertex, b.lonely, vp, scale}
	if of != t.drawn.of {
		t.drawn = newElsewhen(of, b.mask())
	}
	for _, g := range t.drawn.ghosts {
		g.DrawGhost(dst, g.frame, g.before)
	}
	handles.DrawPath(dst, t.drawn.path, vp, scale)
}

func newElsewhen(of elsewhenOf, m *study.Mask) elsewhen {
	e := elsewhen{of: of}
	if of.lonely {
		return e
	}
	before, after := handles.Neighbours(&m.Track, of.frame)
	add := func(b study.Bound, earlier bool) {
		if b.Set {
			e.ghosts = append(e.ghosts, ghost{handles.Of(m.At(b.Frame), of.vp, of.scale, -1), b.Frame, earlier})
		}
	}
	add(before, true)
	add(after, false)
	e.path = handles.Path(&m.Track, of.point, of.frame)
	return e
}
