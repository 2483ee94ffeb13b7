package frame

import (
	"fmt"
	"image"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/ui/viewer"
	"halocline/app/view"
)

// What the mask tool draws and takes hold of on a frame to which a mask follows the picture.

// follows reports whether a mask of the chosen matte follows the picture to the frame that is
// shown. Where nothing of it is left there, it has the nearest key's outline as its own.
func (t *maskTool) follows(m *study.Mask) bool {
	frame := t.picture.frame()
	if m == nil || !m.Works(frame) || m.StretchAt(frame) == nil {
		return false
	}
	if frame != t.desk.Frame {
		return true
	}
	o, known := t.desk.OutlineOf(m.ID)
	return !known || !o.Found.Lost
}

// followsHere is follows for the chosen mask.
func (t *maskTool) followsHere() bool { return t.follows(t.desk.Mask()) }

// followed is the chosen mask's followed outline; nil while it is not known.
func (t *maskTool) followed(vp view.Viewport, scale float64) *handles.Followed {
	if c := t.picture.foundFor(t.desk.MaskID); c != nil && t.followsHere() {
		return handles.FollowedOf(c, vp, scale)
	}
	return nil
}

// drawFollowed draws the chosen mask's followed outline; while it is not known, as it was found
// before the last edit, or else as at the nearest key, and says which.
func (t *maskTool) drawFollowed(m *study.Mask, dst *image.RGBA, vp view.Viewport, scale float64) {
	if f := t.followed(vp, scale); f != nil {
		over := t.above
		if t.pull != nil {
			over = handles.TheLine
		}
		t.handlesOf(m.At(t.desk.Frame), vp, scale).DrawFeathers(dst)
		f.Draw(dst, over)
		return
	}
	if stale := t.desk.StaleContours(m.ID); stale != nil && t.picture.frame() == t.desk.Frame && !t.desk.Plays() {
		handles.DrawStale(dst, stale, vp, scale)
		return
	}
	t.drawAsAt(m, dst, vp, scale)
}

// drawFollowedQuietly draws the outline of a mask that is not chosen where it follows the
// picture and is not known there, and reports whether it follows it.
func (t *maskTool) drawFollowedQuietly(m *study.Mask, dst *image.RGBA, vp view.Viewport, scale float64) bool {
	if !t.follows(m) {
		return false
	}
	if t.picture.foundFor(m.ID) == nil {
		t.drawAsAt(m, dst, vp, scale)
	}
	return true
}

// drawAsAt draws a mask's outline on a frame to which it follows the picture where that is not
// looked for: as it was found before, or else as at the nearest key, and says which.
func (t *maskTool) drawAsAt(m *study.Mask, dst *image.RGBA, vp view.Viewport, scale float64) {
	frame := t.picture.frame()
	if c := t.picture.passing(m.ID); c != nil {
		handles.DrawFound(dst, c, vp, scale)
		return
	}
	if key, ok := desk.FollowedKey(&m.Track, frame); ok {
		handles.Of(m.At(frame), vp, scale).DrawAsAt(dst, fmt.Sprintf("as at key %d", key))
	}
}

// pressFollowed takes hold of the chosen mask's followed outline: its words make a key, its
// line can be dragged.
func (t *maskTool) pressFollowed(p viewer.Pointer) bool {
	part := handles.NoPart
	if f := t.followed(t.viewer.Viewport(), t.scale()); f != nil {
		part = f.Hit(p.SX, p.SY)
	}
	switch part {
	case handles.TheWords:
		t.above = handles.NoPart
		t.desk.TakeOutline()
		return true
	case handles.TheLine:
		made, err := t.desk.AsFound()
		if err != nil {
			t.desk.TakeOutline() // which says why
			return true
		}
		h := handles.Of(made.At(t.desk.Frame), t.viewer.Viewport(), t.scale())
		t.part, t.id, t.keys = handles.Part{Kind: handles.Vertex, Index: h.NearestVertex(p.SX, p.SY)}, t.desk.MaskID, true
		t.pull = h.GrabSoft(t.part, p.X, p.Y)
		t.viewer.Redraw()
		return true
	}
	return t.chooseAt(p)
}

// hoverFollowed notes what of a followed outline the pointer is over.
func (t *maskTool) hoverFollowed(p viewer.Pointer) {
	above := handles.NoPart
	if f := t.followed(t.viewer.Viewport(), t.scale()); f != nil {
		above = f.Hit(p.SX, p.SY)
	}
	if above != t.above {
		t.above = above
		t.viewer.Redraw()
	}
}

// followedHelp says what a press would do.
func (t *maskTool) followedHelp() string {
	switch {
	case t.picture.foundFor(t.desk.MaskID) != nil:
	case t.desk.FollowingPaused():
		return "this mask follows the picture here: following is paused"
	default:
		return "this mask follows the picture here: its outline is being found"
	}
	return "press on the line: a key as found. Drag it: that part of it moves too"
}
