package study

import (
	"path/filepath"
	"unicode/utf8"
)

// Shortened returns a path in at most n characters: where it is longer, an ellipsis
// stands for folders in its middle, and where its own name alone is longer, for the
// middle of that too. n below 3 counts as 3.
func Shortened(path string, n int) string {
	n = max(n, 3)
	if utf8.RuneCountInString(path) <= n {
		return path
	}
	name := string(filepath.Separator) + filepath.Base(path)
	if room := n - 1 - utf8.RuneCountInString(name); room >= 0 {
		return string([]rune(path)[:room]) + "…" + name
	}
	all := []rune(path)
	begin := (n - 1) / 2
	if base := []rune(filepath.Base(path)); len(base) >= n {
		all = base
	}
	return string(all[:begin]) + "…" + string(all[len(all)-(n-1-begin):])
}
