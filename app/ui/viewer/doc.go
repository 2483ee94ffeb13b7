// Package viewer shows the frame: where it lies in the view, how what was
// rendered becomes the view's own pixels, and the widget that shows them and
// hands the user's acts to the tool of the working step.
//
// Two kinds of coordinates meet here. Source pixels are float64 pixels of the
// frame after orientation; pixel (x,y) covers [x,x+1) x [y,y+1). Screen pixels
// are counted from the view's top left corner, in pixels of the screen, not in
// Fyne's units; both have y downward. A Viewport leads from one to the other.
//
// The package knows nothing of rendering: who watches OnViewport renders what
// Viewport.Visible names, at a detail of his choice, has a Composer put it into
// a Buffer and hands that to Put.
package viewer
