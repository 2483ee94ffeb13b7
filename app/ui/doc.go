// Package ui is the window: what the program shows and what the user can do.
//
// A desk has what is worked on and what is chosen; every change of the study
// goes through its edit or slide, and every change of either is told by changed.
// A window joins the parts: panels and rows show the desk's state and are silent
// when they are set; tools act on the frame; a preview renders what the viewer
// shows, and an assessor finds out, when the hand rests, what is said of it.
//
// All but the workers of preview and assessor runs on Fyne's goroutine. Places
// on the frame are float64 source pixels, sizes of controls Fyne's units, marks
// on the frame screen pixels.
package ui
