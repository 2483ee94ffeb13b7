// Package handles is what is drawn on the frame to edit a mask's outline by
// hand, and what a drag of it does: vertices, the two feathers, the box around
// it with corners, sides, an arc to turn by and a cross to move by.
//
// It is geometry alone: shapes are in source pixels, what is drawn and hit in
// screen pixels of the view; scale is screen pixels per unit of the window.
package handles
