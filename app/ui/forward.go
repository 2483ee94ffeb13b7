package ui

import (
	"fyne.io/fyne/v2"

	"halocline/app/desk"
)

// What the panels and the tools ask of the window, handed on to the part that does it.

func (w *window) report(p desk.Problem)                 { w.messages.Report(p) }
func (w *window) keyOf(label string) string             { return w.menu.KeyOf(label) }
func (w *window) WithKey(hint, label string) string     { return w.menu.WithKey(hint, label) }
func (w *window) popMenu(name string, at fyne.Position) { w.menu.Pop(name, at) }
func (w *window) TellPlaces()                           { w.journal.TellPlaces() }
func (w *window) shownFrame() int                       { return w.time.ShownFrame() }
func (w *window) chooseToOpen()                         { w.files.ChooseToOpen() }
