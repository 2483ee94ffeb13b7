package export

import (
	"context"
	"fmt"
	"io"
	"strings"

	"halocline/app/render"
	"halocline/app/study"
	"halocline/colour"
)

// Kind is what an exported picture shows.
type Kind string

// The kinds.
const (
	Matte   Kind = "matte"   // grey: how much the matte holds
	Pick    Kind = "pick"    // grey: its colour part alone
	Mask    Kind = "mask"    // grey: its masks alone
	Cutout  Kind = "cutout"  // colour: the frame after base, with the matte as its alpha, not multiplied
	Hatch   Kind = "hatch"   // colour: the frame after base, under a hatch where the matte does not hold
	Reasons Kind = "reasons" // colour: what keeps each pixel out
	Base    Kind = "base"    // colour: the frame after base; the same for every matte
)

// Kinds lists them all.
var Kinds = []Kind{Matte, Pick, Mask, Cutout, Hatch, Reasons, Base}

// ParseKind reads a kind's name.
func ParseKind(s string) (Kind, error) {
	var names []string
	for _, k := range Kinds {
		if s == string(k) {
			return k, nil
		}
		names = append(names, string(k))
	}
	return "", fmt.Errorf("export: kind is %q, want one of %s", s, strings.Join(names, ", "))
}

// perMatte reports whether each matte has a picture of its own of this kind.
func (k Kind) perMatte() bool { return k != Base }

// name is what stands for {matte} in file names: the matte's, marked with the
// kind unless it is the matte itself.
func (k Kind) name(matte string) string {
	switch k {
	case Matte:
		return matte
	case Base:
		return string(Base)
	}
	return matte + "-" + string(k)
}

// draw renders one picture and returns how to write it. m is nil for Base.
func (k Kind) draw(ctx context.Context, r *render.Renderer, s *study.Study, m *study.Matte, frame, depth int) (func(io.Writer) error, error) {
	q := render.Request{Study: s, Frame: frame}
	if m != nil {
		q.Settings = &m.Settings
	}
	switch k {
	case Base:
		return colours(depth)(r.Shown(ctx, q))
	case Hatch:
		return colours(depth)(r.Hatch(ctx, q))
	case Reasons:
		view, _, err := r.ReasonsView(ctx, q)
		return colours(8)(view, err)
	case Cutout:
		picture, alpha, err := r.Cutout(ctx, q)
		return func(w io.Writer) error { return EncodeRGBA(w, picture, alpha, depth) }, err
	case Pick:
		return greys(depth)(r.Pick(ctx, q))
	case Mask:
		return greys(depth)(r.Mask(ctx, q))
	}
	return greys(depth)(r.Matte(ctx, q))
}

// colours and greys return how to write what was rendered.
func colours(depth int) func(*colour.Image, error) (func(io.Writer) error, error) {
	return func(m *colour.Image, err error) (func(io.Writer) error, error) {
		return func(w io.Writer) error { return EncodeRGB(w, m, depth) }, err
	}
}

func greys(depth int) func(colour.Plane, error) (func(io.Writer) error, error) {
	return func(p colour.Plane, err error) (func(io.Writer) error, error) {
		return func(w io.Writer) error { return EncodeGrey(w, p, depth) }, err
	}
}
