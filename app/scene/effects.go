package scene

import "strings"

// Effects are what water and light do to a picture, each of which a clip can go without.
type Effects int

// The effects.
const (
	Caustics  Effects = 1 << iota // the net of light that runs over all that lies in the sun
	Particles                     // what drifts in the water
	Veil                          // the light that water adds on the way to the camera
)

// Without returns the same clip without some effects. Its truth and the camera's settings are
// the same.
func (s *Clip) Without(e Effects) *Clip {
	plain := *s.scene
	plain.without |= e
	if e&Caustics != 0 {
		plain.sparkle = 0
	}
	return &Clip{&plain}
}

// lacks reports whether the scene goes without an effect.
func (s *scene) lacks(e Effects) bool { return s.without&e != 0 }

// String names the effects.
func (e Effects) String() string {
	var names []string
	for i, name := range []string{"caustics", "particles", "veil"} {
		if e&(1<<i) != 0 {
			names = append(names, name)
		}
	}
	if names == nil {
		return "none"
	}
	return strings.Join(names, ", ")
}
