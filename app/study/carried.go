package study

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"halocline/colour"
	"halocline/selection"
)

// Carried says of a matte that it was made on another clip, and how well its pick suits this one.
// No picture depends on it.
type Carried struct {
	From string // the name of that clip; "" for a matte that was made on this one
	// HandFades marks a pick that was set by hand: a fit to new dabs keeps its fades.
	HandFades bool
	Shift     float64 // how far the clips' mean colours after base are apart, in CIEDE2000
	Unlike    float64 // the share of the old dabs' colours that this clip does not have, in [0,1]
	// Moved are the channels that make the pick stale; none where it suits the clip.
	Moved Moves
	Dabs  []CarriedDab
}

// A CarriedDab is colours under one dab of the other clip, as the pick saw them there: after base.
type CarriedDab struct {
	Kind    Kind
	Colours [][3]uint8 // R, G, B in 8 bits
}

// RGB returns the dab's colours.
func (d CarriedDab) RGB() (out []colour.RGB) {
	for _, c := range d.Colours {
		out = append(out, colour.RGB{R: float64(c[0]) / 255, G: float64(c[1]) / 255, B: float64(c[2]) / 255})
	}
	return out
}

// Moves are the channels in which a clip's colours lie elsewhere than those a pick was made for.
type Moves struct{ Hue, Chroma, Lightness bool }

// Any reports whether there is such a channel.
func (m Moves) Any() bool { return m != Moves{} }

// String lists the channels: "hue, chroma"; "" for none.
func (m Moves) String() string {
	var words []string
	for _, c := range []struct {
		is   bool
		name string
	}{{m.Hue, "hue"}, {m.Chroma, "chroma"}, {m.Lightness, "lightness"}} {
		if c.is {
			words = append(words, c.name)
		}
	}
	return strings.Join(words, ", ")
}

// ParseMoves is the inverse of String.
func ParseMoves(s string) (m Moves, err error) {
	if s == "" {
		return m, nil
	}
	for word := range strings.SplitSeq(s, ", ") {
		switch word {
		case "hue":
			m.Hue = true
		case "chroma":
			m.Chroma = true
		case "lightness":
			m.Lightness = true
		default:
			return Moves{}, fmt.Errorf("study: moved is %q, want some of hue, chroma, lightness", s)
		}
	}
	return m, nil
}

// Is reports whether the matte comes from another clip and was not fitted since.
func (c *Carried) Is() bool { return c.From != "" }

// Sentence says from which clip the matte comes, and how well its pick suits this one; "" for a matte
// of this clip.
func (c *Carried) Sentence() string {
	switch {
	case !c.Is():
		return ""
	case !c.Moved.Any():
		return fmt.Sprintf("Carried from %s.", c.From)
	}
	return fmt.Sprintf("Carried from %s, and stale: %s lies elsewhere here. Fit it to dabs on this clip.", c.From, c.Moved)
}

// fitted forgets what a fit to dabs of this clip answers; that fades are set by hand stays.
func (c *Carried) fitted() {
	if c.HandFades {
		*c = Carried{From: c.From, HandFades: true}
		return
	}
	*c = Carried{}
}

// KeepFades returns a fit with the fades that the matte's pick has at a frame, where these were
// set by hand on another clip: in the same model, on channels that both limit.
func (m *Matte) KeepFades(fit selection.Pick, frame int) selection.Pick {
	old := m.Pick.At(frame)
	if !m.Carried.HandFades || old.Model != fit.Model {
		return fit
	}
	return fit.WithFadesOf(old)
}

func (c Carried) clone() Carried {
	c.Dabs = slices.Clone(c.Dabs)
	for i := range c.Dabs {
		c.Dabs[i].Colours = slices.Clone(c.Dabs[i].Colours)
	}
	return c
}

func (c *Carried) fields(f *form) {
	may(f, "clip", &c.From, "")
	may(f, "handFades", &c.HandFades, false)
	may(f, "shift", &c.Shift, 0)
	may(f, "unlike", &c.Unlike, 0)
	choice(f, "moved", &c.Moved, ParseMoves, "some of hue, chroma, lightness, with commas between", false)
	list(f, "dabs", &c.Dabs, func(f *form, d *CarriedDab) {
		kindField(f, &d.Kind)
		coloursField(f, &d.Colours)
	})
}

// coloursField passes colours as words of six hexadecimal digits.
func coloursField(f *form, colours *[][3]uint8) {
	var words []string
	for _, c := range *colours {
		words = append(words, fmt.Sprintf("%02x%02x%02x", c[0], c[1], c[2]))
	}
	text := strings.Join(words, " ")
	must(f, "colours", &text)
	if f.writing || f.err != nil {
		return
	}
	for _, word := range strings.Fields(text) {
		v, err := strconv.ParseUint(word, 16, 32)
		if err != nil || len(word) != 6 {
			f.fail("colours", "has %s, want words of six hexadecimal digits", describe(word))
			return
		}
		*colours = append(*colours, [3]uint8{uint8(v >> 16), uint8(v >> 8), uint8(v)})
	}
}

// maxCarried is how many dabs a matte may come with, and how many colours each has.
const maxCarried = 100_000

func (v *validator) carried(c *Carried) {
	v.in("carried", func() {
		v.text("clip", c.From, maxPath)
		v.number("shift", c.Shift, 0, maxShift)
		v.number("unlike", c.Unlike, 0, 1)
		v.whole("number of dabs", len(c.Dabs), 0, maxCarried)
		for _, d := range c.Dabs {
			v.kind(d.Kind)
			v.whole("number of colours", len(d.Colours), 1, maxCarried)
		}
		if !c.Is() && (c.HandFades || c.Shift != 0 || c.Unlike != 0 || c.Moved.Any() || len(c.Dabs) > 0) {
			v.fail("clip is missing, want the name of the clip that the matte comes from")
		}
	})
}

// maxShift is beyond any difference of two colours in CIEDE2000.
const maxShift = 1000
