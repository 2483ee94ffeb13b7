package batch

import (
	"flag"
	"fmt"
	"strings"

	"halocline/app/study"
)

// addSettings adds a flag for each number of a table of settings. What the flags
// say of themselves is the table's.
func addSettings(f *flag.FlagSet, all []study.Setting) {
	for _, s := range all {
		addNumber(f, s.Spec)
	}
}

// addNumber adds a flag for one number.
func addNumber(f *flag.FlagSet, s study.Spec) *float64 {
	unit := ""
	if s.Unit != "" {
		unit = ", in " + s.Unit
	}
	return f.Float64(s.Flag(), s.Neutral, fmt.Sprintf("%s%s: %g to %g", sentence(s.Hint), unit, s.Min, s.Max))
}

// sentence begins words with a small letter, as help does, but for names in
// capitals.
func sentence(words string) string {
	if len(words) > 1 && strings.ToUpper(words[1:2]) == words[1:2] && words[1] != ' ' {
		return words
	}
	return strings.ToLower(words[:1]) + words[1:]
}

// settingsUsage lists the flags of a table of settings in a line of usage.
func settingsUsage(all []study.Setting) string {
	flags := make([]string, len(all))
	for i, s := range all {
		flags[i] = "[--" + s.Flag() + " " + placeholder(s.Spec) + "]"
	}
	return strings.Join(flags, " ")
}

// placeholder stands for a number in a line of usage: its unit, else N.
func placeholder(s study.Spec) string {
	switch s.Unit {
	case "px", "px²":
		return "PX"
	case "m":
		return "M"
	case "EV":
		return "EV"
	}
	return "N"
}

// applySettings sets what was given of a table of settings at a frame; with key a
// number without keys gets one there.
func applySettings(f *flag.FlagSet, all []study.Setting, frame int, key bool) {
	for _, s := range all {
		if !isSet(f, s.Flag()) {
			continue
		}
		if key {
			keyAt(frame, s.Track)
		}
		s.Track.Set(frame, f.Lookup(s.Flag()).Value.(flag.Getter).Get().(float64))
	}
}

// anyGiven reports whether a number of a table was given.
func anyGiven(f *flag.FlagSet, all []study.Setting) bool {
	for _, s := range all {
		if isSet(f, s.Flag()) {
			return true
		}
	}
	return false
}
