package ink

import "image/color"

// Colours that pictures with words share with the window. Greys have R = G = B, so
// that no hue beside a picture shifts what the eye makes of it; the accent is for
// what is chosen.
var (
	Window     = grey(0x33)
	Card       = grey(0x40)
	Plot       = grey(0x1e)
	Text       = grey(0xec)
	Second     = grey(0xbd)                          // of words that matter less
	Bone       = color.NRGBA{0xf0, 0xe8, 0xd6, 0xff} // of samples and figures
	Accent     = color.NRGBA{0xd3, 0xa0, 0xd8, 0xff}
	AccentText = color.NRGBA{0xe2, 0xb6, 0xe6, 0xff}
)

func grey(v uint8) color.NRGBA { return color.NRGBA{v, v, v, 0xff} }
