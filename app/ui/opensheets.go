package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/ui/frame"
	"halocline/app/ui/proofs"
	"halocline/app/ui/sheets"
	"halocline/app/view"
)

// Canvas is what all is drawn on.
func (w *window) Canvas() fyne.Canvas { return w.win.Canvas() }

// Viewport is the part of the frame that is looked at.
func (w *window) Viewport() view.Viewport { return w.viewer.Viewport() }

// Rest gives the keyboard to the frame.
func (w *window) Rest() { w.win.Canvas().Focus(w.viewer) }

// openProofs opens the proofs of the chosen matte.
func (w *window) openProofs() {
	w.time.Player.End()
	w.desk.PauseFollowing(false) // their pictures are wanted now
	proofs.Open(w.desk, w.sheets, under{w})
}

func (w *window) openHistory() { w.sheets.OpenHistory(w.travel) }

func (w *window) openAbout() { w.sheets.OpenAbout(Title) }

// openKeys lists every action with its key, and the keys that the menus do not know.
func (w *window) openKeys() {
	w.sheets.OpenKeys(append(w.menu.keys(), sheets.Keys{Part: "On the frame", Keys: frameKeys}))
}

// frameKeys are the keys of what is on the frame, which the menus do not know.
var frameKeys = [][2]string{
	{"arrows", "move cursor or vertex"},
	{"Shift+arrows", "by ten"},
	{"Enter", "dab or sample at the cursor"},
	{"Shift+Enter", "a dab of the other kind"},
	{"Tab", "to the next vertex"},
	{"Delete", "the vertex, or the dab there"},
	{"Esc", "gives up the drag"},
	{"wheel", "zoom; a pressed dab's size"},
	{"middle drag", "pan"},
	{"double-click", "new vertex; neutral value"},
	{"Left, Right", "on the time area: a frame; Shift: ten"},
	{"Ctrl+Left, Right", "there: moves the key; Shift: copies"},
	{"half-moon", "a value's key; right or Down: more"},
	{keyName(frame.BypassKey) + ", held", "without the trial"},
}
