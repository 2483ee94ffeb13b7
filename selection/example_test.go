package selection_test

import (
	"fmt"

	"halocline/colour"
	"halocline/selection"
)

// code is a colour by its 8-bit codes.
func code(r, g, b uint8) colour.RGB {
	return colour.RGB{R: float64(colour.FromCode8(r)), G: float64(colour.FromCode8(g)), B: float64(colour.FromCode8(b))}
}

// Two dabs on sand are to be kept, two on seagrass dropped.
func ExampleFit() {
	dabs := []selection.Dab{
		{Keep: true, Colours: []colour.RGB{code(190, 172, 128), code(186, 170, 130), code(193, 174, 126)}},
		{Keep: true, Colours: []colour.RGB{code(172, 158, 120), code(170, 154, 117), code(175, 160, 121)}},
		{Keep: false, Colours: []colour.RGB{code(72, 104, 62), code(68, 98, 60), code(75, 108, 66)}},
		{Keep: false, Colours: []colour.RGB{code(90, 120, 80), code(88, 118, 77), code(92, 121, 83)}},
	}
	fitted, err := selection.Fit(dabs, selection.HSL)
	if err != nil {
		fmt.Println(err)
		return
	}
	for c, l := range fitted.Pick.Limits {
		name := selection.Channel(c).Name(selection.HSL)
		if l.Off {
			fmt.Println(name, "off")
			continue
		}
		fmt.Printf("%s from %g to %g, fades %g and %g\n", name, l.From, l.To, l.Before, l.After)
	}
	for _, note := range fitted.Notes {
		fmt.Println(note)
	}
	// Output:
	// hue from 39.4 to 46.8, fades 1.4 and 1.4
	// saturation off
	// lightness off
	// saturation is off: it does not help to tell these samples apart
	// lightness is off: it does not help to tell these samples apart
}

func ExamplePick_Explain() {
	sand := selection.Pick{Model: selection.HSL, Limits: [3]selection.Limit{
		selection.Hue:   {Range: selection.Range{From: 30, To: 58, Before: 6, After: 10}},
		selection.Sat:   {Off: true},
		selection.Light: {Range: selection.Range{From: 0.3, To: 0.66, Before: 0.1, After: 0.1}},
	}}
	for _, c := range []colour.RGB{code(190, 172, 128), code(72, 104, 62), code(220, 200, 152), code(90, 90, 90)} {
		fmt.Println(sand.Explain(sand.Model.At(c)))
	}
	// Output:
	// in: weighs 1.00
	// out: hue 106° is above 58°
	// out: lightness 0.73 is above 0.66
	// out: a grey has no hue
}
