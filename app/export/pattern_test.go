package export

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestPatternFormat(t *testing.T) {
	dive := Fields{Clip: "transect", Matte: "skin", Frame: 42}
	for _, tt := range []struct {
		pattern string
		fields  Fields
		want    string
	}{
		{DefaultPattern, dive, "skin/transect-skin.000042.png"},
		{DefaultPattern, Fields{Clip: "transect", Matte: "skin", Frame: 12345678}, "skin/transect-skin.12345678.png"},
		{"{frame}.png", dive, "42.png"},
		{"v{version:2}/{frame}.png", Fields{Version: 3, Frame: 7}, "v03/7.png"},
		{"v{version}/{frame}.png", dive, "v1/42.png"},
		{"{frame:1}.png", Fields{Frame: 0}, "0.png"},
		{"{frame:12}.png", dive, "000000000042.png"},
		{"deep/{clip}/{matte}_{frame:4}.png", dive, "deep/transect/skin_0042.png"},
		{"still.png", Fields{}, "still.png"},
		{"Meereshöhle {matte}.png", dive, "Meereshöhle skin.png"},
		// Names cannot lead elsewhere, nor be what some system refuses.
		{DefaultPattern, Fields{Clip: "a/b", Matte: "../../etc", Frame: 1}, "-..-etc/a-b--..-etc.000001.png"},
		{"{matte}.png", Fields{Matte: `c:\x`}, "c--x.png"},
		{"{matte}.png", Fields{Matte: "con"}, "_con.png"},
		{"{matte}.png", Fields{Matte: "what? \"this\"\n"}, "what- -this--.png"},
		{"{matte}.png", Fields{Matte: ".."}, "unnamed.png"},
	} {
		p, err := ParsePattern(tt.pattern)
		require.NoError(t, err)
		got, err := p.Format(tt.fields)
		require.NoError(t, err, tt.pattern)
		assert.Equal(t, tt.want, got)
		assert.Equal(t, tt.pattern, p.String())
	}
}

func TestParsePatternErrors(t *testing.T) {
	for pattern, want := range map[string]string{
		"":                                "is empty",
		"  ":                              "is empty",
		"{matte}":                         "does not end in .png",
		"{matte}.jpg":                     "does not end in .png",
		"{shot}.png":                      "has {shot}, want {clip}, {matte}, {version}, {frame} or {frame:1} to {frame:12}",
		"{frame:0}.png":                   "has {frame:0}, want",
		"{frame:13}.png":                  "has {frame:13}, want",
		"{frame:}.png":                    "has {frame:}, want",
		"{frame:-1}.png":                  "has {frame:-1}, want",
		"{clip:3}.png":                    "has {clip:3}, want",
		"{}.png":                          "has {}, want",
		"{frame.png":                      "has a { without its partner",
		"frame}.png":                      "has a } without its partner",
		"{{frame}}.png":                   "has a { without its partner",
		"/{frame}.png":                    "begins with a slash",
		"../{frame}.png":                  `makes the name "..", which begins or ends with a dot or space`,
		"a/../{frame}.png":                `makes the name ".."`,
		"a//{frame}.png":                  "makes a folder without a name",
		"./{frame}.png":                   `makes the name "."`,
		".{frame}.png":                    `makes the name ".1.png"`,
		"a /{frame}.png":                  `makes the name "a "`,
		`a\{frame}.png`:                   `has the character '\\'`,
		"c:{frame}.png":                   "has the character ':'",
		"{frame}*.png":                    "has the character '*'",
		"{frame}\x00.png":                 `has the character '\x00'`,
		"{frame}\n.png":                   `has the character '\n'`,
		"nul/{frame}.png":                 `makes the name "nul", which some systems take for a device`,
		"COM{frame}.png":                  `makes the name "COM1.png", which some systems take for a device`,
		"{frame}.PNG":                     "does not end in .png",
		strings.Repeat("a", 252) + ".png": "of 256 bytes, want at most 255",
	} {
		_, err := ParsePattern(pattern)
		require.Error(t, err, pattern)
		assert.Contains(t, err.Error(), "export: name pattern")
		assert.Contains(t, err.Error(), want)
	}
}

func TestPatternFormatErrors(t *testing.T) {
	p, err := ParsePattern(DefaultPattern)
	require.NoError(t, err)
	_, err = p.Format(Fields{Matte: "skin", Frame: 1})
	assert.EqualError(t, err, `export: name pattern "{matte}/{clip}-{matte}.{frame:6}.png" wants the name of a clip, which is empty`)
	_, err = p.Format(Fields{Clip: "transect", Frame: 1})
	assert.ErrorContains(t, err, "wants the name of a matte, which is empty")
	_, err = p.Format(Fields{Clip: "transect", Matte: "skin", Frame: -3})
	assert.EqualError(t, err, "export: frame -3 has no place in a file name, want 0 or more")

	// What only some names bring about.
	p, err = ParsePattern("{matte}{frame}.png")
	require.NoError(t, err)
	_, err = p.Format(Fields{Matte: "lpt", Frame: 9})
	assert.ErrorContains(t, err, `makes the name "lpt9.png", which some systems take for a device`)
	p, err = ParsePattern(strings.Repeat("{matte}", 4) + ".png")
	require.NoError(t, err)
	_, err = p.Format(Fields{Matte: strings.Repeat("ä", 40)})
	assert.ErrorContains(t, err, "of 324 bytes, want at most 255")
}

func TestPatternCheck(t *testing.T) {
	p, err := ParsePattern("{clip}.png")
	require.NoError(t, err)
	assert.NoError(t, p.Check(1, 1))
	assert.EqualError(t, p.Check(2, 1), `export: name pattern "{clip}.png" lacks {matte}: 2 mattes would share their files`)
	assert.EqualError(t, p.Check(1, 72), `export: name pattern "{clip}.png" lacks {frame}: 72 frames would share one file`)
	p, err = ParsePattern(DefaultPattern)
	require.NoError(t, err)
	assert.NoError(t, p.Check(5, 10000))
}

// Whatever the pattern and the names, a path that comes out stays within the
// output folder and is one that every system takes.
func FuzzPattern(f *testing.F) {
	f.Add(DefaultPattern, "transect", "skin", 1)
	f.Add("{matte}{frame}.png", "a", "com", 1)
	f.Add("{clip}/../{matte}.png", "..", "/", 7)
	f.Fuzz(func(t *testing.T, text, clip, matte string, frame int) {
		p, err := ParsePattern(text)
		if err != nil {
			return
		}
		name, err := p.Format(Fields{Clip: clip, Matte: matte, Frame: frame})
		if err != nil {
			return
		}
		require.True(t, strings.HasSuffix(name, ".png"), name)
		for element := range strings.SplitSeq(name, "/") {
			require.NotEmpty(t, element, name)
			require.LessOrEqual(t, len(element), 255, name)
			require.False(t, strings.ContainsAny(element, "<>:\"\\|?*\x00"), name)
			require.Equal(t, element, strings.Trim(element, ". "), name)
		}
	})
}
