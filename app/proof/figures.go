package proof

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"halocline/app/check/seam"
	"halocline/app/study"
)

// Figures are those of a proof (package comment). What has no meaning, or is not
// known yet, is nil.
type Figures struct {
	Frames       int  // that are in them
	Judged       bool // all frames are in them; separation may be to come
	Whole        bool // nothing is to be added
	Separation   *float64
	Area         *float64
	EdgeWidth    *float64 // px of the source
	Specks       *float64
	Holes        *float64
	Flicker      *float64
	Rim          *float64 // nil: there is no trial, or no seam
	Bleed        *float64
	Misfit       *float64
	EdgeMismatch *float64 // in [0,1], whether there is a trial or not
	MaskedEdge   *float64 // nil: there are no masks, or no edge
	Err          error    // why a frame is not in them
}

// edgeMismatch is the name of the column that stands in for misfit where there is no
// trial.
const edgeMismatch = "edge mismatch"

// maskedEdge is the name of the column of what masks end. Neither more nor less of it is
// better.
const maskedEdge = "masked edge"

// A Column is one figure of all proofs.
type Column struct {
	Name  string
	Unit  string
	Scale float64 // from the figure to the unit
	// Decimals are how many are worth being shown.
	Decimals int
	More     bool // more is better, or comes first
	of       func(f *Figures) **float64
}

// Columns returns all figures in the order of tables.
func Columns() []Column {
	return []Column{
		{"separation", "of 100", 100, 1, true, func(f *Figures) **float64 { return &f.Separation }},
		{"area", "%", 100, study.AreaDecimals, true, func(f *Figures) **float64 { return &f.Area }},
		{"edge width", "px", 1, 1, false, func(f *Figures) **float64 { return &f.EdgeWidth }},
		{"specks", "", 1, 0, false, func(f *Figures) **float64 { return &f.Specks }},
		{"holes", "", 1, 0, false, func(f *Figures) **float64 { return &f.Holes }},
		{"flicker", "%", 100, 1, false, func(f *Figures) **float64 { return &f.Flicker }},
		{"rim", "dE00", 1, 2, false, func(f *Figures) **float64 { return &f.Rim }},
		{"bleed", "dE00", 1, 2, false, func(f *Figures) **float64 { return &f.Bleed }},
		{"misfit", "dE00", 1, 2, false, func(f *Figures) **float64 { return &f.Misfit }},
		{edgeMismatch, "of 1", 1, 3, false, func(f *Figures) **float64 { return &f.EdgeMismatch }},
		{maskedEdge, "%", 100, 0, false, func(f *Figures) **float64 { return &f.MaskedEdge }},
	}
}

// ColumnNamed returns the column of a name.
func ColumnNamed(name string) (Column, error) {
	var names []string
	for _, c := range Columns() {
		if strings.EqualFold(c.Name, name) {
			return c, nil
		}
		names = append(names, c.Name)
	}
	return Column{}, fmt.Errorf("proof: found %q to sort by, want one of %s", name, strings.Join(names, ", "))
}

// Of returns a figure in the column's unit; not ok where it has no meaning.
func (c Column) Of(f Figures) (v float64, ok bool) {
	p := *c.of(&f)
	if p == nil {
		return 0, false
	}
	return *p * c.Scale, true
}

// Text writes a figure with its unit; a dash where it has no meaning, dots where it
// is not known yet.
func (c Column) Text(f Figures) string {
	v, ok := c.Of(f)
	switch {
	case !ok && !f.Whole:
		return "…"
	case !ok:
		return "–"
	}
	text := fmt.Sprintf("%.*f", c.Decimals, v)
	switch c.Unit {
	case "", "of 100", "of 1":
		return text
	case "dE00":
		return text + " ΔE"
	}
	return text + " " + c.Unit
}

// Order returns the places of proofs by a figure, the best first: of separation and
// area the largest, of the others the smallest. Those without it come last; those with
// the same stay in their order.
func (c Column) Order(all []Figures) []int {
	order := make([]int, len(all))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int {
		a, hasA := c.Of(all[i])
		b, hasB := c.Of(all[j])
		switch {
		case !hasA || !hasB:
			return cmp.Compare(rank(hasA), rank(hasB))
		case c.More:
			return cmp.Compare(b, a)
		}
		return cmp.Compare(a, b)
	})
	return order
}

func rank(has bool) int {
	if has {
		return 0
	}
	return 1
}

// A Least is the value of a sweep at which the misfit is least.
type Least struct {
	Item int     // its place among the items
	At   float64 // between values, in the parameter's unit: read off a parabola
	// Inside says that it is between the sweep's ends: beyond them it may be less.
	Inside bool
}

// LeastMisfit returns where in a sweep the misfit is least, once every item of it is
// judged: at the value that is offered, where one is. A grade is not needed for it: misfit is the edge mismatch times a factor.
// ok: there is a seam at every value.
func LeastMisfit(items []Item, all []Figures) (l Least, ok bool) {
	w := seam.Sweep{}
	var at []int
	for i, it := range items {
		if !it.Swept {
			continue
		}
		if !all[i].Judged || all[i].EdgeMismatch == nil {
			return Least{}, false
		}
		w.Softness = append(w.Softness, it.Value)
		w.Figures = append(w.Figures, seam.Figures{EdgeMismatch: *all[i].EdgeMismatch})
		at = append(at, i)
	}
	if len(at) == 0 {
		return Least{}, false
	}
	least, value := 0, w.Least()
	for i, f := range w.Figures {
		if f.EdgeMismatch < w.Figures[least].EdgeMismatch {
			least = i
		}
	}
	if i := slices.IndexFunc(at, func(i int) bool { return items[i].Offered }); i >= 0 {
		least, value = i, w.Softness[i]
	}
	return Least{at[least], value, least > 0 && least < len(at)-1}, true
}
