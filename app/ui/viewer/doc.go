// Package viewer is the widget that shows the frame and hands the user's acts to
// the tool of the working step.
//
// Where the frame lies in it is a view.Viewport, whose pixels are the screen's,
// not Fyne's units.
//
// The package knows nothing of rendering: who watches OnViewport renders what
// Viewport.Visible names, at a detail of his choice, has a view.Composer put it
// into a Buffer and hands that to Put.
package viewer
