package study

import "strings"

// A Setting is one named number of a base, an edge or a trial, with the values
// it may take. The tables of settings are the only place where names, neutral
// values and bounds stand; files, checks and controls all read them.
type Setting struct {
	Name    string // as in files and messages
	Unit    string // "" for a plain ratio
	Neutral float64
	Min     float64
	Max     float64
	Track   *Number
}

// Label returns the setting's name in words: "gain red" for gainRed.
func (s Setting) Label() string {
	var b strings.Builder
	for _, r := range s.Name {
		if 'A' <= r && r <= 'Z' {
			b.WriteByte(' ')
			r += 'a' - 'A'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// neutral reports whether the setting is constant at its neutral value.
func (s Setting) neutral() bool {
	return !s.Track.Keyed() && s.Track.Value == s.Neutral
}

var channels = [3]string{"Red", "Green", "Blue"}

// perChannel returns the settings of one number for red, green and blue.
func perChannel(name, unit string, neutral, lo, hi float64, tracks *[3]Number) []Setting {
	all := make([]Setting, 0, 3)
	for i := range tracks {
		all = append(all, Setting{name + channels[i], unit, neutral, lo, hi, &tracks[i]})
	}
	return all
}

func setNeutral(all []Setting) {
	for _, s := range all {
		s.Track.Fix(s.Neutral)
	}
}

func cloneSettings(all []Setting) {
	for _, s := range all {
		s.Track.Track = s.Track.clone()
	}
}

func at3(tracks *[3]Number, frame int) [3]float64 {
	return [3]float64{tracks[0].At(frame), tracks[1].At(frame), tracks[2].At(frame)}
}
