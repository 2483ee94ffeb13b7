package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// menuText is Text, all but opaque: Fyne 2.7.1 takes the lower byte of 16 bits of
// 95 % of its alpha for a menu's shortcuts, which makes them all but invisible
// where the alpha is 255, and nearly as strong as the text where it is 240.
var menuText = color.NRGBA{0xec, 0xec, 0xec, 0xf0}

// Theme dresses Fyne's own widgets (menus, dialogs, lists, scroll bars) in the
// palette. It has one variant, whatever the desktop prefers: grey around a
// picture must not follow the time of day.
func Theme() fyne.Theme { return neutral{theme.DefaultTheme()} }

type neutral struct{ fyne.Theme }

var themeColours = map[fyne.ThemeColorName]color.NRGBA{
	theme.ColorNameBackground:          Window,
	theme.ColorNameButton:              Raised,
	theme.ColorNameDisabledButton:      Card,
	theme.ColorNameDisabled:            Off,
	theme.ColorNameError:               Fail,
	theme.ColorNameFocus:               {0xd3, 0xa0, 0xd8, 0x60},
	theme.ColorNameForeground:          menuText,
	theme.ColorNameForegroundOnError:   OnAccent,
	theme.ColorNameForegroundOnPrimary: OnAccent,
	theme.ColorNameForegroundOnSuccess: OnAccent,
	theme.ColorNameForegroundOnWarning: OnAccent,
	theme.ColorNameHeaderBackground:    Row,
	theme.ColorNameHover:               {0xff, 0xff, 0xff, 0x14},
	theme.ColorNameHyperlink:           AccentText,
	theme.ColorNameInputBackground:     Well,
	theme.ColorNameInputBorder:         lowerLine,
	theme.ColorNameMenuBackground:      Row,
	theme.ColorNameOverlayBackground:   Column,
	theme.ColorNamePlaceHolder:         Third,
	theme.ColorNamePressed:             {0xff, 0xff, 0xff, 0x28},
	theme.ColorNamePrimary:             Accent,
	theme.ColorNameScrollBar:           Off,
	theme.ColorNameScrollBarBackground: Row,
	theme.ColorNameSelection:           Chosen,
	theme.ColorNameSeparator:           ruleGrey,
	theme.ColorNameShadow:              {0, 0, 0, 0x70},
	theme.ColorNameSuccess:             Text,
	theme.ColorNameWarning:             Warn,
}

var themeSizes = map[fyne.ThemeSizeName]float32{
	theme.SizeNameText:               BodySize,
	theme.SizeNameCaptionText:        SmallSize,
	theme.SizeNameHeadingText:        TitleSize,
	theme.SizeNameSubHeadingText:     JudgeSize,
	theme.SizeNamePadding:            4,
	theme.SizeNameInnerPadding:       8,
	theme.SizeNameLineSpacing:        4,
	theme.SizeNameInlineIcon:         18,
	theme.SizeNameInputBorder:        1,
	theme.SizeNameInputRadius:        radius,
	theme.SizeNameSelectionRadius:    radius,
	theme.SizeNameScrollBar:          12,
	theme.SizeNameScrollBarSmall:     3,
	theme.SizeNameSeparatorThickness: 1,
}

func (n neutral) Color(name fyne.ThemeColorName, _ fyne.ThemeVariant) color.Color {
	if c, ok := themeColours[name]; ok {
		return c
	}
	return n.Theme.Color(name, theme.VariantDark)
}

func (n neutral) Size(name fyne.ThemeSizeName) float32 {
	if s, ok := themeSizes[name]; ok {
		return s
	}
	return n.Theme.Size(name)
}
