package scene

import "halocline/colour"

// A layer is a picture on its way: linear light and true mattes, all
// multiplied by coverage, which is 0 where the layer is empty.
type layer struct {
	w, h   int
	planes [layerPlanes]colour.Plane
}

// The planes of a layer.
const (
	red = iota
	green
	blue
	skinCover
	sandCover
	waterCover
	swimmerCover
	cover
	layerPlanes
)

func newLayer(w, h int) *layer {
	l := &layer{w: w, h: h}
	for i := range l.planes {
		l.planes[i] = colour.NewPlane(w, h)
	}
	return l
}

// put stores s at (x, y).
func (l *layer) put(x, y int, s sampleOf) {
	i := y*l.w + x
	for c, v := range s.light {
		l.planes[c].Pix[i] = float32(v)
	}
	l.planes[skinCover].Pix[i] = float32(s.skin)
	l.planes[sandCover].Pix[i] = float32(s.sand)
	l.planes[waterCover].Pix[i] = float32(s.water)
	l.planes[swimmerCover].Pix[i] = float32(s.swimmer)
	l.planes[cover].Pix[i] = float32(s.cover)
}

// get returns what lies at (x, y).
func (l *layer) get(x, y int) sampleOf {
	i := y*l.w + x
	at := func(p int) float64 { return float64(l.planes[p].Pix[i]) }
	return sampleOf{
		light: tint{at(red), at(green), at(blue)},
		skin:  at(skinCover), sand: at(sandCover), water: at(waterCover),
		swimmer: at(swimmerCover), cover: at(cover),
	}
}

// lay puts top over l in rows [y0,y1).
func (l *layer) lay(top *layer, y0, y1 int) {
	from, to := y0*l.w, y1*l.w
	above := top.planes[cover].Pix[from:to]
	for p := range l.planes {
		dst, src := l.planes[p].Pix[from:to], top.planes[p].Pix[from:to]
		for i, a := range above {
			if a > 0 {
				dst[i] = src[i] + float32((1-a)*dst[i])
			}
		}
	}
}
