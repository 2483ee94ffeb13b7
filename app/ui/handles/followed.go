package handles

import (
	"image"
	"math"

	"halocline/app/ink"
	"halocline/app/ui/look"
	"halocline/app/view"
	"halocline/mask"
)

// A Followed is a mask's outline on a frame to which it follows the picture, as it stands on
// the screen: a line without handles, and words beside it that make a key of it.
type Followed struct {
	loops [][]ink.Pt
	scale float64
	words ink.Rect // none where the line lies outside the view
	at    ink.Pt   // the place of the line beside which they stand
}

// KeyHere are the words beside a followed outline.
const KeyHere = "Key here"

// A FollowedPart is what of a followed outline lies at a place.
type FollowedPart int

const (
	NoPart   FollowedPart = iota
	TheLine               // a drag moves its nearest vertex, and that one's neighbours less
	TheWords              // a press makes a key
)

// FollowedOf returns a followed outline by its contours, in source pixels, in a view.
func FollowedOf(contours [][]mask.Point, vp view.Viewport, scale float64) *Followed {
	f := &Followed{loops: onScreen(contours, vp), scale: scale}
	seen, found := image.Rect(0, 0, vp.VW, vp.VH), false
	for _, loop := range f.loops {
		for _, p := range loop {
			if p.X >= 0 && p.Y >= 0 && p.X < float64(vp.VW) && p.Y < float64(vp.VH) && (!found || p.X > f.at.X) {
				f.at, found = p, true
			}
		}
	}
	if found {
		f.words = labelAt(below(f.at, scale), KeyHere, false, scale, seen)
	}
	return f
}

// Hit returns what of it is at a point of the screen.
func (f *Followed) Hit(sx, sy float64) FollowedPart {
	w := f.words
	if sx >= w.X0 && sx < w.X1 && sy >= w.Y0 && sy < w.Y1 {
		return TheWords
	}
	for _, loop := range f.loops {
		if _, d := chain(ink.Pt{X: sx, Y: sy}, loop); d <= lineReach*f.scale {
			return TheLine
		}
	}
	return NoPart
}

// Draw draws it like any found edge; what is pointed at is in the accent.
func (f *Followed) Draw(dst *image.RGBA, over FollowedPart) {
	colour := look.Bone
	if over == TheLine {
		colour = look.Accent
	}
	drawDashes(dst, f.loops, f.scale, colour, true)
	if f.words.X1 <= f.words.X0 {
		return
	}
	edge, text := look.Bone, look.Text
	if over == TheWords {
		edge, text = look.Accent, look.White
	}
	b := brush{dst, f.scale}
	b.words(f.words, KeyHere, text)
	ink.Box(dst, f.words, ink.Pen{Width: f.scale, Colour: edge})
}

// DrawFeathers dots where the weight has become full and where none is left, and nothing else.
func (h *Handles) DrawFeathers(dst *image.RGBA) {
	if !h.empty() {
		h.drawFeathers(brush{dst, h.scale})
	}
}

// DrawStale draws contours as they were found before an edit, faintly.
func DrawStale(dst *image.RGBA, contours [][]mask.Point, vp view.Viewport, scale float64) {
	drawDashes(dst, onScreen(contours, vp), scale, ghost, false)
}

// DrawAsAt draws the outline faintly, without handles, with words that say of which frame it is.
func (h *Handles) DrawAsAt(dst *image.RGBA, words string) {
	if h.empty() {
		return
	}
	b := brush{dst, h.scale}
	b.stroke(h.outline, true, slight, faint)
	end := h.outline[0]
	for _, p := range h.outline {
		if p.X > end.X {
			end = p
		}
	}
	r := dst.Rect
	end.X = math.Min(math.Max(end.X, float64(r.Min.X)), float64(r.Max.X))
	b.label(below(end, h.scale), words, false)
}

// below is a place under the one where neighbour keys have their frames' numbers.
func below(at ink.Pt, scale float64) ink.Pt { return ink.Pt{X: at.X, Y: at.Y + 22*scale} }

// NearestVertex returns the vertex that is nearest to a point of the screen, counted from 0;
// -1 where there is none.
func (h *Handles) NearestVertex(sx, sy float64) int {
	if h.empty() {
		return -1
	}
	i, _ := nearest(ink.Pt{X: sx, Y: sy}, h.points)
	return i
}
