package desk

import (
	"fmt"

	"halocline/app/check"
)

// Bite says what the chosen matte's pick leaves out of the inside of its masks on the frame
// shown; nil while it is not known.
func (d *Desk) Bite() *check.Bite {
	if d.Found.MatteID != d.MatteID || d.Found.Frame != d.Frame || d.Found.About != d.Study() {
		return nil
	}
	return d.Found.Bite
}

// BiteVerdict says of a pick that bites into its masks what it leaves out, and what to do.
func BiteVerdict(b *check.Bite) (sentence, advice string) {
	return fmt.Sprintf("The pick leaves out %s inside its mask", b.LeftOut()), "More dabs, or the mask alone."
}
