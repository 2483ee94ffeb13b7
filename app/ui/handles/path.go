package handles

import (
	"image"
	"slices"
	"strconv"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/mask"
)

// Neighbours returns the frames of the keys before and after a frame,
// where there are any.
func Neighbours(t *mask.Track, frame int) (before, after mask.Bound) {
	for _, k := range t.Keys {
		switch {
		case k.Frame < frame:
			before = mask.Bound{Set: true, Frame: k.Frame}
		case k.Frame > frame && !after.Set:
			after = mask.Bound{Set: true, Frame: k.Frame}
		}
	}
	return before, after
}

// DrawGhost draws the shape faintly with a frame's number beside it: to the
// left for a frame that came before, to the right for one to come.
func (h *Handles) DrawGhost(dst *image.RGBA, frame int, before bool) {
	if h.empty() {
		return
	}
	ink.Polyline(dst, h.outline, true, ink.Pen{Width: 1.2 * h.scale, Colour: ghost})
	end := h.outline[0]
	for _, p := range h.outline {
		if before && p.X < end.X || !before && p.X > end.X {
			end = p
		}
	}
	const gap = 6
	at, anchor := beyond(end, ink.Pt{X: 1}, gap*h.scale), ink.MidLeft
	if before {
		at, anchor = beyond(end, ink.Pt{X: -1}, gap*h.scale), ink.MidRight
	}
	look.Type.Text(dst, at, strconv.Itoa(frame), look.SmallSize*h.scale, look.Text, anchor)
}

// A PathPoint is where a vertex is at one frame.
type PathPoint struct {
	At  mask.Point
	Key bool // there is a key at the frame
}

// Path returns the way of a vertex, counted from 0, from the key before a frame
// to the key after it: one point for every frame, or for every few where there
// are many. Where the outline follows the picture there is none: no vertex goes along.
func Path(t *mask.Track, vertex, frame int) []PathPoint {
	const most = 100
	if vertex < 0 || len(t.Keys) == 0 || vertex >= len(t.At(frame).Points) {
		return nil
	}
	from, to := alikeAbout(t, frame)
	if from == to {
		return nil
	}
	one := mask.Track{Keys: slices.Clone(t.Keys)} // the rest of the shape is not asked for
	for i, k := range t.Keys {
		at := min(vertex, len(k.Points)-1) // beyond a followed stretch keys may have fewer
		one.Keys[i].Points = k.Points[at : at+1]
	}
	by := (to - from + most - 1) / most
	var out []PathPoint
	for f := from; f < to+by; f += by {
		at := min(f, to)
		key := slices.ContainsFunc(t.Keys, func(k mask.Key) bool { return k.Frame == at })
		out = append(out, PathPoint{one.At(at).Points[0], key})
	}
	return out
}

// alikeAbout returns the frames of the keys about a frame, those that have its vertices; the
// frame itself where there is none.
func alikeAbout(t *mask.Track, frame int) (from, to int) {
	from, to = frame, frame
	if t.StretchAt(frame) != nil {
		return from, to
	}
	for i, k := range t.Keys {
		switch {
		case k.Frame < frame:
			from = k.Frame
			if next := i + 1; k.Way == mask.Follow && next < len(t.Keys) && t.Keys[next].Frame == frame {
				from = frame
			}
		case k.Frame > frame:
			if i == 0 || t.Keys[i-1].Way != mask.Follow {
				to = k.Frame
			}
			return from, to
		}
	}
	return from, to
}

// DrawPath draws a vertex's way: a dot for every point, a ring at keys.
func DrawPath(dst *image.RGBA, path []PathPoint, vp view.Viewport, scale float64) {
	b := brush{dst, scale}
	line := make([]ink.Pt, len(path))
	for i, s := range path {
		line[i].X, line[i].Y = vp.ToScreen(s.At.X, s.At.Y)
	}
	b.stroke(line, false, slight, look.Accent)
	for i, s := range path {
		if !s.Key {
			ink.Disc(dst, line[i], 2*scale, look.Accent)
		}
	}
	for i, s := range path {
		if s.Key {
			ink.Disc(dst, line[i], 4.5*scale, look.Accent)
			ink.Disc(dst, line[i], 3*scale, look.Plot)
		}
	}
}
