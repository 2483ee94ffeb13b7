package proof

import (
	"fmt"
	"strings"

	"halocline/app/study"
	"halocline/selection"
)

// A Parameter is a number of a matte's settings that a sweep goes over.
type Parameter struct {
	Name  string // on a command line: "soften", "hue-after", "outer:swimmer"
	Label string // in words: "soften", "hue fade after", "feather outward of swimmer"
	Unit  string // "" for a plain ratio
	Min   float64
	Max   float64
	Round float64 // what a sweep's values are multiples of, where that leaves them apart
	// Even: 0 is a value as any other, so that the values of a sweep lie evenly.
	Even bool
	// Low and High are the ends of a sweep that one would begin with.
	Low, High float64

	at    func(s *study.Settings, frame int) float64
	fix   func(s *study.Settings, v float64)
	keyed func(s *study.Settings) bool // nil: it has no keys of its own
}

// At returns the number as settings have it at a frame.
func (p Parameter) At(s *study.Settings, frame int) float64 { return p.at(s, frame) }

// Keyed reports whether the number changes over time by keys of its own, which With
// takes away.
func (p Parameter) Keyed(s *study.Settings) bool { return p.keyed != nil && p.keyed(s) }

// With returns a copy of settings with the number v, the same on every frame: a
// number that has keys loses them; of a range and of a mask's feather each key gets
// it.
func (p Parameter) With(s *study.Settings, v float64) *study.Settings {
	out := s.Clone()
	p.fix(&out, v)
	return &out
}

// Value writes a value with its unit.
func (p Parameter) Value(v float64) string {
	switch p.Unit {
	case "":
		return fmt.Sprintf("%.4g", v)
	case "°":
		return fmt.Sprintf("%.4g°", v)
	}
	return fmt.Sprintf("%.4g %s", v, p.Unit)
}

// Parameters returns what a sweep over settings may go over: the numbers of the
// edge, the fades of the channels that are on or the numbers of a plane, the feathers of the
// masks that are, one by one and, of several, together.
func Parameters(s *study.Settings) []Parameter {
	all := edgeParameters(s)
	for _, c := range s.Pick.Model.Channels() {
		switch {
		case s.Pick.Limits[c].Off:
		case s.Pick.Model == selection.PlaneModel:
			all = append(all, planeParameters()...)
		default:
			all = append(all, fade(s.Pick.Model, c, false), fade(s.Pick.Model, c, true))
		}
	}
	for i := range s.Masks {
		if m := &s.Masks[i]; !m.Off {
			all = append(all, feather(m.ID, m.Name, false), feather(m.ID, m.Name, true))
		}
	}
	if p, ok := Feathers(s); ok {
		all = append(all, p)
	}
	return all
}

// Feathers is the feather outward of all masks that are on, as one number: the widest;
// set, each gets it. ok: there are several.
func Feathers(s *study.Settings) (p Parameter, ok bool) { return feathers(), masksOn(s) > 1 }

func masksOn(s *study.Settings) (n int) {
	for i := range s.Masks {
		if !s.Masks[i].Off {
			n++
		}
	}
	return n
}

// ParameterNamed returns the parameter that a name means, without regard to case. The
// feathers of all masks may be named of a single one too.
func ParameterNamed(s *study.Settings, name string) (Parameter, error) {
	var names []string
	for _, p := range Parameters(s) {
		if strings.EqualFold(p.Name, name) {
			return p, nil
		}
		names = append(names, p.Name)
	}
	if p := feathers(); strings.EqualFold(p.Name, name) && masksOn(s) > 0 {
		return p, nil
	}
	return Parameter{}, fmt.Errorf("proof: found %q to sweep over, want one of %s", name, strings.Join(names, ", "))
}

// edgeParameters are the edge's numbers, the one that is swept most often first.
func edgeParameters(s *study.Settings) (all []Parameter) {
	for i, n := range s.Edge.Settings() {
		track := func(s *study.Settings) *study.Number { return s.Edge.Settings()[i].Track }
		p := Parameter{
			Name: n.Flag(), Label: n.Label, Unit: n.Unit, Min: n.Min, Max: n.Max, Low: n.Low, High: n.High, Round: n.Increment,
			at:    func(s *study.Settings, frame int) float64 { return track(s).At(frame) },
			fix:   func(s *study.Settings, v float64) { track(s).Fix(v) },
			keyed: func(s *study.Settings) bool { return track(s).Keyed() },
		}
		all = append([]Parameter{p}, all...)
	}
	return all
}

// fade is a channel's width of fade below its range, or above it.
func fade(m selection.Model, c selection.Channel, after bool) Parameter {
	side, full := "before", c.FullScale(m)
	if after {
		side = "after"
	}
	of := func(r *selection.Range) *float64 {
		if after {
			return &r.After
		}
		return &r.Before
	}
	p := Parameter{
		Name: c.Name(m) + "-" + side, Label: c.Name(m) + " fade " + side, Max: full, High: full / 6, Round: full / 1000,
		at: func(s *study.Settings, frame int) float64 {
			r := s.Pick.At(frame).Limits[c].Range
			return *of(&r)
		},
		fix: func(s *study.Settings, v float64) {
			eachRange(&s.Pick.Limits[c], func(r *selection.Range) { *of(r) = v })
		},
	}
	if c == selection.Hue {
		p.Unit, p.High, p.Round = "°", 40, 0.5
	}
	return p
}

// eachRange changes the range of a limit, or that of each of its keys.
func eachRange(l *study.Limit, change func(*selection.Range)) {
	if !l.Keyed() {
		change(&l.Value)
	}
	for i := range l.Keys {
		change(&l.Keys[i].Value)
	}
}

// planeParameters are the numbers of a plane's range: "plane-level", "plane-fade-before",
// "plane-fade-after".
func planeParameters() (all []Parameter) {
	for _, n := range study.PlaneSpecs {
		all = append(all, Parameter{
			Name: "plane-" + n.Flag(), Label: "plane's " + n.Label, Min: n.Min, Max: n.Max, Low: n.Low, High: n.High, Round: n.Increment, Even: n.Name == study.LevelSpec.Name,
			at: func(s *study.Settings, frame int) float64 {
				return study.PlaneNumber(s.Pick.At(frame).Limits[selection.Across].Range, n.Name)
			},
			fix: func(s *study.Settings, v float64) {
				eachRange(&s.Pick.Limits[selection.Across], func(r *selection.Range) { *r = study.WithPlaneNumber(*r, n.Name, v) })
			},
		})
	}
	return all
}

// feather is a mask's width of fade outside of its outline, or inside.
func feather(id int, name string, inside bool) Parameter {
	n := study.OutwardSpec
	if inside {
		n = study.InwardSpec
	}
	return Parameter{
		Name: n.Flag() + ":" + name, Label: n.Label + " of " + name, Unit: n.Unit, Max: n.Max, High: n.High, Round: n.Increment,
		at: func(s *study.Settings, frame int) float64 {
			m := s.Mask(id)
			if m == nil {
				return 0
			}
			shape := m.At(frame)
			if inside {
				return shape.Inner
			}
			return shape.Outer
		},
		fix: func(s *study.Settings, v float64) {
			m := s.Mask(id)
			if m == nil {
				return
			}
			for i := range m.Keys {
				if inside {
					m.Keys[i].Inner = v
				} else {
					m.Keys[i].Outer = v
				}
			}
		},
	}
}

// feathers is Feathers of any number of masks.
func feathers() Parameter {
	n := study.OutwardSpec
	return Parameter{
		Name: "feathers", Label: n.Label + " of all masks", Unit: n.Unit, Max: n.Max, High: n.High, Round: n.Increment,
		at: func(s *study.Settings, frame int) (widest float64) {
			for i := range s.Masks {
				if m := &s.Masks[i]; !m.Off {
					widest = max(widest, m.At(frame).Outer)
				}
			}
			return widest
		},
		fix: func(s *study.Settings, v float64) {
			for i := range s.Masks {
				m := &s.Masks[i]
				for k := range m.Keys {
					if !m.Off {
						m.Keys[k].Outer = v
					}
				}
			}
		},
	}
}
