package desk

import (
	"errors"
	"path/filepath"
	"regexp"
	"strings"
	"unicode/utf8"

	"halocline/app/study"
)

// Reason is why the problem came up, in one line of at most n characters; "" where no
// error tells.
func (p Problem) Reason(n int) string {
	if p.Err == nil {
		return ""
	}
	return OneLine(errors.New(p.withoutFile(parts.ReplaceAllString(p.Err.Error(), ""))), n)
}

// withoutFile is an error's text without the file that it begins with, where what happened names
// that already.
func (p Problem) withoutFile(text string) string {
	path, rest, ok := strings.Cut(text, ": ")
	if ok && filepath.Base(path) != "." && strings.Contains(p.What, filepath.Base(path)) {
		return rest
	}
	return text
}

// parts are the names that errors begin with: of parts of the program, which mean
// nothing to the user.
var parts = regexp.MustCompile(`^(?:(?:desk|export|study|render|clip|work|mask|selection): )+`)

// absolute finds a file's whole path in an error's text, up to where the text goes on
// after it. A path may hold spaces.
var absolute = regexp.MustCompile(`(?:^|[\s("])((?:/|[A-Za-z]:[\\/]|\\\\)[^"\n]*?)(?:: |, |; |"|\)|$)`)

// shortestPath is as much of a path as must stay to tell which file is meant.
const shortestPath = 16

// OneLine is an error's text in one line of at most n characters. Long paths lose
// folders in their middle (study.Shortened); what is too long then loses its end, which in
// errors of studies is the path, not the reason.
func OneLine(err error, n int) string {
	text := parts.ReplaceAllString(strings.ReplaceAll(err.Error(), "\n", "; "), "")
	for {
		over := utf8.RuneCountInString(text) - n
		if over <= 0 {
			return text
		}
		begin, end := longestPath(text)
		path := text[begin:end]
		length := utf8.RuneCountInString(path)
		if length <= shortestPath {
			break
		}
		text = text[:begin] + study.Shortened(path, max(length-over, shortestPath)) + text[end:]
	}
	all := []rune(text)
	return string(all[:max(n-1, 0)]) + "…"
}

// longestPath returns where the longest path in a text is; 0, 0 where there is none.
func longestPath(text string) (begin, end int) {
	for _, at := range absolute.FindAllStringSubmatchIndex(text, -1) {
		if at[3]-at[2] > end-begin {
			begin, end = at[2], at[3]
		}
	}
	return begin, end
}
