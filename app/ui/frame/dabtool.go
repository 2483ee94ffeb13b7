package frame

import (
	"image"
	"image/color"
	"iter"
	"math"
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/desk"
	"halocline/app/ink"
	"halocline/app/study"
	"halocline/app/ui/look"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/colour"
	"halocline/selection"
)

// A dabTool puts dabs on the frame: a press makes one of the kind in use, the
// right button one of the other kind. While it is pressed its colours stand in
// the field, with the pick as it would become.
type dabTool struct {
	desk    *desk.Desk
	picture picture
	viewer  *viewer.Viewer
	dabs    Dabs
	status  Status
	why     *overlays // says why a pixel is in or out
	cursor  cursor

	now     *study.Dab // pressed and not yet let go
	of      int        // the matte that it is for
	radius  float64
	hover   int // the dab under the pointer, 0 for none
	at      viewer.Pointer
	inside  bool         // at is where the pointer is
	moved   bool         // now is a dab that was there, on its way
	colours []colour.RGB // under now, as far as known
}

func newDabTool(pic picture, c cursor, p Parts, why *overlays) *dabTool {
	return &dabTool{desk: pic.desk, picture: pic, viewer: c.viewer, status: p.Status, why: why, cursor: c, radius: startRadius}
}

func (t *dabTool) Press(p viewer.Pointer) bool {
	d := t.desk
	if d.Matte() == nil || p.Button != desktop.MouseButtonPrimary && p.Button != desktop.MouseButtonSecondary {
		return false
	}
	if d.View == view.Reasons && p.Button == desktop.MouseButtonPrimary {
		t.why.pin(p)
		return true
	}
	t.of = d.MatteID
	if dab := t.grabbed(p); dab != nil {
		t.now, t.moved = dab, false
		return true
	}
	kind := d.DabKind
	if p.Button == desktop.MouseButtonSecondary {
		kind = kind.Other()
	}
	t.now = &study.Dab{Frame: d.Frame, X: p.X, Y: p.Y, Radius: t.radius, Kind: kind}
	t.preview()
	return true
}

// grabbed is the dab that a press takes up to move it; nil for none.
func (t *dabTool) grabbed(p viewer.Pointer) *study.Dab {
	if p.Button != desktop.MouseButtonPrimary {
		return nil
	}
	id := t.dabAt(p.X, p.Y)
	for d := range dabsOf(t.desk.Matte()) {
		if d.ID == id {
			return &d
		}
	}
	return nil
}

// dabsOf yields a matte's dabs: those of its pick, then those for its masks.
func dabsOf(m *study.Matte) iter.Seq[study.Dab] {
	return func(yield func(study.Dab) bool) {
		for _, all := range [][]study.Dab{m.Dabs, m.MaskDabs} {
			for _, d := range all {
				if !yield(d) {
					return
				}
			}
		}
	}
}

// settle gives a pressed dab up whose matte is no longer the chosen one.
func (t *dabTool) settle() {
	if t.now != nil && t.of != t.desk.MatteID {
		t.end()
	}
}

func (t *dabTool) Drag(p viewer.Pointer) {
	if t.now != nil {
		t.moved = true
		t.now.X, t.now.Y = p.X, p.Y
		t.preview()
	}
}

func (t *dabTool) Release(p viewer.Pointer) {
	if t.now == nil {
		return
	}
	d := *t.now
	t.end()
	switch {
	case d.ID == 0:
		t.desk.AddDab(d)
	case t.moved:
		t.desk.MoveDab(d)
	}
	t.Hover(p)
}

func (t *dabTool) Cancel() { t.end() }

func (t *dabTool) end() {
	t.now = nil
	t.desk.EndPress()
	t.dabs.PreviewDab(nil, nil)
	t.viewer.Redraw()
}

func (t *dabTool) Hover(p viewer.Pointer) {
	t.at, t.inside = p, true
	over := t.dabAt(p.X, p.Y)
	if over != t.hover {
		t.hover = over
		t.status.Display()
		t.viewer.Redraw()
	}
	if c, ok := t.desk.PixelAt(int(math.Floor(p.X)), int(math.Floor(p.Y))); ok && t.desk.Matte() != nil {
		v := t.desk.Matte().Pick.Model.At(c)
		t.dabs.HoverValue(&v)
	}
}

func (t *dabTool) Leave() {
	t.hover, t.inside = 0, false
	t.status.Display()
	t.dabs.HoverValue(nil)
	t.viewer.Redraw()
}

func (t *dabTool) Wheel(_ viewer.Pointer, notches float64) bool {
	if t.now == nil {
		return false
	}
	t.radius = resized(t.now.Radius, notches)
	t.now.Radius, t.moved = t.radius, true
	t.preview()
	return true
}

func (t *dabTool) Key(name fyne.KeyName, mods fyne.KeyModifier) bool {
	d := t.desk
	switch {
	case t.cursor.key(name, mods):
		return true
	case d.Matte() == nil:
		return false
	case (name == fyne.KeyReturn || name == fyne.KeyEnter) && t.cursor.on:
		kind := d.DabKind
		if mods&fyne.KeyModifierShift != 0 {
			kind = kind.Other()
		}
		t.desk.AddDab(study.Dab{X: t.cursor.x, Y: t.cursor.y, Radius: t.radius, Kind: kind})
		return true
	case name == fyne.KeyDelete || name == fyne.KeyBackspace:
		id := 0
		if t.inside { // the dab may be newer than the pointer's last move
			id = t.dabAt(t.at.X, t.at.Y)
		}
		if id == 0 && t.cursor.on {
			id = t.dabAt(t.cursor.x, t.cursor.y)
		}
		if id == 0 {
			return false
		}
		t.desk.RemoveDab(id)
		return true
	}
	return false
}

// dabAt is the dab of the chosen matte at a place, 0 for none.
func (t *dabTool) dabAt(x, y float64) int {
	m := t.desk.Matte()
	if m == nil {
		return 0
	}
	reach := 9 / t.viewer.Viewport().Zoom
	for d := range dabsOf(m) {
		if d.Frame == t.desk.Frame && math.Hypot(x-d.X, y-d.Y) <= max(d.Radius, reach) {
			return d.ID
		}
	}
	return 0
}

// preview shows a dab's colours in the field before it is let go, and the pick as it
// would become once that is known.
func (t *dabTool) preview() {
	t.viewer.Redraw()
	t.colours = t.desk.PressDab(*t.now)
	t.previewed()
}

// previewed shows what is known of the pressed dab.
func (t *dabTool) previewed() {
	switch {
	case t.now == nil:
	case len(t.colours) == 0:
		t.dabs.PreviewDab(nil, nil)
	default:
		sample := selection.Dab{Colours: t.colours, Keep: t.now.Kind == study.Keep}
		if would, ok := t.desk.Would(); ok {
			t.dabs.PreviewDab(&sample, &would)
		} else {
			t.dabs.PreviewDab(&sample, nil)
		}
	}
}

func (t *dabTool) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	m := t.desk.Matte()
	if m == nil {
		return
	}
	if t.desk.DabUse() != desk.ForPick {
		t.picture.drawSearched(dst, vp, scale)
	}
	for _, d := range m.Dabs {
		if d.Frame != t.desk.Frame {
			drawDabOfOtherFrame(dst, vp, scale, d)
		}
	}
	for _, d := range m.Dabs {
		switch {
		case d.Frame != t.desk.Frame || t.now != nil && d.ID == t.now.ID:
		case t.desk.ShowMisclassified:
			drawDabOutline(dst, vp, scale, d)
		default:
			drawDab(dst, vp, scale, d, d.ID == t.hover)
		}
	}
	for _, d := range m.MaskDabs {
		if d.Frame == t.desk.Frame && (t.now == nil || d.ID != t.now.ID) {
			drawMaskDab(dst, vp, scale, d, d.ID == t.hover)
		}
	}
	switch {
	case t.now == nil:
	case t.desk.ForMasksAlone(*t.now):
		drawMaskDab(dst, vp, scale, *t.now, true)
	default:
		drawDab(dst, vp, scale, *t.now, true)
	}
	if a := t.why.asked; a != nil {
		x, y := vp.ToScreen(float64(a.X)+0.5, float64(a.Y)+0.5)
		ink.Ring(dst, ink.Pt{X: x, Y: y}, 6*scale, ink.Pen{Width: 4 * scale, Colour: shadow})
		ink.Ring(dst, ink.Pt{X: x, Y: y}, 6*scale, ink.Pen{Width: 1.6 * scale, Colour: look.White})
	}
	t.cursor.draw(dst, vp, scale)
}

// drawDab draws a dab: a disc to keep, a hollow square to drop. Its true size
// is drawn around it where the pointer asks for it.
func drawDab(dst *image.RGBA, vp view.Viewport, scale float64, d study.Dab, sized bool) {
	x, y := vp.ToScreen(d.X, d.Y)
	at := ink.Pt{X: x, Y: y}
	if sized {
		drawDabSize(dst, vp, scale, d)
	}
	if d.Kind == study.Keep {
		ink.Disc(dst, at, 6.5*scale, shadow)
		ink.Disc(dst, at, 4.5*scale, look.Bone)
		return
	}
	square := func(half float64, p ink.Pen) {
		ink.Box(dst, ink.Rect{X0: x - half*scale, Y0: y - half*scale, X1: x + half*scale, Y1: y + half*scale}, p)
	}
	square(6, ink.Pen{Width: 5 * scale, Colour: shadow})
	square(6, ink.Pen{Width: 2 * scale, Colour: look.Bone})
}

// drawDabSize draws a dab's true size.
func drawDabSize(dst *image.RGBA, vp view.Viewport, scale float64, d study.Dab) {
	x, y := vp.ToScreen(d.X, d.Y)
	for _, p := range []ink.Pen{{Width: 3 * scale, Colour: shadow}, {Width: 1.2 * scale, Colour: look.Bone}} {
		ink.Ring(dst, ink.Pt{X: x, Y: y}, max(d.Radius*vp.Zoom, 2), p)
	}
}

// drawMaskDab draws a dab for masks: a hollow diamond, with a plus to keep and a minus to
// drop.
func drawMaskDab(dst *image.RGBA, vp view.Viewport, scale float64, d study.Dab, sized bool) {
	x, y := vp.ToScreen(d.X, d.Y)
	at := func(dx, dy float64) ink.Pt { return ink.Pt{X: x + dx*scale, Y: y + dy*scale} }
	if sized {
		drawDabSize(dst, vp, scale, d)
	}
	const half, arm = 8, 3.5
	diamond := []ink.Pt{at(0, -half), at(half, 0), at(0, half), at(-half, 0)}
	for _, p := range []ink.Pen{{Width: 4 * scale, Colour: shadow}, {Width: 1.6 * scale, Colour: look.Bone}} {
		ink.Polyline(dst, diamond, true, p)
		ink.Line(dst, at(-arm, 0), at(arm, 0), p)
		if d.Kind == study.Keep {
			ink.Line(dst, at(0, -arm), at(0, arm), p)
		}
	}
}

// drawDabOutline draws a dab by its outline, in its true size, so that marks on its
// pixels can be seen.
func drawDabOutline(dst *image.RGBA, vp view.Viewport, scale float64, d study.Dab) {
	x, y := vp.ToScreen(d.X, d.Y)
	r := max(d.Radius*vp.Zoom, 4*scale) + 2*scale
	for _, p := range []ink.Pen{{Width: 3 * scale, Colour: shadow}, {Width: 1.2 * scale, Colour: look.Bone}} {
		if d.Kind == study.Keep {
			ink.Ring(dst, ink.Pt{X: x, Y: y}, r, p)
		} else {
			ink.Box(dst, ink.Rect{X0: x - r, Y0: y - r, X1: x + r, Y1: y + r}, p)
		}
	}
}

// The colours of what is at another frame.
var (
	faintBone   = color.NRGBA{look.Bone.R, look.Bone.G, look.Bone.B, 0xa8}
	faintShadow = color.NRGBA{shadow.R, shadow.G, shadow.B, 0x90}
)

// drawDabOfOtherFrame draws a dab of another frame faintly, smaller, with the
// frame's number. The pick is fitted to it as to the others.
func drawDabOfOtherFrame(dst *image.RGBA, vp view.Viewport, scale float64, d study.Dab) {
	x, y := vp.ToScreen(d.X, d.Y)
	at := ink.Pt{X: x, Y: y}
	if d.Kind == study.Keep {
		ink.Disc(dst, at, 5*scale, faintShadow)
		ink.Disc(dst, at, 3.5*scale, faintBone)
	} else {
		half := 4 * scale
		box := ink.Rect{X0: x - half, Y0: y - half, X1: x + half, Y1: y + half}
		ink.Box(dst, box, ink.Pen{Width: 4 * scale, Colour: faintShadow})
		ink.Box(dst, box, ink.Pen{Width: 1.6 * scale, Colour: faintBone})
	}
	look.Type.Text(dst, ink.Pt{X: x + 9*scale, Y: y + scale}, strconv.Itoa(d.Frame), look.AxisSize*scale, faintShadow, ink.MidLeft)
	look.Type.Text(dst, ink.Pt{X: x + 8*scale, Y: y}, strconv.Itoa(d.Frame), look.AxisSize*scale, faintBone, ink.MidLeft)
}

func (t *dabTool) Cursor(viewer.Pointer) desktop.Cursor { return desktop.CrosshairCursor }
