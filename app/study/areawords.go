package study

import "fmt"

// AreaDecimals are how many decimals an area in percent is shown with.
const AreaDecimals = 1

// AreaWords says which share of a frame a matte holds, in [0,1]: "7.8 %" of all pixels of the frame, and
// "about 8 %" where it was read from a proxy and may be off by some tenths of a percent. All parts
// that tell an area in words use it.
func AreaWords(share float64, exact bool) string {
	if !exact {
		return fmt.Sprintf("about %.0f %%", 100*share)
	}
	return fmt.Sprintf("%.*f %%", AreaDecimals, 100*share)
}
