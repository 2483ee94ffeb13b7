package look

import (
	"fyne.io/fyne/v2/theme"

	"halocline/app/ink"
)

// Type is the window's typeface, for words in pictures: the theme's own.
var Type = themeType()

func themeType() ink.Type {
	t, err := ink.NewType(theme.DefaultTextFont().Content(), theme.DefaultTextBoldFont().Content())
	if err != nil {
		panic("look: the theme's font: " + err.Error())
	}
	return t
}
