// Package flash keeps pictures that follow on each other from flashing more than
// three times a second, which can bring on seizures.
//
// The measure is the general flash of WCAG 2.2, success criterion 2.3.1: a pair of
// opposing changes in relative luminance of 10 % or more of the maximum, where
// the darker of the two is below 0.80. More than three of them within one second
// are a risk where the flashes that go on at once take up 25 % or more of any 10
// degree field of view; that is a rectangle of 341 x 256 CSS pixels at the usual
// distance from a screen (WCAG 2.2, "general flash and red flash thresholds").
// One of our units is taken for a CSS pixel. The red flash has no measure here:
// a matte has no saturated red.
//
// Pictures are measured in cells of a twentieth of that field's width, half a
// degree, by their mean. The standard exempts fine balanced patterns, up to a
// tenth of a degree; what balances out within a cell is not seen as a flash here
// either. A cell that flashes in part counts whole, which errs on the safe side.
package flash
