package frame

import (
	"fmt"
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/desk"
	"halocline/app/study"
	"halocline/app/ui/handles"
	"halocline/app/ui/viewer"
	"halocline/app/view"
	"halocline/mask"
)

// A maskTool edits the chosen mask on the frame: vertices, feathers, the box
// around it; or draws a new one.
type maskTool struct {
	desk    *desk.Desk
	viewer  *viewer.Viewer
	canvas  fyne.Canvas
	picture picture

	chosen chosen
	box    *chooseBox           // being drawn; nil for none
	over   handles.Part         // under the pointer
	draft  *handles.Draft       // being drawn; nil for none
	of     int                  // the matte that the draft is for
	kind   study.Kind           // of the draft
	anew   int                  // the mask whose outline the draft is to be; 0 for a new mask
	pull   *handles.Pull        // under way
	part   handles.Part         // what is pulled
	id     int                  // of the mask that is pulled
	change *handles.Change      // of the pull so far
	keys   bool                 // the pull makes the key as it was found first
	above  handles.FollowedPart // of a followed outline: under the pointer
	drawn  neighbourKeys        // last: the mask at other frames
}

func newMaskTool(v *viewer.Viewer, c fyne.Canvas, p picture) *maskTool {
	return &maskTool{desk: p.desk, viewer: v, canvas: c, picture: p}
}

// begin starts to draw a mask.
func (t *maskTool) begin(k study.Kind) {
	t.draft, t.of, t.kind, t.anew = handles.NewDraft(), t.desk.MatteID, k, 0
	t.chosen.only(-1)
}

// beginAnew starts to draw the chosen mask's outline anew on the frame shown.
func (t *maskTool) beginAnew() {
	m := t.desk.Mask()
	t.begin(m.Kind)
	t.anew = m.ID
}

// drawing reports whether a mask is being drawn.
func (t *maskTool) drawing() bool { return t.draft != nil }

// settle gives a draft up whose matte is no longer the chosen one, or whose mask can no longer
// be drawn anew on the frame shown.
func (t *maskTool) settle() {
	if t.draft != nil && (t.of != t.desk.MatteID || t.anew != 0 && (t.anew != t.desk.MaskID || !t.desk.CanDrawAnew())) {
		t.draft = nil
	}
}

// shape is the chosen mask's on this frame.
func (t *maskTool) shape() (mask.Shape, bool) {
	m := t.desk.Mask()
	if m == nil {
		return mask.Shape{}, false
	}
	return m.At(t.picture.frame()), true
}

func (t *maskTool) handles() *handles.Handles {
	s, ok := t.shape()
	if !ok || t.follows(t.desk.Mask()) {
		return nil
	}
	t.chosen.within(len(s.Points))
	return t.handlesOf(s, t.viewer.Viewport(), t.scale())
}

// handlesOf are the chosen mask's, whose shape is given: its feathers are about the edge
// that was found, where one was.
func (t *maskTool) handlesOf(s mask.Shape, vp view.Viewport, scale float64) *handles.Handles {
	h := handles.Of(s, vp, scale)
	h.Choose(t.chosen.vertices...)
	if contours := t.picture.foundFor(t.desk.MaskID); contours != nil {
		h.About(contours)
	}
	return h
}

func (t *maskTool) scale() float64 { return float64(t.canvas.Scale()) }

func (t *maskTool) Press(p viewer.Pointer) bool {
	if t.draft != nil {
		return t.pressDraft(p)
	}
	if p.Button != desktop.MouseButtonPrimary {
		return false
	}
	if t.followsHere() {
		return t.pressFollowed(p)
	}
	h := t.handles()
	if h == nil {
		return t.chooseAt(p)
	}
	part := h.Hit(p.SX, p.SY)
	if p.Mods&fyne.KeyModifierShift != 0 && t.pressToChoose(part, p) {
		return true
	}
	switch {
	case part.Kind == handles.None, part.Kind == handles.Inside:
		return t.chooseAt(p)
	case part.Kind == handles.Edge && p.Double:
		t.insertAt(part.Index, part.U)
		return true
	case part.Kind == handles.Vertex && !t.chosen.has(part.Index):
		t.chosen.only(part.Index)
	}
	grab := h.Grab
	if p.Mods&fyne.KeyModifierControl != 0 {
		grab = h.GrabSoft
	}
	t.pull, t.part, t.id, t.keys = grab(part, p.X, p.Y), part, t.desk.MaskID, false
	t.viewer.Redraw()
	return true
}

// pressToChoose takes a press with Shift: on a vertex it is chosen besides the others, or let go;
// on a line or on none a rectangle begins. It reports whether the press was one of these.
func (t *maskTool) pressToChoose(part handles.Part, p viewer.Pointer) bool {
	switch part.Kind {
	case handles.Vertex:
		t.chosen.toggle(part.Index)
		t.desk.Refresh()
	case handles.None, handles.Inside, handles.Edge:
		t.openBox(p)
	default: // Shift has its own meaning on the box's handles
		return false
	}
	return true
}

// chooseAt chooses another mask whose inside or line is pressed.
func (t *maskTool) chooseAt(p viewer.Pointer) bool {
	m := t.desk.Matte()
	if m == nil {
		return false
	}
	for i := range m.Masks {
		o := &m.Masks[i]
		if o.ID == t.desk.MaskID {
			continue
		}
		h := handles.Of(o.At(t.desk.Frame), t.viewer.Viewport(), t.scale())
		if h.Covers(p.SX, p.SY) {
			t.chosen.only(-1)
			t.desk.Set(func() { t.desk.MaskID = o.ID })
			return true
		}
	}
	return false
}

func (t *maskTool) pressDraft(p viewer.Pointer) bool {
	switch {
	case p.Button == desktop.MouseButtonSecondary:
		t.draft.Back()
	case p.Button == desktop.MouseButtonPrimary:
		vp := t.viewer.Viewport()
		if p.Double || t.draft.Closes(p.SX, p.SY, vp, t.scale()) {
			t.closeDraft()
			return true
		}
		t.draft.Add(p.X, p.Y)
	}
	t.viewer.Redraw()
	return true
}

// closeDraft makes a mask of what was drawn.
func (t *maskTool) closeDraft() {
	points, err := t.draft.Close()
	if err != nil {
		t.desk.Report(desk.Problem{What: "The mask is not closed yet", ToDo: "Press on the frame for another vertex; Esc gives the mask up.", Err: err})
		return
	}
	t.draft = nil
	if t.anew != 0 {
		t.desk.RedrawMask(t.anew, points)
		return
	}
	t.desk.AddMask(t.kind, points)
}

func (t *maskTool) Drag(p viewer.Pointer) {
	switch {
	case t.box != nil:
		t.stretchBox(p)
		return
	case t.pull == nil:
		if t.draft != nil {
			t.Hover(p)
		}
		return
	}
	t.slide(t.pull.To(p.X, p.Y, p.Mods&fyne.KeyModifierShift != 0), study.Moved)
}

// slide makes a change of the mask that is pulled.
func (t *maskTool) slide(c handles.Change, phase study.Phase) {
	t.change = &c
	frame, reach := t.desk.Frame, t.desk.EditReach()
	if t.keys { // no other key has its vertices
		reach = mask.Here
		t.chosen.only(t.part.Index)
	}
	t.desk.SlideShape(pullNames[t.part.Kind], phase, t.id, reach, func(k *study.Mask) error { return c.Apply(&k.Track, frame, reach) })
}

var pullNames = map[handles.PartKind]string{
	handles.Vertex: "Move vertex", handles.Edge: "Move line", handles.InnerFeather: study.InwardSpec.Title(), handles.OuterFeather: study.OutwardSpec.Title(),
	handles.Corner: "Scale mask", handles.Side: "Stretch mask", handles.Turn: "Rotate mask", handles.Centre: "Move mask",
}

func (t *maskTool) Release(viewer.Pointer) {
	switch {
	case t.pull != nil && t.change != nil:
		t.slide(*t.change, study.Done)
	case t.pull != nil && t.keys:
		t.desk.TakeOutline()
	}
	t.letGo()
	t.viewer.Redraw()
}

// letGo ends what the mouse holds.
func (t *maskTool) letGo() {
	if t.box != nil {
		t.desk.Refresh() // the panel says what is chosen
	}
	t.pull, t.change, t.keys, t.box = nil, nil, false, nil
}

func (t *maskTool) Cancel() {
	if t.box != nil {
		t.chosen.only(-1)
		t.chosen.add(t.box.had)
	}
	t.letGo()
	t.desk.CancelDrag()
	t.viewer.Redraw()
}

func (t *maskTool) Hover(p viewer.Pointer) {
	if t.draft != nil {
		t.draft.Hover(p.X, p.Y)
		t.viewer.Redraw()
		return
	}
	t.hoverFollowed(p)
	over := handles.Part{}
	if h := t.handles(); h != nil {
		over = h.Hit(p.SX, p.SY)
	}
	if over.Kind != t.over.Kind || over.Index != t.over.Index {
		t.over = over
		t.viewer.Redraw()
	}
}

func (t *maskTool) Leave() {
	t.over, t.above = handles.Part{}, handles.NoPart
	if t.draft != nil {
		t.draft.Leave()
	}
	t.viewer.Redraw()
}

func (t *maskTool) Wheel(viewer.Pointer, float64) bool { return false }

func (t *maskTool) Key(name fyne.KeyName, mods fyne.KeyModifier) bool {
	if t.draft != nil {
		return t.draftKey(name)
	}
	s, ok := t.shape()
	if !ok {
		return false
	}
	follows := t.followsHere()
	switch name {
	case fyne.KeyTab:
		if follows {
			return false
		}
		by := 1
		if mods&fyne.KeyModifierShift != 0 {
			by = -1
		}
		to := t.chosen.one() + by
		if to < -1 {
			to = len(s.Points) - 1
		}
		if to >= len(s.Points) {
			to = -1
		}
		t.chosen.only(to)
		t.desk.Refresh()
		return true
	case fyne.KeyDelete, fyne.KeyBackspace:
		t.deleteVertices()
		return true
	}
	dx, dy := arrow(name)
	if dx == 0 && dy == 0 {
		return false
	}
	by := handles.NudgeLength(mods&fyne.KeyModifierShift != 0, mods&fyne.KeyModifierControl != 0)
	if follows {
		t.chosen.only(-1)
	}
	t.id, t.part = t.desk.MaskID, handles.Part{Kind: handles.Centre}
	if v := t.chosen.one(); v >= 0 {
		t.part = handles.Part{Kind: handles.Vertex, Index: v}
	}
	t.slide(handles.Nudge(t.chosen.vertices, dx*by, dy*by), study.Done)
	t.change = nil
	return true
}

func (t *maskTool) draftKey(name fyne.KeyName) bool {
	switch name {
	case fyne.KeyReturn, fyne.KeyEnter:
		t.closeDraft()
	case fyne.KeyBackspace, fyne.KeyDelete:
		t.draft.Back()
	case fyne.KeyEscape:
		t.draft = nil
		t.desk.Refresh()
	default:
		return false
	}
	t.viewer.Redraw()
	return true
}

func (t *maskTool) Draw(dst *image.RGBA, vp view.Viewport, scale float64) {
	m := t.desk.Matte()
	if m == nil {
		return
	}
	for i := range m.Masks {
		o := &m.Masks[i]
		if o.ID != t.desk.MaskID && t.desk.Shows(m.ID) && !t.drawFollowedQuietly(o, dst, vp, scale) {
			handles.Of(o.At(t.picture.frame()), vp, scale).Draw(dst, handles.Part{}, true)
		}
	}
	if t.draft != nil {
		t.draft.Draw(dst, vp, scale)
		return
	}
	s, ok := t.shape()
	if !ok {
		return
	}
	t.drawNeighbourKeys(dst, vp, scale)
	if t.follows(t.desk.Mask()) { // its outline is drawn in place of the key's
		t.picture.drawFound(dst, vp, scale, t.desk.MaskID)
		t.drawFollowed(t.desk.Mask(), dst, vp, scale)
		return
	}
	t.picture.drawFound(dst, vp, scale, 0)
	active := t.over
	if t.pull != nil {
		active = t.part
	}
	t.handlesOf(s, vp, scale).Draw(dst, active, false)
	t.box.draw(dst, scale)
}

func (t *maskTool) Cursor(p viewer.Pointer) desktop.Cursor {
	if t.above != handles.NoPart {
		return desktop.PointerCursor
	}
	switch t.over.Kind {
	case handles.None:
		if t.draft != nil {
			return desktop.CrosshairCursor
		}
		return desktop.DefaultCursor
	case handles.Side:
		return desktop.HResizeCursor
	}
	return desktop.PointerCursor
}

// insertVertex puts a vertex amid the line that follows the one that was chosen last.
func (t *maskTool) insertVertex() { t.insertAt(max(t.chosen.one(), 0), 0.5) }

// insertAt puts a vertex on a line: at 0 where the line begins, at 1 where it ends.
func (t *maskTool) insertAt(side int, u float64) {
	t.desk.InsertVertex(side, u)
	t.chosen.only(side + 1)
	t.viewer.Redraw()
}

// deleteVertices takes the chosen vertices away.
func (t *maskTool) deleteVertices() {
	if t.chosen.one() < 0 {
		t.desk.Report(desk.Problem{What: "No vertex is chosen", ToDo: "Press on one, or walk to it with Tab."})
		return
	}
	if t.desk.DeleteVertices(t.chosen.vertices) {
		t.chosen.only(-1)
	}
	t.viewer.Redraw()
}

// vertexText says which vertex is chosen, of how many, or how many are.
func (t *maskTool) vertexText(n int) string {
	v, several := t.chosen.one(), len(t.chosen.vertices)
	switch {
	case v < 0 || v >= n:
		return fmt.Sprintf("%d, none chosen", n)
	case several > 1:
		return fmt.Sprintf("%d, %d chosen", n, several)
	}
	return fmt.Sprintf("%d of %d", v+1, n)
}

// WantsTab reports whether Tab goes to the next vertex here.
func (t *maskTool) WantsTab() bool {
	_, ok := t.shape()
	return ok && t.draft == nil && !t.followsHere()
}
