package study

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"halocline/app/regular"
)

// maxSafeName is the longest file name part in bytes. File systems allow 255;
// the clip's name, a frame number and two endings must fit beside it.
const maxSafeName = 80

// SafeName turns a name into a part of a file name that every common system
// accepts: no separators, reserved or control characters, no dots or spaces at
// the ends, none of the reserved device names, at most 80 bytes. It is never empty, and
// the safe name of a safe name is itself.
func SafeName(name string) string {
	safe := strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) || strings.ContainsRune(`<>:"/\|?*`, r) {
			return '-'
		}
		return r
	}, name)
	safe = strings.Trim(safe, ". ")
	if regular.IsDeviceName(safe) {
		safe = "_" + safe
	}
	safe = cut(safe, maxSafeName)
	if safe == "" {
		return "unnamed"
	}
	return safe
}

// cut shortens s to at most n bytes, at the end of a character.
func cut(s string, n int) string {
	if len(s) <= n {
		return s
	}
	for !utf8.RuneStart(s[n]) {
		n--
	}
	return strings.TrimRight(s[:n], ". ")
}

// Fold returns s such that two strings that differ in case alone fold to one.
func Fold(s string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for next := unicode.SimpleFold(r); next != r; next = unicode.SimpleFold(next) {
			least = min(least, next)
		}
		return least
	}, s)
}

// freeName returns name, or name with the first number from 2 on that is free.
// A long name is cut first, so that its number stays in its file name.
func freeName(name string, taken func(string) bool) string {
	free := name
	for n := 2; taken(free); n++ {
		free = fmt.Sprintf("%s %d", cut(name, maxSafeName-10), n)
	}
	return free
}
