package render

import (
	"context"
	"slices"

	"halocline/app/study"
	"halocline/mask"
	"halocline/mask/edge"
)

// A DabSay tells whether a dab for masks has a say in a search for an edge, or why not.
type DabSay int

// What there is to tell of a dab.
const (
	Heard    DabSay = iota
	NoSearch        // no mask searches an edge on its frame
	Outside         // it lies outside every outline that is searched
	TooFar          // all these are tight, and it lies outside their lines' reach
)

// Why says where the dab lies that has no say for its place: "it lies outside the outline of
// every mask"; "" for any other.
func (s DabSay) Why() string {
	switch s {
	case Outside:
		return "it lies outside the outline of every mask"
	case TooFar:
		return "it lies too far from the tight line of every mask"
	}
	return ""
}

// SayOf tells whether a dab has a say in the searches of settings' masks on its frame, in a
// picture of so many lines.
func SayOf(ctx context.Context, s *study.Settings, d study.Dab, lines int) (DabSay, error) {
	layers := slices.DeleteFunc(s.At(d.Frame).Masks, func(l mask.Layer) bool { return !l.Searches() || !l.Search.On() })
	if len(layers) == 0 {
		return NoSearch, nil
	}
	say := TooFar
	for _, l := range layers {
		heard, err := edge.Heeds(ctx, l.Shape, l.Search, mask.Point{X: d.X, Y: d.Y}, lines)
		switch {
		case err != nil:
			return NoSearch, err
		case heard:
			return Heard, nil
		case !l.Search.Tight:
			say = Outside
		}
	}
	return say, nil
}
