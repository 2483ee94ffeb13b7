package colour

import "image"

// A Domain is where planes of one size take part in some work: a box, and
// within it the pixels where the mask is above 0.
type Domain struct {
	Box  image.Rectangle // in pixels, within the planes
	Mask *Plane          // of the planes' size; nil: the whole box takes part
}

// Empty reports whether the box has no pixels.
func (d Domain) Empty() bool { return d.Box.Empty() }

// Size returns width and height of the box.
func (d Domain) Size() (w, h int) { return d.Box.Dx(), d.Box.Dy() }

// Row returns what row y of the box has of p, sharing memory with p.
func (d Domain) Row(p *Plane, y int) []float32 {
	at := (d.Box.Min.Y + y) * p.W
	x0, x1 := at+d.Box.Min.X, at+d.Box.Max.X
	return p.Pix[x0:x1:x1]
}

// Part returns row y of the mask, nil where the whole box takes part.
func (d Domain) Part(y int) []float32 {
	if d.Mask == nil {
		return nil
	}
	return d.Row(d.Mask, y)
}
