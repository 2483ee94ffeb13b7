// Package view draws the ways to look at a frame: the views, each drawn once, for
// the window, for sheets and for files.
//
// Two kinds of coordinates meet here. Source pixels are float64 pixels of the
// frame after orientation; pixel (x,y) covers [x,x+1) x [y,y+1). A view's pixels
// are counted from its top left corner, in pixels of the screen or of the picture
// that it is drawn into; both have y downward. A Viewport leads from one to the
// other.
//
// Render gives the layers that views are made of. A Composer puts them into a
// viewport, at any zoom, in 8 bits; Draw makes a file's picture of them, a pixel
// for each sample, in 8 or 16 bits. Both draw patterns by the same functions,
// pattern.go, so that a file shows what the window shows.
package view
