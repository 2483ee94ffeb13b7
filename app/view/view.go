package view

import (
	"fmt"
	"strings"
)

// A View is one way to look at the frame.
type View int

const (
	Frame   View = iota + 1 // the picture as it is shown
	Matte                   // the weights as greys
	Hatch                   // what the matte leaves out, under a neutral hatch
	Cutout                  // what is in the matte, over dashes
	Reasons                 // what keeps rejected pixels out, as patterns
	Trial                   // the picture graded through the mattes
)

// All are the views, in their order.
var All = []View{Frame, Matte, Hatch, Cutout, Reasons, Trial}

var names = [...]string{Frame: "Frame", Matte: "Matte", Hatch: "Hatch", Cutout: "Cut-out", Reasons: "Reasons", Trial: "Trial"}

// String is the view's name on the screen.
func (v View) String() string {
	if v < Frame || v > Trial {
		return fmt.Sprintf("view %d", int(v))
	}
	return names[v]
}

// Names are the names of views on the screen.
func Names(of []View) (all []string) {
	for _, v := range of {
		all = append(all, v.String())
	}
	return all
}

// Name is the view's name where a program reads it: on the command line, in the
// names of files.
func (v View) Name() string { return strings.ToLower(strings.ReplaceAll(v.String(), "-", "")) }

// Parse reads the name of one of the views of some, in either form, in capitals or
// not.
func Parse(name string, some ...View) (View, error) {
	var want []string
	for _, v := range some {
		if strings.EqualFold(name, v.Name()) || strings.EqualFold(name, v.String()) {
			return v, nil
		}
		want = append(want, v.Name())
	}
	return 0, fmt.Errorf("view: found %q, want one of %s", name, strings.Join(want, ", "))
}

// Needs reports which layers a view is made of.
func (v View) Needs() (shown, matte, reasons, trial bool) {
	shown = v == Frame || v == Hatch || v == Cutout || v == Reasons
	return shown, v == Matte || v == Hatch || v == Cutout, v == Reasons, v == Trial
}

// needs is Needs of several.
func needs(views []View) (shown, matte, reasons, trial bool) {
	for _, v := range views {
		s, m, r, t := v.Needs()
		shown, matte, reasons, trial = shown || s, matte || m, reasons || r, trial || t
	}
	return shown, matte, reasons, trial
}
