package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/study"
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

// saveAs asks for a folder and a name, and saves there; then, if it is given, goes on.
func (w *window) saveAs(then func()) {
	dir, name := sheets.SuggestedPlace(w.desk)
	w.sheets.AskPlace(sheets.Place{
		Title: "Save the study", About: "One file; the picture stays where it is.", Label: "Save",
		Dir: dir, Name: name, Kind: "study", Own: w.desk.Session.Path(), Endings: []string{study.Ending},
		Take: w.saveTo, Done: func() { w.saved(then) },
	})
}

// openProofs opens the proofs of the chosen matte.
func (w *window) openProofs() {
	w.endPlay()
	proofs.Open(w.desk, w.sheets, w)
}

func (w *window) openHistory() { w.sheets.OpenHistory(w.travel) }

func (w *window) openAbout() { w.sheets.OpenAbout(Title) }

// openKeys lists every action with its key, and the keys that the menus do not know.
func (w *window) openKeys() {
	var all []sheets.Keys
	for _, menu := range menuNames {
		part := sheets.Keys{Part: menu}
		for _, a := range w.actions {
			if a.menu == menu && a.key != "" {
				part.Keys = append(part.Keys, [2]string{a.keyText(), a.label})
			}
		}
		all = append(all, part)
	}
	w.sheets.OpenKeys(append(all, sheets.Keys{Part: "On the frame", Keys: frameKeys}))
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
