package carry

import (
	"fmt"

	"halocline/app/study"
	"halocline/selection"
)

// hold gives all that has keys the value of its last key, and says so in words. The last key is the
// nearest to a clip that was taken afterwards.
func hold(s *study.Study) (said []string) {
	say := func(what string, keys, frame int) {
		said = append(said, fmt.Sprintf("%s had keys on %d frames: its value at the last, %d, is held", what, keys, frame))
	}
	holdSettings(s.Base.Settings(), "base: ", say)
	for i := range s.Mattes {
		m := &s.Mattes[i]
		of := fmt.Sprintf("matte %q: ", m.Name)
		for c := range selection.Channels {
			holdTrack(&m.Pick.Limits[c].Track, of+c.Name(m.Pick.Model), say)
		}
		holdSettings(m.Edge.Settings(), of, say)
		holdSettings(m.Trial.Settings(), of+"trial's ", say)
	}
	return said
}

func holdSettings(all []study.Setting, of string, say func(what string, keys, frame int)) {
	for _, s := range all {
		holdTrack(&s.Track.Track, of+s.Label, say)
	}
}

func holdTrack[V any](t *study.Track[V], what string, say func(what string, keys, frame int)) {
	if n := len(t.Keys); n > 0 {
		last := t.Keys[n-1]
		say(what, n, last.Frame)
		t.Fix(last.Value)
	}
}
