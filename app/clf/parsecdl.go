package clf

import (
	"fmt"
	"slices"
	"strings"

	"halocline/colour"
)

func parseCDL(e *element, _, _ float64) (Node, error) {
	style, err := e.choice("style", cdlFwd, cdlStyles)
	if err != nil {
		return nil, err
	}
	d := CDL{style, colour.NeutralCDL()}
	sop, err := e.one("SOPNode")
	if err != nil {
		return nil, err
	}
	if sop != nil {
		for name, to := range map[string]*[3]float64{"Slope": &d.Grade.Slope, "Offset": &d.Grade.Offset, "Power": &d.Grade.Power} {
			if err := sop.fill(name, to[:]); err != nil {
				return nil, err
			}
		}
	}
	sat, err := e.one("SatNode")
	if err != nil {
		return nil, err
	}
	if sat != nil {
		var v [1]float64
		if err := sat.fill("Saturation", v[:]); err != nil {
			return nil, err
		}
		d.Grade.Saturation = v[0]
	}
	if err := d.Grade.Check(); err != nil {
		return nil, e.fail("%s", strings.ReplaceAll(strings.ReplaceAll(err.Error(), "colour: cdl: ", ""), "\n", ", "))
	}
	if err := d.checkInverse(); err != nil {
		return nil, e.fail("%v", err)
	}
	return d, nil
}

// fill reads the child of a name, which holds as many numbers as to has room for.
func (e *element) fill(name string, to []float64) error {
	c, err := e.needed(name)
	if err != nil {
		return err
	}
	v, err := c.numbers(len(to))
	copy(to, v)
	return err
}

// checkInverse demands that a style that goes backwards can.
func (d CDL) checkInverse() error {
	if d.Style != cdlRev && d.Style != cdlRevNoClamp {
		return nil
	}
	if slices.Contains(d.Grade.Slope[:], 0) || d.Grade.Saturation == 0 {
		return fmt.Errorf("a slope or the saturation is 0, which style %s cannot undo", d.Style)
	}
	return nil
}
