package ui

import (
	_ "fyne.io/fyne/v2/app"
	_ "fyne.io/fyne/v2/test"
	_ "fyne.io/fyne/v2/driver/desktop"
	_ "github.com/dweymouth/fyne-tooltip"
	_ "golang.org/x/image/font/opentype"
	_ "golang.org/x/image/vector"
)
