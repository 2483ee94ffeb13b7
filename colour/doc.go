// Package colour converts pixels between sRGB, HSL, CIELAB and LCh, measures
// and smooths their noise, and takes light and water out of a picture.
//
//	sRGB   R, G, B in [0,1], display encoded; values outside are kept, never clamped
//	HSL    hue in Degrees [0,360), S and L in [0,1] (CSS Color 4)
//	XYZ    linear, Y of the white is 1; white is D65 as the sRGB matrix makes it
//	Lab    L* in [0,100]; a*, b* unbounded, within ±128 for sRGB
//	LCh    L* and chroma C in Lab units, hue in Degrees [0,360)
//
// A colour without chroma has no hue: functions that return one also return
// ok, and planes hold NoHue there.
//
// Functions on single colours work in float64 and are the definitions.
// Functions on planes work in float32, row by row and in parallel, and say how
// far they may be from the definition. Their results never depend on the
// number of workers.
//
// Transfer function and primaries: IEC 61966-2-1:1999. Lab: CIE 15:2004.
// Colour difference: CIE 142-2001 (CIEDE2000).
package colour
