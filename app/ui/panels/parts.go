package panels

import (
	"fyne.io/fyne/v2"

	"halocline/app/study"
)

// Parts are what the column asks of the rest of the window, each by its role.
type Parts struct {
	Host    Host
	Judge   fyne.CanvasObject // stands at the column's foot
	Keys    Keys
	Status  Status
	Masks   Masks
	Picture Picture
	Asks    Asks
}

// A Host is the window that the column stands in.
type Host interface {
	Canvas() fyne.Canvas
	TellPlaces() // controls may have moved
}

// Keys is the table of what the user can ask for.
type Keys interface {
	WithKey(hint, label string) string // a hint that ends with the key of an action
	KeyOf(label string) string         // the key of an action, in words
	Pop(menu string, at fyne.Position) // shows a menu's actions at a place
}

// Status is the row that says what goes on.
type Status interface {
	Problem(text string) // what is wrong with a number that was typed; "" for nothing
}

// Masks is what edits masks on the frame.
type Masks interface {
	NewMask(kind study.Kind)    // begins to draw one
	Draws(kind study.Kind) bool // one of a kind is being drawn
	DrawAnew()                  // begins to draw the chosen one's outline anew on the frame shown
	DrawsAnew() bool            // one is being drawn anew
	VertexText(n int) string    // which of n vertices is chosen
	LeaveVertex()               // chooses none
	InsertVertex()              // after the one chosen last
	DeleteVertices()            // the chosen ones
}

// Picture is what is shown of the frame.
type Picture interface {
	BeyondShare() float64 // the share of the frame that is beyond repair
}

// Asks are what lies over the window until it is answered.
type Asks struct {
	OpenFile          func() // for a file to work on
	RenameMask        func() // for a name of the chosen mask
	SpareKeys         func() // which keys that can go the chosen mask shall lose
	JoinMatte         func() // which other matte the chosen one shall take in
	ReadCDL, WriteCDL func() // for a file of the trial's grade
}
