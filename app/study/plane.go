package study

import "halocline/selection"

// The numbers of a pick by plane: see selection.Across.
var (
	// LevelSpec is where the plane lies along its direction.
	LevelSpec = Spec{"level", "level", "Where the plane lies: without a fade on the keep side all from there on is kept", "", 0, -170, 170, -60, 100, 0.5, 1}
	// DropFadeSpec is the fade below the level.
	DropFadeSpec = Spec{"fadeBefore", "fade on the drop side", "How far below the level the weight goes down to 0", "", 0, 0, 170, 0, 30, 0.5, 1}
	// KeepFadeSpec is the fade above the level.
	KeepFadeSpec = Spec{"fadeAfter", "fade on the keep side", "How far above the level the weight goes up to 1", "", 0, 0, 170, 0, 30, 0.5, 1}
)

// PlaneSpecs are the numbers of a pick by plane, in their order.
var PlaneSpecs = []Spec{LevelSpec, DropFadeSpec, KeepFadeSpec}

// PlaneNumber returns that number of a plane's range which one of PlaneSpecs names.
func PlaneNumber(r selection.Range, name string) float64 {
	switch name {
	case LevelSpec.Name:
		return r.From
	case DropFadeSpec.Name:
		return r.Before
	case KeepFadeSpec.Name:
		return r.After
	}
	panic("study: a plane has no number " + name)
}

// WithPlaneNumber returns a plane's range with the number that one of PlaneSpecs names.
func WithPlaneNumber(r selection.Range, name string, v float64) selection.Range {
	switch name {
	case LevelSpec.Name:
		return selection.LevelRange(v, r.Before, r.After)
	case DropFadeSpec.Name:
		return selection.LevelRange(r.From, v, r.After)
	case KeepFadeSpec.Name:
		return selection.LevelRange(r.From, r.Before, v)
	}
	panic("study: a plane has no number " + name)
}
