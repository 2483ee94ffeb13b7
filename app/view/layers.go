package view

import (
	"fmt"
	"image"

	"halocline/colour"
	"halocline/selection"
)

// Layers are what one render gave: samples of a region of the source, each for
// Factor x Factor of its pixels, the first at the region's top left corner.
// Layers that no view asked for needs may be nil; the others have one size.
type Layers struct {
	Region  image.Rectangle // source px
	Factor  int             // source px per sample, each way; at least 1
	Shown   *colour.Image   // display encoded
	Trial   *colour.Image   // display encoded
	Matte   *colour.Plane   // weights in [0,1]
	Reasons []selection.Reason
	Beyond  []bool // beyond repair: marked with plus signs on every view; nil marks nothing
}

// size returns how many samples the layers that the views need have. Error: one
// is missing or of another size.
func (l Layers) size(views ...View) (w, h int, err error) {
	if l.Factor < 1 || l.Region.Empty() {
		return 0, 0, fmt.Errorf("view: layers cover %v at factor %d, want some pixels at 1 or more", l.Region, l.Factor)
	}
	have := func(v View, name string, needed, there bool, gw, gh int) {
		switch {
		case err != nil || !needed:
		case !there:
			err = fmt.Errorf("view: %v needs %s, found none", v, name)
		case gw < 1 || gh < 1:
			err = fmt.Errorf("view: %s is empty", name)
		case w == 0:
			w, h = gw, gh
		case gw != w || gh != h:
			err = fmt.Errorf("view: %s has %d x %d samples, want %d x %d as the other layers", name, gw, gh, w, h)
		}
	}
	for _, v := range views {
		shown, matte, reasons, trial := v.Needs()
		if !shown && !matte && !trial {
			return 0, 0, fmt.Errorf("view: there is no %v", v)
		}
		gw, gh := imageSize(l.Shown)
		have(v, "a picture", shown, l.Shown != nil, gw, gh)
		gw, gh = imageSize(l.Trial)
		have(v, "a graded picture", trial, l.Trial != nil, gw, gh)
		gw, gh = planeSize(l.Matte)
		have(v, "a matte", matte, l.Matte != nil, gw, gh)
		if err == nil && reasons && len(l.Reasons) != w*h {
			err = fmt.Errorf("view: %v needs %d reasons, found %d", v, w*h, len(l.Reasons))
		}
	}
	if err == nil && l.Beyond != nil && len(l.Beyond) != w*h {
		err = fmt.Errorf("view: marks of what is beyond repair are %d, want %d", len(l.Beyond), w*h)
	}
	return w, h, err
}

func imageSize(m *colour.Image) (w, h int) {
	if m == nil {
		return 0, 0
	}
	return m.Size()
}

func planeSize(p *colour.Plane) (w, h int) {
	if p == nil {
		return 0, 0
	}
	return p.W, p.H
}
