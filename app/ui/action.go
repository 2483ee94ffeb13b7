package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// An action is one thing the user can ask for; a menu is the table of them.
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
