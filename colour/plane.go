package colour

import "image"

// A Plane is one channel of a picture: W x H samples, row-major, without
// padding. Pixel (x,y) covers [x,x+1) x [y,y+1). The zero value is empty.
// Copies of a Plane share their samples.
type Plane struct {
	W, H int
	Pix  []float32 // len W*H
}

// NewPlane returns a plane of zeros.
func NewPlane(w, h int) Plane { return Plane{W: w, H: h, Pix: make([]float32, w*h)} }

// Row returns row y, w samples long, sharing memory with p.
func (p Plane) Row(y int) []float32 {
	return p.Pix[y*p.W : (y+1)*p.W : (y+1)*p.W]
}

// At returns the sample at (x,y). It is for single look-ups, not for loops.
func (p Plane) At(x, y int) float32 { return p.Pix[y*p.W+x] }

// Reshape makes p a w x h plane, reusing its memory where that suffices.
// Its samples are undefined afterwards.
func (p *Plane) Reshape(w, h int) {
	n := w * h
	if cap(p.Pix) < n {
		p.Pix = make([]float32, n)
	}
	p.W, p.H, p.Pix = w, h, p.Pix[:n]
}

// SameSize reports whether p and q have the same width and height.
func (p Plane) SameSize(q Plane) bool { return p.W == q.W && p.H == q.H }

// Bounds returns the box of p's pixels.
func (p Plane) Bounds() image.Rectangle { return image.Rect(0, 0, p.W, p.H) }

// SharesWith reports whether p and q begin with the same sample in memory.
func (p Plane) SharesWith(q Plane) bool {
	return len(p.Pix) > 0 && len(q.Pix) > 0 && &p.Pix[0] == &q.Pix[0]
}

// An Image is a picture of three planes of one size: R, G, B, display encoded,
// in [0,1] where the source was. Copies of an Image share their samples.
type Image struct {
	R, G, B Plane
}

// NewImage returns a black picture of w x h pixels.
func NewImage(w, h int) *Image {
	return &Image{R: NewPlane(w, h), G: NewPlane(w, h), B: NewPlane(w, h)}
}

// Size returns width and height in pixels.
func (m *Image) Size() (w, h int) { return m.R.W, m.R.H }

// Reshape makes m a w x h picture, reusing its memory where that suffices.
// Its samples are undefined afterwards.
func (m *Image) Reshape(w, h int) {
	m.R.Reshape(w, h)
	m.G.Reshape(w, h)
	m.B.Reshape(w, h)
}

// RGB returns the colour of pixel (x,y). It is for single look-ups, not for loops.
func (m *Image) RGB(x, y int) RGB {
	return RGB{float64(m.R.At(x, y)), float64(m.G.At(x, y)), float64(m.B.At(x, y))}
}
