package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"
)

// An action is one thing the user can ask for. Menus, keys and the sheet of
// keys all come from the one table of them.
type action struct {
	menu    string // under which it stands
	label   string
	key     fyne.KeyName
	mods    fyne.KeyModifier
	enabled func() bool // nil: always
	checked func() bool // nil: nothing to be checked
	run     func()
	group   bool // begins a new group of its menu
}

// plain reports whether the key is pressed alone: such keys are heard by what
// has the keyboard first, so that they can be typed into a field.
func (a *action) plain() bool { return a.key != "" && a.mods&^fyne.KeyModifierShift == 0 }

func (a *action) can() bool { return a.enabled == nil || a.enabled() }

// shortcut is the action's key as a menu shows it; nil for none.
func (a *action) shortcut() fyne.Shortcut {
	if a.key == "" {
		return nil
	}
	if a.key == fyne.KeyZ && a.mods == fyne.KeyModifierControl {
		return &fyne.ShortcutUndo{} // Fyne gives this one a name of its own
	}
	return &desktop.CustomShortcut{KeyName: a.key, Modifier: a.mods}
}

// keyText is the action's key in words.
func (a *action) keyText() string {
	if a.key == "" {
		return ""
	}
	text := ""
	if a.mods&fyne.KeyModifierControl != 0 {
		text += "Ctrl+"
	}
	if a.mods&fyne.KeyModifierShift != 0 {
		text += "Shift+"
	}
	return text + keyName(a.key)
}

// keyOf is the key of the action that has a label, in words.
func (w *window) keyOf(label string) string {
	for _, a := range w.actions {
		if a.label == label && a.key != "" {
			return a.keyText()
		}
	}
	panic("ui: no action with a key is called " + label)
}

// WithKey is a hint that ends with the key of an action.
func (w *window) WithKey(hint, label string) string {
	return fmt.Sprintf("%s (%s)", hint, w.keyOf(label))
}

func keyName(k fyne.KeyName) string {
	names := map[fyne.KeyName]string{
		fyne.KeyPageUp: "Page Up", fyne.KeyPageDown: "Page Down", fyne.KeyDelete: "Delete", fyne.KeyEscape: "Esc",
		fyne.KeyPlus: "+", fyne.KeyMinus: "−", fyne.KeyEqual: "=", fyne.KeyReturn: "Enter",
	}
	if n, ok := names[k]; ok {
		return n
	}
	return string(k)
}

// menuNames are the menus, in their order.
var menuNames = []string{"Study", "Edit", "Frame", "Matte", "Mask", "View", "Help"}

// try runs an action unless a sheet lies over the window, which the menu's
// shortcuts would reach through.
func (w *window) try(a *action) {
	if w.win.Canvas().Overlays().Top() == nil && a.can() {
		a.run()
	}
}

// makeMenus builds the menus from the table of actions.
func (w *window) makeMenus() *fyne.MainMenu {
	main := &fyne.MainMenu{}
	w.items = map[*action]*fyne.MenuItem{}
	for _, name := range menuNames {
		m := fyne.NewMenu(name)
		for _, a := range w.actions {
			if a.menu != name {
				continue
			}
			if a.group && len(m.Items) > 0 {
				m.Items = append(m.Items, fyne.NewMenuItemSeparator())
			}
			item := fyne.NewMenuItem(a.label, func() { w.try(a) })
			item.Shortcut = a.shortcut()
			w.items[a] = item
			m.Items = append(m.Items, item)
			if name == "Study" && a.label == openLabel {
				w.recent = fyne.NewMenuItem("Open recent", nil)
				w.recent.ChildMenu = fyne.NewMenu("")
				m.Items = append(m.Items, w.recent)
			}
		}
		main.Items = append(main.Items, m)
	}
	return main
}

// showMenus brings the menus to the state of the desk.
func (w *window) showMenus() {
	changed := false
	for a, item := range w.items {
		off, on, label := !a.can(), a.checked != nil && a.checked(), w.labelOf(a)
		if item.Disabled != off || item.Checked != on || item.Label != label {
			item.Disabled, item.Checked, item.Label = off, on, label
			changed = true
		}
	}
	if changed {
		w.menus.Refresh()
	}
}

// labelOf is an action's label; undo and redo name what they would do.
func (w *window) labelOf(a *action) string {
	if w.desk.Session == nil {
		return a.label
	}
	var labels []string
	switch a.label {
	case undoLabel:
		labels = w.desk.Session.UndoLabels()
	case redoLabel:
		labels = w.desk.Session.RedoLabels()
	}
	if len(labels) == 0 {
		return a.label
	}
	return a.label + ": " + labels[0]
}

// typed hears keys that nothing else has use for.
func (w *window) typed(e *fyne.KeyEvent) {
	if w.sheets.Typed(e.Name) {
		return
	}
	mods := fyne.CurrentApp().Driver().(desktop.Driver).CurrentKeyModifiers()
	if e.Name == fyne.KeyEscape {
		w.escape()
		return
	}
	for _, a := range w.actions {
		if a.plain() && a.key == e.Name && a.mods == mods {
			w.try(a)
			return
		}
	}
	w.typedInTime(e.Name, mods)
}

// typedInTime goes through the frames by keys that nothing else has use for.
func (w *window) typedInTime(name fyne.KeyName, mods fyne.KeyModifier) {
	by := map[fyne.KeyName]int{fyne.KeyLeft: -1, fyne.KeyRight: 1, fyne.KeyHome: -1 << 30, fyne.KeyEnd: 1 << 30}[name]
	switch {
	case by == 0 || !w.desk.Several() || mods&^fyne.KeyModifierShift != 0:
	case mods != 0 && by*by == 1:
		w.desk.MoveFrame(10 * by)
	default:
		w.desk.MoveFrame(by)
	}
}

// escape takes back what is under way: a drag first, then what lies in the way.
func (w *window) escape() {
	switch {
	case w.desk.CancelDrag():
	case w.desk.Plays():
		w.stopPlay()
	case w.frame.ForgetAsked():
	case w.saying():
		w.hideBands()
	default:
		w.Rest()
	}
}

// popMenu shows a menu's actions at a place.
func (w *window) popMenu(name string, at fyne.Position) {
	m := fyne.NewMenu("")
	for _, a := range w.actions {
		if a.menu != name {
			continue
		}
		if a.group && len(m.Items) > 0 {
			m.Items = append(m.Items, fyne.NewMenuItemSeparator())
		}
		item := fyne.NewMenuItem(a.label, a.run)
		item.Disabled, item.Checked = !a.can(), a.checked != nil && a.checked()
		m.Items = append(m.Items, item)
	}
	widget.ShowPopUpMenuAtPosition(m, w.win.Canvas(), at)
}
