package look

import (
	"image/color"

	"halocline/app/ink"
)

// The palette. Texts keep a contrast of at least 4.5 : 1 on the greys they
// stand on (WCAG 2.2, 1.4.3), Off excepted, which shows what cannot be used.
var (
	Window = ink.Window
	Row    = grey(0x2f) // matte row, work row, Judge
	Column = grey(0x36)
	Card   = ink.Card
	Raised = grey(0x45)
	Chosen = grey(0x50)
	Well   = grey(0x26)
	Plot   = ink.Plot

	White  = grey(0xff)
	Text   = ink.Text
	Second = ink.Second
	Third  = grey(0xa6)
	Off    = grey(0x8c)

	Accent     = ink.Accent
	AccentText = ink.AccentText
	OnAccent   = grey(0x14)
	Bone       = ink.Bone                            // samples, the pick's lines, the playhead
	Warn       = color.NRGBA{0xe8, 0xcd, 0x74, 0xff} // worth a look
	Fail       = color.NRGBA{0xff, 0x9d, 0x8a, 0xff}
)

func grey(v uint8) color.NRGBA { return color.NRGBA{v, v, v, 0xff} }

// Sizes of type, in Fyne's units.
const (
	TitleSize = 18 // of a sheet
	JudgeSize = 14
	BodySize  = 13
	SmallSize = 12 // controls and figures
	AxisSize  = 11
)
