// Package frame is the frame side of the window: the viewer with the step's tool and
// what it draws, what lies over the frame, and the row that names the views.
//
// A tool acts on the desk; the frame draws the state that comes of it. Positions are
// the viewer's: source pixels, or screen pixels where they are called so.
package frame
