package export

import (
	"context"
	"fmt"
	"io"
	"strings"

	"halocline/app/render"
	"halocline/app/study"
)

// Kind is what an exported picture shows.
type Kind string

// The kinds.
const (
	Matte   Kind = "matte"   // grey: how much the matte holds
	Base    Kind = "base"    // colour: the frame after base; the same for every matte
	Reasons Kind = "reasons" // colour: what keeps each pixel out
)

// Kinds lists them all.
var Kinds = []Kind{Matte, Base, Reasons}

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

// draw renders one picture and returns how to write it.
func (k Kind) draw(ctx context.Context, r *render.Renderer, s *study.Study, m *study.Matte, frame, depth int) (func(io.Writer) error, error) {
	q := render.Request{Study: s, Frame: frame}
	if m != nil {
		q.Settings = &m.Settings
	}
	switch k {
	case Base:
		shown, err := r.Shown(ctx, q)
		return func(w io.Writer) error { return EncodeRGB(w, shown, depth) }, err
	case Reasons:
		view, _, err := r.ReasonsView(ctx, q)
		return func(w io.Writer) error { return EncodeRGB(w, view, 8) }, err
	}
	plane, err := r.Matte(ctx, q)
	return func(w io.Writer) error { return EncodeGrey(w, plane, depth) }, err
}
