package ui

import (
	"fmt"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/widget"

	"halocline/app/desk"
	"halocline/app/ui/sheets"
)

// A menu is the table of all that can be asked for. The menus of the window, those
// that pop up, the keys and the sheet of keys come from it.
type menu struct {
	desk    *desk.Desk
	canvas  fyne.Canvas
	sheets  *sheets.Sheets // what lies over the window has the keys first
	actions []*action
	main    *fyne.MainMenu
	items   map[*action]*fyne.MenuItem
	recent  *fyne.MenuItem

	escape func()                                         // takes back what is under way
	other  func(name fyne.KeyName, mods fyne.KeyModifier) // hears keys of no action
}

// menuNames are the menus, in their order.
var menuNames = []string{"Study", "Edit", "Frame", "Matte", "Mask", "View", "Help"}

// newMenu is the menu of a table of actions.
func newMenu(d *desk.Desk, c fyne.Canvas, over *sheets.Sheets, actions []*action) *menu {
	m := &menu{desk: d, canvas: c, sheets: over, actions: actions, main: &fyne.MainMenu{}, items: map[*action]*fyne.MenuItem{}}
	m.recent = fyne.NewMenuItem("Open recent", nil)
	m.recent.ChildMenu = fyne.NewMenu("")
	for _, name := range menuNames {
		m.main.Items = append(m.main.Items, m.build(name))
	}
	return m
}

// build makes one of the window's menus.
func (m *menu) build(name string) *fyne.Menu {
	return m.list(name, func(a *action) []*fyne.MenuItem {
		item := fyne.NewMenuItem(a.label, func() { m.try(a) })
		item.Shortcut = a.shortcut()
		m.items[a] = item
		if a.label == openLabel {
			return []*fyne.MenuItem{item, m.recent}
		}
		return []*fyne.MenuItem{item}
	})
}

// list is a menu of the items of each of its actions, in groups.
func (m *menu) list(name string, items func(*action) []*fyne.MenuItem) *fyne.Menu {
	list := fyne.NewMenu(name)
	for _, a := range m.actions {
		if a.menu != name {
			continue
		}
		if a.group && len(list.Items) > 0 {
			list.Items = append(list.Items, fyne.NewMenuItemSeparator())
		}
		list.Items = append(list.Items, items(a)...)
	}
	return list
}

// Pop shows a menu's actions at a place.
func (m *menu) Pop(name string, at fyne.Position) {
	list := m.list(name, func(a *action) []*fyne.MenuItem {
		item := fyne.NewMenuItem(a.label, a.run)
		item.Disabled, item.Checked = !a.can(), a.checked != nil && a.checked()
		return []*fyne.MenuItem{item}
	})
	list.Label = ""
	widget.ShowPopUpMenuAtPosition(list, m.canvas, at)
}

// KeyOf is the key of the action that has a label, in words.
func (m *menu) KeyOf(label string) string {
	for _, a := range m.actions {
		if a.label == label && a.key != "" {
			return a.keyText()
		}
	}
	panic("ui: no action with a key is called " + label)
}

// WithKey is a hint that ends with the key of an action.
func (m *menu) WithKey(hint, label string) string {
	return fmt.Sprintf("%s (%s)", hint, m.KeyOf(label))
}

// keys are the actions that have keys, by menus.
func (m *menu) keys() (all []sheets.Keys) {
	for _, name := range menuNames {
		part := sheets.Keys{Part: name}
		for _, a := range m.actions {
			if a.menu == name && a.key != "" {
				part.Keys = append(part.Keys, [2]string{a.keyText(), a.label})
			}
		}
		all = append(all, part)
	}
	return all
}

// try runs an action unless a sheet lies over the window, which the menu's
// shortcuts would reach through.
func (m *menu) try(a *action) {
	if m.canvas.Overlays().Top() == nil && a.can() {
		a.run()
	}
}

// typed hears keys that nothing else has use for.
func (m *menu) typed(e *fyne.KeyEvent) {
	if m.sheets.Typed(e.Name) {
		return
	}
	mods := fyne.CurrentApp().Driver().(desktop.Driver).CurrentKeyModifiers()
	if e.Name == fyne.KeyEscape {
		m.escape()
		return
	}
	for _, a := range m.actions {
		if a.plain() && a.key == e.Name && a.mods == mods {
			m.try(a)
			return
		}
	}
	m.other(e.Name, mods)
}

// Display brings the menus to the state of the desk.
func (m *menu) Display() {
	changed := false
	for a, item := range m.items {
		off, on, label := !a.can(), a.checked != nil && a.checked(), m.labelOf(a)
		if item.Disabled != off || item.Checked != on || item.Label != label {
			item.Disabled, item.Checked, item.Label = off, on, label
			changed = true
		}
	}
	if changed {
		m.main.Refresh()
	}
}

// labelOf is an action's label; undo and redo name what they would do.
func (m *menu) labelOf(a *action) string {
	if m.desk.Session == nil {
		return a.label
	}
	var labels []string
	switch a.label {
	case undoLabel:
		labels = m.desk.Session.UndoLabels()
	case redoLabel:
		labels = m.desk.Session.RedoLabels()
	}
	if len(labels) == 0 {
		return a.label
	}
	return a.label + ": " + labels[0]
}

// ShowRecent shows an item for each file that was opened last.
func (m *menu) ShowRecent(items []*fyne.MenuItem) {
	m.recent.ChildMenu.Items = items
	m.recent.Disabled = len(items) == 0
	m.main.Refresh()
}
