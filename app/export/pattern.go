package export

import (
	"fmt"
	"path"
	"strconv"
	"strings"
	"unicode"

	"halocline/app/study"
)

// DefaultPattern names a matte's files where the user names none.
const DefaultPattern = "{matte}/{clip}-{matte}.{frame:6}.png"

// A Pattern gives every written picture its path: literal text in which {clip},
// {matte} and {frame} stand for the clip's name, the matte's name and the
// source's frame number; {frame:6} fills the number up with zeros to 6 digits. {version}
// counts exports of other settings, from 1, where the user wants earlier ones kept.
// A slash separates folders on every system. Make one with ParsePattern.
type Pattern struct {
	text  string
	parts []part
}

// A part is literal text, or, where field is not empty, what stands for a field.
type part struct {
	literal, field string
	digits         int // least digits of a frame number
}

// Fields are what a pattern's fields stand for.
type Fields struct {
	Clip, Matte string
	Frame       int // the source's number
	Version     int // from 1
}

// maxDigits is the widest that a frame number is filled up to.
const maxDigits = 12

// maxElement is the longest name of a file or folder in bytes that the common
// file systems take.
const maxElement = 255

// ParsePattern reads a pattern, or says what is wrong with it.
func ParsePattern(text string) (Pattern, error) {
	p := Pattern{text: text}
	fail := func(format string, args ...any) (Pattern, error) {
		return Pattern{}, fmt.Errorf("export: name pattern %q %s", text, fmt.Sprintf(format, args...))
	}
	for rest := text; rest != ""; {
		at := strings.IndexAny(rest, "{}")
		if at < 0 {
			at = len(rest)
		}
		if at > 0 {
			p.parts = append(p.parts, part{literal: rest[:at]})
			rest = rest[at:]
			continue
		}
		end := strings.IndexByte(rest, '}')
		if rest[0] == '}' || end < 0 || strings.IndexByte(rest[1:end], '{') >= 0 {
			return fail("has a %c without its partner", rest[0])
		}
		field, ok := parseField(rest[1:end])
		if !ok {
			return fail("has %s, want {clip}, {matte}, {version}, {frame} or {frame:1} to {frame:%d}", rest[:end+1], maxDigits)
		}
		p.parts = append(p.parts, field)
		rest = rest[end+1:]
	}
	if problem := p.problem(); problem != "" {
		return fail("%s", problem)
	}
	return p, nil
}

// parseField reads what stands between two braces.
func parseField(s string) (part, bool) {
	name, width, wide := strings.Cut(s, ":")
	switch {
	case !wide && (name == "clip" || name == "matte" || name == "frame" || name == "version"):
		return part{field: name}, true
	case !wide || name != "frame" && name != "version":
		return part{}, false
	}
	digits, err := strconv.ParseUint(width, 10, 8)
	return part{field: name, digits: int(digits)}, err == nil && 1 <= digits && digits <= maxDigits
}

// problem says what is wrong with a pattern as text, or nothing.
func (p Pattern) problem() string {
	switch {
	case strings.TrimSpace(p.text) == "":
		return "is empty"
	case strings.HasPrefix(p.text, "/"):
		return "begins with a slash, want a path within the output folder"
	case path.Ext(p.text) != ".png":
		return "does not end in .png"
	}
	for _, part := range p.parts {
		for _, r := range part.literal {
			if r != '/' && (strings.ContainsRune(reserved, r) || !unicode.IsPrint(r)) {
				return fmt.Sprintf("has the character %q, which not every system takes in names", r)
			}
		}
	}
	for i := range max(len(p.parts)-1, 0) {
		if a, b := p.parts[i].field, p.parts[i+1].field; a+b == "versionframe" || a+b == "frameversion" {
			return "has {version} and {frame} side by side: put something between them, or 1 and 11 would be 11 and 1"
		}
	}
	// With harmless values, what is still wrong is wrong with the pattern.
	if _, problem := p.build(Fields{Clip: "a", Matte: "a", Frame: 1, Version: 1}); problem != "" {
		return "makes " + problem
	}
	return ""
}

// reserved are the characters that some system does not take in names.
const reserved = `<>:"|?*\`

// String returns the pattern as it was read.
func (p Pattern) String() string { return p.text }

// Has reports whether the pattern has a field: clip, matte, frame or version.
func (p Pattern) Has(field string) bool {
	for _, part := range p.parts {
		if part.field == field {
			return true
		}
	}
	return false
}

// Check says whether so many mattes and frames would all get files of their
// own.
func (p Pattern) Check(mattes, frames int) error {
	switch {
	case mattes > 1 && !p.Has("matte"):
		return fmt.Errorf("export: name pattern %q lacks {matte}: %d mattes would share their files", p.text, mattes)
	case frames > 1 && !p.Has("frame"):
		return fmt.Errorf("export: name pattern %q lacks {frame}: %d frames would share one file", p.text, frames)
	}
	return nil
}

// Format returns the path of a picture, relative to the output folder, with
// slashes. Names become safe ones (study.SafeName), so none of them can lead
// elsewhere. A field without a value, a negative frame number and a name that
// some system would not take are errors.
func (p Pattern) Format(f Fields) (string, error) {
	for _, v := range []struct {
		name  string
		empty bool
	}{{"clip", f.Clip == ""}, {"matte", f.Matte == ""}} {
		if v.empty && p.Has(v.name) {
			return "", fmt.Errorf("export: name pattern %q wants the name of a %s, which is empty", p.text, v.name)
		}
	}
	if f.Frame < 0 && p.Has("frame") {
		return "", fmt.Errorf("export: frame %d has no place in a file name, want 0 or more", f.Frame)
	}
	name, problem := p.build(f)
	if problem != "" {
		return "", fmt.Errorf("export: name pattern %q makes %s", p.text, problem)
	}
	return name, nil
}

// build returns the path and what is wrong with it, or nothing.
func (p Pattern) build(f Fields) (name, problem string) {
	var b strings.Builder
	for _, part := range p.parts {
		switch part.field {
		case "clip":
			b.WriteString(study.SafeName(f.Clip))
		case "matte":
			b.WriteString(study.SafeName(f.Matte))
		case "frame":
			fmt.Fprintf(&b, "%0*d", part.digits, f.Frame)
		case "version":
			fmt.Fprintf(&b, "%0*d", part.digits, max(f.Version, 1))
		default:
			b.WriteString(part.literal)
		}
	}
	for element := range strings.SplitSeq(b.String(), "/") {
		stem, _, _ := strings.Cut(element, ".")
		switch {
		case element == "":
			return "", "a folder without a name"
		case strings.Trim(element, ". ") != element:
			return "", fmt.Sprintf("the name %q, which begins or ends with a dot or space", element)
		case len(element) > maxElement:
			return "", fmt.Sprintf("the name %q of %d bytes, want at most %d", element, len(element), maxElement)
		case strings.TrimSpace(stem) != stem:
			return "", fmt.Sprintf("the name %q, which has a space before its ending", element)
		case len(stem) < 10 && study.SafeName(stem) != stem:
			return "", fmt.Sprintf("the name %q, which some systems take for a device", element)
		}
	}
	return b.String(), ""
}
