package study

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/app/regular"
	"halocline/selection"
)

func TestSafeName(t *testing.T) {
	for name, want := range map[string]string{
		"skin":                   "skin",
		"sand & seagrass":        "sand & seagrass",
		"a/b\\c:d":               "a-b-c-d",
		"../../etc/passwd":       "-..-etc-passwd",
		" . ":                    "unnamed",
		"":                       "unnamed",
		"haze.":                  "haze",
		"CON":                    "_CON",
		"con.txt":                "_con.txt",
		"Com1":                   "_Com1",
		"com10":                  "com10",
		"comet":                  "comet",
		"wasser\x00\n":           "wasser--",
		"Haut ähnlich":           "Haut ähnlich",
		"\xff":                   "-",
		strings.Repeat("ä", 100): strings.Repeat("ä", 40),
	} {
		assert.Equal(t, want, SafeName(name), "%q", name)
	}
}

// The reserved names and characters are those of Microsoft's "Naming Files,
// Paths, and Namespaces" (from memory).
func FuzzSafeName(f *testing.F) {
	for _, s := range []string{"skin", "a/b", "NUL.tar", "lpt9 ", "...", strings.Repeat("\u20ac", 60), "x\xffy", "COM\u00b9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, name string) {
		safe := SafeName(name)
		require.NotEmpty(t, safe)
		require.LessOrEqual(t, len(safe), maxSafeName)
		require.True(t, utf8.ValidString(safe))
		require.False(t, strings.ContainsAny(safe, "<>:\"/\\|?*\x00\n"))
		require.Equal(t, safe, strings.Trim(safe, ". "))
		require.False(t, regular.IsDeviceName(safe))
		require.Equal(t, safe, SafeName(safe))
	})
}

func TestFoldIsEqualFold(t *testing.T) {
	words := []string{"skin", "SKIN", "Skin", "sKin", "\u212a", "k", "K", "straße", "STRASSE", "σ", "ς", "Σ", ""}
	for _, a := range words {
		for _, b := range words {
			assert.Equal(t, strings.EqualFold(a, b), Fold(a) == Fold(b), "%q %q", a, b)
		}
	}
}

func TestNamesStayUnique(t *testing.T) {
	s := transect(t)
	assert.Equal(t, "Skin 2", s.AddMatte("Skin", selection.HSL).Name)
	assert.Equal(t, "skin 3", s.AddMatte("skin", selection.HSL).Name)
	assert.Equal(t, "a/b", s.AddMatte("a/b", selection.HSL).Name)
	assert.Equal(t, "a:b 2", s.AddMatte("a:b", selection.HSL).Name, "the files would be the same")
	long := strings.Repeat("long ", 18)
	s.AddMatte(long, selection.HSL)
	assert.NotEqual(t, long, s.AddMatte(long, selection.HSL).Name)
	m := &s.Mattes[0]
	assert.Equal(t, "TAPE 2", s.AddMask(m, "TAPE", Keep, square(1, 0, 0, 9)).Name)
	assert.Equal(t, "Soft 2", s.KeepProof(m, "Soft").Name)
	require.NoError(t, s.Validate())
}
