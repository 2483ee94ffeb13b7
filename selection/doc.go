// Package selection isolates a part of a picture by its colour: soft ranges of
// hue, saturation (or chroma) and lightness, or one side of a plane in CIELAB
// with a soft border, fitted from samples of what to keep and what to drop, with the reason why any pixel is out, and a measure
// of how far colour alone tells the two apart.
//
// A weight is in [0,1]: 0 is out, 1 is in, never NaN. Hues are in degrees,
// HSL saturation and lightness in [0,1], LCh chroma and lightness in Lab units.
package selection
