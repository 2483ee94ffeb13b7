package look

import (
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"
)

// contrast is the ratio of WCAG 2.2, "contrast ratio" and "relative luminance".
func contrast(a, b color.NRGBA) float64 {
	la, lb := luminance(a), luminance(b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

func luminance(c color.NRGBA) float64 {
	linear := func(v uint8) float64 {
		s := float64(v) / 255
		if s <= 0.04045 {
			return s / 12.92
		}
		return math.Pow((s+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// WCAG 2.2, 1.4.3: texts of ordinary size need 4.5 : 1. Its note gives 21 : 1
// for black and white.
func TestTextsCanBeRead(t *testing.T) {
	assert.InDelta(t, 21, contrast(grey(0), White), 1e-9)
	for name, c := range map[string]struct {
		text    color.NRGBA
		grounds []color.NRGBA
	}{
		"text":           {Text, []color.NRGBA{Window, Row, Column, Card, Raised, Chosen, Well, Plot}},
		"second":         {Second, []color.NRGBA{Window, Row, Column, Card, Raised, Well, Plot}},
		"third":          {Third, []color.NRGBA{Row, Column, Well, Plot}},
		"accent as text": {AccentText, []color.NRGBA{Column, Card, Chosen}},
		"text on accent": {OnAccent, []color.NRGBA{Accent, AccentText}},
		"chosen":         {White, []color.NRGBA{Chosen}},
		"bone":           {Bone, []color.NRGBA{Plot, Well}},
		"worth a look":   {Warn, []color.NRGBA{Column, Card, Well}},
		"failed":         {Fail, []color.NRGBA{Column, Well}},
	} {
		for _, g := range c.grounds {
			assert.GreaterOrEqual(t, contrast(c.text, g), 4.5, "%s on %02x", name, g.R)
		}
	}
}

// WCAG 2.2, 1.4.11: what shows a control or its state needs 3 : 1.
func TestControlsCanBeSeen(t *testing.T) {
	for _, ground := range []color.NRGBA{Window, Row, Column} {
		assert.GreaterOrEqual(t, contrast(Accent, ground), 3.0, "focus ring on %02x", ground.R)
		assert.GreaterOrEqual(t, contrast(Third, ground), 3.0, "a switch that is off, on %02x", ground.R)
		assert.GreaterOrEqual(t, contrast(pillGrey, ground), 3.0, "a switch that is on, on %02x", ground.R)
		assert.GreaterOrEqual(t, contrast(Text, ground), 3.0, "a slider's knob on %02x", ground.R)
	}
	assert.GreaterOrEqual(t, contrast(pillGrey, Plot), 3.0, "the set part of a slider")
}

func TestThemeIsNeutral(t *testing.T) {
	tinted := map[fyne.ThemeColorName]bool{
		theme.ColorNamePrimary: true, theme.ColorNameFocus: true, theme.ColorNameHyperlink: true,
		theme.ColorNameError: true, theme.ColorNameWarning: true,
	}
	for _, name := range []fyne.ThemeColorName{
		theme.ColorNameBackground, theme.ColorNameButton, theme.ColorNameDisabled, theme.ColorNameDisabledButton,
		theme.ColorNameError, theme.ColorNameFocus, theme.ColorNameForeground, theme.ColorNameForegroundOnError,
		theme.ColorNameForegroundOnPrimary, theme.ColorNameForegroundOnSuccess, theme.ColorNameForegroundOnWarning,
		theme.ColorNameHeaderBackground, theme.ColorNameHover, theme.ColorNameHyperlink, theme.ColorNameInputBackground,
		theme.ColorNameInputBorder, theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground,
		theme.ColorNamePlaceHolder, theme.ColorNamePressed, theme.ColorNamePrimary, theme.ColorNameScrollBar,
		theme.ColorNameScrollBarBackground, theme.ColorNameSelection, theme.ColorNameSeparator, theme.ColorNameShadow,
		theme.ColorNameSuccess, theme.ColorNameWarning,
	} {
		for _, variant := range []fyne.ThemeVariant{theme.VariantDark, theme.VariantLight} {
			c := color.NRGBAModel.Convert(Theme().Color(name, variant)).(color.NRGBA)
			if !tinted[name] {
				assert.True(t, c.R == c.G && c.G == c.B, "%s is %v", name, c)
			}
			assert.Equal(t, themeColours[name], c, "%s is Fyne's own", name)
		}
	}
	assert.Equal(t, float32(BodySize), Theme().Size(theme.SizeNameText))
}
