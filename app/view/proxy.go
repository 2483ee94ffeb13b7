package view

import "image"

// quickPixels is the most that a picture on its way is rendered from: what two
// busy cores weigh and treat within a frame of sixty a second.
const quickPixels = 560_000

// MaxProxy is the coarsest that is rendered.
const MaxProxy = 64

// FullFactor is how many of the source's pixels, each way, may become one
// without losing anything that the screen could show.
func FullFactor(zoom float64) int { return max(1, min(MaxProxy, int(1/zoom+1e-9))) }

// QuickFactor is the least factor from full on that takes no more than
// quickPixels of the part in view.
func QuickFactor(seen image.Rectangle, full int) int {
	f := full
	for f < MaxProxy && seen.Dx()*seen.Dy() > f*f*quickPixels {
		f++
	}
	return f
}

// covered is the part of a picture that a render of a region covers: on a proxy it
// grows to whole pixels. An empty region is all of the picture.
func covered(region image.Rectangle, factor int, size image.Point) image.Rectangle {
	whole := image.Rectangle{Max: size}
	if region.Empty() {
		region = whole
	}
	region = region.Intersect(whole)
	return image.Rectangle{
		Min: region.Min.Div(factor).Mul(factor),
		Max: region.Max.Add(image.Pt(factor-1, factor-1)).Div(factor).Mul(factor),
	}
}
