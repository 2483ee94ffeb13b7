package batch

import (
	"flag"
	"fmt"
	"math"
	"strconv"
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
	v := f.Float64(s.Flag(), s.Neutral, strings.TrimSpace(fmt.Sprintf("%s: %s to %s %s", sentence(s.Hint), plainly(s.Min), plainly(s.Max), s.Unit)))
	f.Lookup(s.Flag()).DefValue = plainly(s.Neutral)
	return v
}

// plainly writes a number with no more than four decimals, and without an exponent.
func plainly(v float64) string { return strconv.FormatFloat(math.Round(v*1e4)/1e4, 'f', -1, 64) }

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
	specs := make([]study.Spec, len(all))
	for i, s := range all {
		specs[i] = s.Spec
	}
	return specsUsage(specs)
}

// specsUsage lists the flags of numbers in a line of usage.
func specsUsage(all []study.Spec) string {
	flags := make([]string, len(all))
	for i, s := range all {
		flags[i] = "[--" + s.Flag() + " " + placeholder(s) + "]"
	}
	return strings.Join(flags, " ")
}

// settingsFlags are the names of a table's flags.
func settingsFlags(all []study.Setting) (names []string) {
	for _, s := range all {
		names = append(names, s.Flag())
	}
	return names
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
			s.Track.StartKeys(frame)
		}
		s.Track.Set(frame, f.Lookup(s.Flag()).Value.(flag.Getter).Get().(float64))
	}
}
