package render

import (
	"context"
	"fmt"
	"math"

	"halocline/app/study"
	"halocline/colour"
	"halocline/selection"
)

// DabSamples returns the colours under a matte's dabs, each read on its own
// frame, smoothed where the pick is, after base. A dab that lies outside the
// picture has no colours.
func (r *Renderer) DabSamples(ctx context.Context, s *study.Study, m *study.Matte) ([]selection.Dab, error) {
	var out []selection.Dab
	for _, d := range m.Dabs {
		src, err := r.Picked(ctx, Request{Study: s, Settings: &m.Settings, Frame: d.Frame})
		if err != nil {
			return nil, err
		}
		out = append(out, selection.Dab{Keep: d.Kind == study.Keep, Colours: underDisc(src, d.X, d.Y, d.Radius)})
	}
	return out, nil
}

// underDisc returns the colours of the pixels of a disc.
func underDisc(m *colour.Image, x, y, radius float64) (out []colour.RGB) {
	w, h := m.Size()
	colour.EachInDisc(x, y, radius, w, h, func(px, py int) { out = append(out, m.RGB(px, py)) })
	return out
}

// DiscPixels returns the row-major indices of the pixels of a w x h picture
// that lie in a disc as colour.EachInDisc has it.
func DiscPixels(x, y, radius float64, w, h int) (out []int) {
	colour.EachInDisc(x, y, radius, w, h, func(px, py int) { out = append(out, py*w+px) })
	return out
}

// An Area is one connected part of a mask picture, or all its specks together.
type Area struct {
	Pixels  []int   // row-major indices, ascending
	X, Y    float64 // its middle, in pixels; 0 for specks that were pooled
	Radius  float64 // of a disc of its area; 0 for specks that were pooled
	IsADisc bool    // whether it is one, as a dab would be drawn
	cut     bool    // it is a square of a wider part
}

// An area wider than largestDab is read as several dabs, the squares of a grid
// of dabGrid pixels: its parts lie in different light, so they are samples of
// their own.
const (
	largestDab = 64
	dabGrid    = 32
)

// Areas returns the 4-connected parts of a mask picture where it is one half or
// more. Parts wider than 64 pixels are cut in squares of 32. Specks of less than 16
// pixels are left out, or make one area if they have more than a tenth of the pixels.
func Areas(mask colour.Plane) ([]Area, Strays) {
	areas, strays := withoutStrays(parts(mask))
	for i := range areas {
		if !(strays.Pooled && i == len(areas)-1) {
			areas[i].measure(mask.W)
		}
	}
	return areas, strays
}

// parts returns the connected parts, wide ones in squares. It does not measure them.
func parts(mask colour.Plane) []Area {
	in := make([]bool, len(mask.Pix))
	for i, v := range mask.Pix {
		in[i] = v >= 0.5
	}
	label := make([]int32, len(in))
	components := selection.Components(label, in, mask.W, mask.H)
	byKey := map[[3]int]int{} // component and grid square -> area
	var areas []Area
	for i, k := range label {
		if k < 0 {
			continue
		}
		key := [3]int{int(k)}
		c := components[k]
		wide := c.X1-c.X0 > largestDab || c.Y1-c.Y0 > largestDab
		if wide {
			key[1], key[2] = 1+i%mask.W/dabGrid, 1+i/mask.W/dabGrid
		}
		n, ok := byKey[key]
		if !ok {
			n = len(areas)
			byKey[key] = n
			areas = append(areas, Area{cut: wide})
		}
		areas[n].Pixels = append(areas[n].Pixels, i)
	}
	return areas
}

// measure finds the middle and radius, and whether nearly all pixels lie within.
func (a *Area) measure(w int) {
	n := float64(len(a.Pixels))
	for _, i := range a.Pixels {
		a.X += (float64(i%w) + 0.5) / n
		a.Y += (float64(i/w) + 0.5) / n
	}
	a.Radius = math.Sqrt(n / math.Pi)
	within := 0
	for _, i := range a.Pixels {
		if math.Hypot(float64(i%w)+0.5-a.X, float64(i/w)+0.5-a.Y) <= a.Radius+0.5 {
			within++
		}
	}
	a.IsADisc = float64(within) >= 0.97*n
}

// MaskSamples returns the colours of a picture under each area of a mask
// picture of its size.
func MaskSamples(m *colour.Image, areas []Area, keep bool) []selection.Dab {
	var out []selection.Dab
	for _, a := range areas {
		d := selection.Dab{Keep: keep, Colours: make([]colour.RGB, len(a.Pixels))}
		for i, p := range a.Pixels {
			d.Colours[i] = colour.RGB{R: float64(m.R.Pix[p]), G: float64(m.G.Pix[p]), B: float64(m.B.Pix[p])}
		}
		out = append(out, d)
	}
	return out
}

// FitsPicture returns an error where a mask picture is not of a picture's size.
func FitsPicture(name string, mask colour.Plane, w, h int) error {
	if mask.W != w || mask.H != h {
		return fmt.Errorf("render: %s is %d x %d pixels, want %d x %d as the picture", name, mask.W, mask.H, w, h)
	}
	return nil
}
