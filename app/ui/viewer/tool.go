package viewer

import (
	"image"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"

	"halocline/app/view"
)

// A Pointer is where the mouse is, and how.
type Pointer struct {
	X, Y   float64 // source px
	SX, SY float64 // screen px in the viewer: the middle of the pixel pointed at
	Button desktop.MouseButton
	Mods   fyne.KeyModifier
	Double bool // of a press: the second of two at one spot, in quick succession
}

// A Tool is what the working step does on the frame. All of its methods are
// called on Fyne's goroutine. A tool that changes what it draws asks for
// Viewer.Redraw.
type Tool interface {
	// Press begins a drag of the primary or the secondary button; true takes it:
	// Drag, Release and Cancel follow. A drag that is not taken moves the picture.
	Press(p Pointer) bool
	Drag(p Pointer)
	// Release ends the drag; it also comes after a press that did not move.
	Release(p Pointer)
	// Cancel ends the drag instead of Release: all is to be as before the press.
	Cancel()

	Hover(p Pointer) // the mouse moved without a drag
	Leave()          // it is over the frame no more

	Wheel(p Pointer, notches float64) bool // false: the viewer zooms; away from the user is positive
	Key(name fyne.KeyName, mods fyne.KeyModifier) bool

	// Draw draws marks over the picture: screen pixels, scale of them to Fyne's
	// unit. It is called whenever anything is shown anew and must be cheap.
	Draw(dst *image.RGBA, vp view.Viewport, scale float64)
	// Cursor must return the same pointer each time for the same cursor.
	Cursor(p Pointer) desktop.Cursor
}

// A Tabber is a Tool that goes from part to part of what it edits with the Tab
// key: while it wants that, Tab comes to Key. A Tab it refuses goes on to the
// next control.
type Tabber interface{ WantsTab() bool }
