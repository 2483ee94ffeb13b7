package study

import (
	"fmt"
	"strings"
)

// A Spec says what a number is, for people and for files. It stands in one table
// of settings, from which files, checks, panels, flags, help, sweeps and the
// reference in README.md are made.
type Spec struct {
	Name    string  // in files: "hardenAbout"
	Label   string  // in a sentence: "harden about"
	Hint    string  // what it does: begins with a capital, ends without a stop
	Unit    string  // "" for a plain ratio
	Neutral float64 // what it is where nobody has set it
	// Min and Max are what a study takes.
	Min, Max float64
	// Low and High are where sliders end and sweeps begin and end: what people use.
	Low, High float64
	Increment float64 // a press of an arrow; the grid of sliders and sweeps
	Decimals  int     // how many are shown
}

// Flag is the setting's name on a command line: "harden-about".
func (s Spec) Flag() string {
	var b strings.Builder
	for _, r := range s.Name {
		if 'A' <= r && r <= 'Z' {
			b.WriteByte('-')
			r += 'a' - 'A'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// Title is the label as it begins a line: "Harden about".
func (s Spec) Title() string { return strings.ToUpper(s.Label[:1]) + s.Label[1:] }

// Check returns an error where the number cannot be v.
func (s Spec) Check(v float64) error {
	if s.Min <= v && v <= s.Max { // a NaN meets nothing
		return nil
	}
	return fmt.Errorf("%s is %s, want %s to %s", s.Label, shortest(v), shortest(s.Min), shortest(s.Max))
}

// A Setting is one number of a base, an edge or a trial over time.
type Setting struct {
	Spec
	Track *Number
}

// SettingNamed returns the setting of a name from a table that has it.
func SettingNamed(all []Setting, name string) Setting {
	for _, s := range all {
		if s.Name == name {
			return s
		}
	}
	panic("study: there is no setting " + name)
}

// neutral reports whether the setting is constant at its neutral value.
func (s Setting) neutral() bool {
	return !s.Track.Keyed() && s.Track.Value == s.Neutral
}

// channelNames are the names of a picture's channels in labels.
var channelNames = [3]string{"red", "green", "blue"}

// perChannel returns the settings of one number for red, green and blue: gain
// becomes gainRed, gainGreen, gainBlue.
func perChannel(of Spec, tracks *[3]Number) []Setting {
	all := make([]Setting, 0, len(tracks))
	for i := range tracks {
		one, channel := of, channelNames[i]
		one.Name += strings.ToUpper(channel[:1]) + channel[1:]
		one.Label += " " + channel
		all = append(all, Setting{one, &tracks[i]})
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
