package batch

import (
	"cmp"
	"context"
	"flag"
	"fmt"
	"strings"

	"halocline/app/study"
	"halocline/mask"
)

var maskVerb = verb{
	name: "mask", usage: `STUDY --matte NAME --points "X,Y X,Y X,Y..." [--feather IN,OUT] [--rounded] [--drop] [--name NAME] [--frame N]`,
	about: "Draw a mask for what colour cannot tell apart: a polygon, in pixels, feathered inward and outward, that a matte keeps to, or leaves out with --drop. " +
		"The name of a mask that is there gives that a key on the frame, with as many corners as it has; what is not given stays. " +
		"Without --name that is the matte's only mask; a matte without any gets its first, \"mask\", and of several one must be named.",
	examples: []string{
		`halocline-batch mask transect.halocline --matte skin --points "410,220 780,240 760,610 400,590" --feather 12,20 --name swimmer`,
		`halocline-batch mask transect.halocline --matte skin --points "0,0 300,0 300,90" --drop --name surface`,
	},
	run: runMask,
}

type maskResult struct {
	Study string       `json:"study"`
	Matte string       `json:"matte"`
	Masks []maskReport `json:"masks"` // all of the matte's
}

type maskReport struct {
	Name    string      `json:"name"`
	Kind    string      `json:"kind"`
	Rounded bool        `json:"rounded"`
	Off     bool        `json:"off,omitempty"`
	Keys    []keyReport `json:"keys"`
}

type keyReport struct {
	Frame   int          `json:"frame"`
	Points  [][2]float64 `json:"points"`
	Inner   float64      `json:"featherInwardPixels"`
	Outer   float64      `json:"featherOutwardPixels"`
	Opacity float64      `json:"opacity"`
}

func reportMasks(masks []study.Mask) []maskReport {
	out := []maskReport{}
	for _, m := range masks {
		r := maskReport{Name: m.Name, Kind: m.Kind.String(), Rounded: m.Rounded, Off: m.Off}
		for _, k := range m.Keys {
			key := keyReport{Frame: k.Frame, Inner: k.Inner, Outer: k.Outer, Opacity: k.Opacity}
			for _, p := range k.Points {
				key.Points = append(key.Points, [2]float64{p.X, p.Y})
			}
			r.Keys = append(r.Keys, key)
		}
		out = append(out, r)
	}
	return out
}

// An outline is a flag "X,Y X,Y X,Y...".
type outline []mask.Point

func (o *outline) String() string { return fmt.Sprint(*o) }

func (o *outline) Set(s string) error {
	*o = nil
	for i, pair := range strings.Fields(s) {
		x, y, err := numbers(pair, "X,Y")
		if err != nil {
			return fmt.Errorf("point %d: %w", i+1, err)
		}
		*o = append(*o, mask.Point{X: x, Y: y})
	}
	if len(*o) < 3 {
		return fmt.Errorf("found %d points, want three or more as \"X,Y X,Y X,Y\"", len(*o))
	}
	return nil
}

// numbers reads two of them, separated by a comma.
func numbers(s, want string) (a, b float64, err error) {
	first, second, ok := strings.Cut(s, ",")
	if !ok {
		return 0, 0, fmt.Errorf("found %q, want %s", s, want)
	}
	if a, err = number(first); err == nil {
		b, err = number(second)
	}
	return a, b, err
}

// A feather is a flag IN,OUT in pixels.
type feather struct{ inner, outer float64 }

func (f *feather) String() string {
	if f == nil {
		return ""
	}
	return fmt.Sprintf("%g,%g", f.inner, f.outer)
}

func (f *feather) Set(s string) (err error) {
	f.inner, f.outer, err = numbers(s, "IN,OUT in pixels")
	return err
}

// maskFlags are what the verb may be given.
type maskFlags struct {
	set           *flag.FlagSet
	matte, name   string
	points        outline
	feather       feather
	rounded, drop bool
	frame         int
}

func newMaskFlags(c *call) *maskFlags {
	m := &maskFlags{set: c.newFlags()}
	m.set.StringVar(&m.matte, "matte", "", "name of the matte")
	m.set.StringVar(&m.name, "name", "", "of the mask: one that is there gets a key on the frame, a new name draws a new mask; without --name the matte's only mask is meant, or a first one named \"mask\" is drawn")
	m.set.Var(&m.points, "points", "corners \"X,Y X,Y X,Y...\" in pixels")
	m.set.Var(&m.feather, "feather", "widths IN,OUT in pixels over which it fades")
	m.set.BoolVar(&m.rounded, "rounded", false, "a smooth curve through the corners")
	m.set.BoolVar(&m.drop, "drop", false, "leave out what lies inside")
	m.set.IntVar(&m.frame, "frame", 0, "number of the frame; the first without it")
	return m
}

func runMask(ctx context.Context, c *call) error {
	f := newMaskFlags(c)
	args, err := c.parse(f.set, 1, 1)
	switch {
	case err != nil:
		return err
	case f.matte == "":
		return misuse("found no --matte NAME, want the matte to draw a mask for")
	case f.points == nil:
		return misuse("found no --points, want three or more as \"X,Y X,Y X,Y\"")
	}
	w, err := c.openToChange(ctx, args[0])
	if err != nil {
		return err
	}
	if err := f.place(w); err != nil {
		return err
	}
	m, err := w.matte(f.matte)
	if err != nil {
		return err
	}
	to, err := f.meant(m)
	if err != nil {
		return err
	}
	f.draw(w.Study, m, to)
	if err := w.save(ctx, ""); err != nil {
		return err
	}
	if to != nil && f.name == "" {
		c.notice("mask %q has a key at frame %d now: --name draws another mask", to.Name, f.frame)
	}
	return c.printJSON(maskResult{w.Path, m.Name, reportMasks(m.Masks)})
}

// place sets the frame, the study's first where none was given. A key may stand on
// a frame that is missing.
func (f *maskFlags) place(w opened) error {
	if !isSet(f.set, "frame") {
		f.frame = w.Study.Clip.First
	}
	if first, last := w.Clip.First(), w.Clip.Last(); f.frame < first || f.frame > last {
		return fmt.Errorf("batch: --frame is %d, want %d to %d", f.frame, first, last)
	}
	return nil
}

// firstMask is the name of the first mask of a matte where none is given.
const firstMask = "mask"

// meant returns the mask that is there and that the call gives a key; nil where it
// draws a new one. A call that could mean several, or would take a mask for what it
// is not, is an error.
func (f *maskFlags) meant(m *study.Matte) (*study.Mask, error) {
	if isSet(f.set, "name") {
		to := f.named(m)
		if to != nil && !f.redraws(to) {
			return to, f.fits(to)
		}
		return to, nil
	}
	switch len(m.Masks) {
	case 0:
		return nil, nil
	case 1:
		to := &m.Masks[0]
		if isSet(f.set, "drop") && f.drop != (to.Kind == study.Drop) {
			return nil, fmt.Errorf("batch: mask %q of matte %q is a %s mask, and --drop=%t asks for another kind: want --name with a new name for a mask of its own, or --name %q to change it",
				to.Name, m.Name, to.Kind, f.drop, to.Name)
		}
		return to, f.fits(to)
	}
	return nil, fmt.Errorf("batch: matte %q has the masks %s: want --name with one of them for a key of it, or with a new name for another mask", m.Name, quotedNames(m.Masks, func(k study.Mask) string { return k.Name }))
}

// redraws reports whether the call's key is in place of all that a mask has.
func (f *maskFlags) redraws(to *study.Mask) bool {
	return len(to.Keys) == 1 && to.Keys[0].Frame == f.frame
}

// fits returns an error where a mask has another number of corners.
func (f *maskFlags) fits(to *study.Mask) error {
	if has := len(to.Keys[0].Points); has != len(f.points) {
		return fmt.Errorf("batch: mask %q has %d corners and --points has %d, want %d as in each of its keys, or --name with a new name for another mask",
			to.Name, has, len(f.points), has)
	}
	return nil
}

// draw gives a mask a key; nil is a new mask.
func (f *maskFlags) draw(s *study.Study, m *study.Matte, to *study.Mask) {
	key := study.MaskKey{Frame: f.frame, Opacity: 1}
	if to != nil {
		at := to.At(f.frame)
		key.Inner, key.Outer, key.Opacity = at.Inner, at.Outer, at.Opacity
	}
	key.Points = f.points
	if isSet(f.set, "feather") {
		key.Inner, key.Outer = f.feather.inner, f.feather.outer
	}
	if to == nil {
		to = s.AddMask(m, cmp.Or(f.name, firstMask), study.Keep, key)
	} else {
		to.SetKey(key)
	}
	if isSet(f.set, "rounded") {
		to.Rounded = f.rounded
	}
	if isSet(f.set, "drop") {
		to.Kind = study.Keep
		if f.drop {
			to.Kind = study.Drop
		}
	}
}

// named returns the matte's mask that --name means, without regard to case; nil
// where it means none.
func (f *maskFlags) named(m *study.Matte) *study.Mask {
	for i := range m.Masks {
		if strings.EqualFold(m.Masks[i].Name, f.name) {
			return &m.Masks[i]
		}
	}
	return nil
}
