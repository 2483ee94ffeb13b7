// Package handles is what a mask's outline is edited with on the frame: what is
// drawn there, what lies under the pointer, and what a drag or a key does to
// the mask.
//
//	shapes and drags    source pixels
//	drawing, hits       screen pixels of the view
//	sizes of handles    Fyne's units; scale is screen pixels to one of them
//
// It is geometry without widgets: whoever owns the frame makes [Handles] of the
// shape as it stands, asks them what was pressed, and applies the [Change] that
// a [Pull] or [Nudge] gives to the mask as it was before the press. Shapes that
// do not pass their Check have no handles.
package handles
