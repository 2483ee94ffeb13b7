package clf

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"halocline/colour"
)

func TestFilesThatAreWrong(t *testing.T) {
	list := func(nodes string) string {
		return `<ProcessList id="a" compCLFversion="3.0">` + "\n" + nodes + "\n</ProcessList>"
	}
	node := func(name, more, inner string) string {
		return list("<" + name + ` inBitDepth="32f" outBitDepth="32f" ` + more + ">" + inner + "</" + name + ">")
	}
	array := func(dim, numbers string) string { return `<Array dim="` + dim + `">` + numbers + "</Array>" }
	const identity = "1 0 0 0 1 0 0 0 1"
	for text, want := range map[string]string{
		"":                   "the file is empty",
		"slope 1":            "line 1: has no element, want ProcessList",
		"<Look/>":            `line 1: is "Look", want ProcessList`,
		"<ProcessList>\n":    "line 2: is not sound XML: unexpected EOF",
		"<ProcessList/>":     "line 1: ProcessList has no id",
		list("") + "<Look/>": `line 3: has a second root element, "Look", want one`,
		`<?xml version="1.0" encoding="latin1"?>` + list(""): `line 1: opening charset "latin1": text is in "latin1", want UTF-8`,
		`<ProcessList id="a"/>`:                              "line 1: ProcessList has no compCLFversion",
		`<ProcessList id="a" compCLFversion="3.1"/>`:         `line 1: compCLFversion is "3.1", want 3.0 or less`,
		`<ProcessList id="a" compCLFversion="3" kind="x"/>`:  `line 1: ProcessList has an attribute "kind", want none but id, name, compCLFversion, inverseOf`,
		list(""):                          "line 1: ProcessList holds no node",
		list("<Gamma/>"):                  `line 2: "Gamma" is no node of version 3.0`,
		list("<Matrix/>"):                 "line 2: Matrix has no inBitDepth",
		list(`<Matrix inBitDepth="9i"/>`): `line 2: inBitDepth is "9i", want 8i, 10i, 12i, 16i, 16f or 32f`,
		node("Matrix", "", ""):            "line 2: Matrix has no Array",
		node("Matrix", `bypass="true"`, array("3 3", identity)):                                    `line 2: Matrix has an attribute "bypass", want none but id, name, inBitDepth, outBitDepth`,
		node("Matrix", "", array("3 3", identity)+array("3 3", identity)):                          "line 2: Array stands twice in one Matrix",
		node("Matrix", "", array("3 3", "1 0 0\n0 1 0\n0 x 1")):                                    `line 4: Array is text "x", want a number`,
		node("Matrix", "", array("3 3", "1 0 0 <!--\n\n--> 0 1 0\n0 NaN 1")):                       `line 5: Array is text "NaN", want a number`,
		node("Matrix", "", array("3 3", identity+"\n1")):                                           "line 3: Array has more than 9 numbers",
		node("Matrix", "", array("3 3", "1 0")):                                                    "line 2: Array has 2 numbers, want 9",
		node("Matrix", "", array("4 4", identity)):                                                 "line 2: dim of a Matrix is [4 4], want 3 3 or 3 4",
		node("Matrix", "", array("3 -3", identity)):                                                `line 2: dim is "3 -3", want whole numbers from 1 to 65536`,
		node("Matrix", "", array("3 3", identity)+"<Gamut/>"):                                      `line 2: Matrix has an element "Gamut", want none but Description, Array`,
		node("Range", "", ""):                                                                      "line 2: Range has no values, want a least, a largest or both",
		node("Range", "", "<minInValue>0</minInValue>"):                                            "line 2: Range has one of minInValue and minOutValue, want both or none",
		node("Range", "", "<minInValue>0</minInValue><minOutValue>1</minOutValue>"):                "line 2: Range has one end, whose values mean 0 in and 1 out, want the same",
		node("Range", `style="noClamp"`, "<maxInValue>1</maxInValue><maxOutValue>1</maxOutValue>"): "line 2: Range has one end and style noClamp, want two ends or a clamp",
		node("Range", "", "<minInValue>1</minInValue><minOutValue>0</minOutValue><maxInValue>1</maxInValue><maxOutValue>1</maxOutValue>"): "line 2: maxInValue is not more than minInValue",
		node("Range", "", "<minInValue>0</minInValue><minOutValue>2</minOutValue><maxInValue>1</maxInValue><maxOutValue>1</maxOutValue>"): "line 2: maxOutValue is less than minOutValue",
		node("Range", `style="soft"`, ""):                                                                                                `line 2: style is "soft", want one of Clamp, noClamp`,
		node("LUT1D", `interpolation="cubic"`, array("2 1", "0 1")):                                                                      `line 2: interpolation is "cubic", want one of linear`,
		node("LUT1D", `halfDomain="false"`, array("2 1", "0 1")):                                                                         `line 2: halfDomain is "false", want true`,
		node("LUT1D", `halfDomain="true"`, array("2 1", "0 1")):                                                                          "line 2: a LUT1D with halfDomain has 2 entries, want 65536",
		node("LUT1D", `rawHalfs="true"`, array("2 1", "0 1.5")):                                                                          `line 2: Array is text "1.5", want a whole number from 0 to 65535`,
		node("LUT1D", "", array("65537 1", "0 1")):                                                                                       `line 2: dim is "65537 1", want whole numbers from 1 to 65536`,
		node("LUT1D", "", array("2 2", "0 1")):                                                                                           "line 2: dim of a LUT1D is [2 2], want a length and 1 or 3",
		node("LUT1D", "", array("1 1", "0")):                                                                                             "line 2: a LUT1D has 1 entry, want 2 or more",
		node("LUT3D", "", array("2 2 3 3", "0")):                                                                                         "line 2: dim of a LUT3D is [2 2 3 3], want three times the same and 3",
		node("LUT3D", "", array("129 129 129 3", "0")):                                                                                   "line 2: a LUT3D has sides of 129, want 2 to 128",
		node("LUT3D", "", array("128 128 128 3", "0")):                                                                                   "line 2: Array has 1 numbers, want 6291456",
		node("Exponent", "", ""):                                                                                                         "line 2: Exponent has no style, want one of " + strings.Join(exponentStyles, ", "),
		node("Exponent", `style="basicFwd"`, ""):                                                                                         "line 2: Exponent has no ExponentParams",
		node("Exponent", `style="basicFwd"`, "<ExponentParams/>"):                                                                        "line 2: ExponentParams has no exponent",
		node("Exponent", `style="basicFwd"`, `<ExponentParams exponent="0"/>`):                                                           "line 2: exponent is 0, want more than 0",
		node("Exponent", `style="basicFwd"`, `<ExponentParams exponent="x"/>`):                                                           `line 2: exponent is text "x", want a number`,
		node("Exponent", `style="basicFwd"`, `<ExponentParams exponent="2" offset="0"/>`):                                                "line 2: ExponentParams has an offset, want none for style basicFwd",
		node("Exponent", `style="monCurveFwd"`, `<ExponentParams exponent="2"/>`):                                                        "line 2: ExponentParams has no offset, want one for style monCurveFwd",
		node("Exponent", `style="monCurveFwd"`, `<ExponentParams exponent="11" offset="0"/>`):                                            "line 2: exponent is 11, want 1 to 10",
		node("Exponent", `style="monCurveFwd"`, `<ExponentParams exponent="2" offset="1"/>`):                                             "line 2: offset is 1, want 0 to 0.9",
		node("Exponent", `style="basicFwd"`, `<ExponentParams exponent="2" channel="A"/>`):                                               `line 2: channel is "A", want R, G or B`,
		node("Exponent", `style="basicFwd"`, `<ExponentParams exponent="2"/><ExponentParams exponent="2" channel="G"/>`):                 "line 2: ExponentParams stands twice for one channel",
		node("Log", `style="cameraLinToLog"`, `<LogParams/>`):                                                                            "line 2: LogParams has no linSideBreak, want one for style cameraLinToLog",
		node("Log", `style="linToLog"`, `<LogParams linSideBreak="1"/>`):                                                                 "line 2: LogParams has a linSideBreak or a linearSlope, want none for style linToLog",
		node("Log", `style="linToLog"`, `<LogParams base="1"/>`):                                                                         "line 2: base is 1, want more than 0, and not 1",
		node("Log", `style="linToLog"`, `<LogParams linSideSlope="0"/>`):                                                                 "line 2: a slope is 0, want another number",
		node("Log", `style="cameraLogToLin"`, `<LogParams linSideBreak="-1"/>`):                                                          "line 2: linSideBreak is -1, where the logarithm has no value",
		node("Log", `style="linToLog"`, `<LogParams base="2" channel="R"/><LogParams base="10" channel="G"/>`):                           "line 2: base is 10, want 2 as for the other channels",
		node("Log", `style="log2"`, `<LogParams/>`):                                                                                      `line 2: Log has an element "LogParams", want none but Description`,
		node("ASC_CDL", `style="v1"`, ""):                                                                                                `line 2: style is "v1", want one of Fwd, Rev, FwdNoClamp, RevNoClamp`,
		node("ASC_CDL", "", "<SOPNode><Slope>1 1</Slope></SOPNode>"):                                                                     "line 2: ",
		node("ASC_CDL", "", "<SatNode><Saturation>-1</Saturation></SatNode>"):                                                            "line 2: saturation is -1, want 0 or more",
		node("ASC_CDL", `style="Rev"`, "<SatNode><Saturation>0</Saturation></SatNode>"):                                                  "line 2: a slope or the saturation is 0, which style Rev cannot undo",
		list(`<Log inBitDepth="32f" outBitDepth="10i" style="log2"/>` + "\n" + `<Log inBitDepth="12i" outBitDepth="32f" style="log2"/>`): `line 3: inBitDepth is "12i", want "10i", the outBitDepth of the node before`,
		list(strings.Repeat("<Info>", 8)):                                                                                                "line 2: Info lies in 8 others, want 7 at the most",
		list(strings.Repeat("<Info/>\n", 2001)):                                                                                          "line 2001: has more than 2000 elements",
	} {
		_, err := Parse(strings.NewReader(text))
		if strings.HasSuffix(want, ": ") { // which of several is missing first is left open
			assert.ErrorContains(t, err, want, text)
			continue
		}
		assert.EqualError(t, err, want, text)
	}
	_, err := Parse(bytes.NewReader(make([]byte, maxFile+1)))
	assert.EqualError(t, err, "file is larger than 64 MiB")
}

func TestReadNamesTheFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "dive.clf")
	_, err := Read(path)
	assert.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte("<Look/>"), 0o666))
	_, err = Read(path)
	assert.EqualError(t, err, "clf: "+path+`: line 1: is "Look", want ProcessList`)
	_, err = Read(filepath.Dir(path))
	assert.ErrorContains(t, err, "want a file of the Common LUT Format")
}

func TestListsThatCannotBeWritten(t *testing.T) {
	folder := t.TempDir()
	for name, l := range map[string]*List{
		"dive.xml":  baseList(colour.Neutral(), false),
		"empty.clf": {ID: "a"},
		"cube.clf":  {ID: "a", Steps: []Step{{"", LUT3D{}}}},
	} {
		path := filepath.Join(folder, name)
		assert.ErrorContains(t, Write(path, l), "clf: "+path+" is not written: ")
		assert.NoFileExists(t, path)
	}
}

// Channels that have numbers of their own are written and read so; one that is not named
// stays as it is.
func TestNumbersOfOneChannel(t *testing.T) {
	l := &List{ID: "a", Steps: []Step{
		{"", Exponent{basicFwd, [3]ExponentParams{{2, 0}, {3, 0}, {4, 0}}}},
		{"", Log{cameraLinToLog, [3]LogParams{{2, 1, 0, 1, 0, 0.5, 0}, {2, 2, 0, 1, 0, 0.5, 1}, {2, 1, 1, 1, 0, 0.5, 0}}}},
	}}
	text, err := l.Text()
	require.NoError(t, err)
	back, err := Parse(bytes.NewReader(text))
	require.NoError(t, err)
	assert.Equal(t, l, back)

	red := parsed(t, `<Exponent inBitDepth="32f" outBitDepth="32f" style="basicMirrorFwd"><ExponentParams exponent="2" channel="R"/></Exponent>`)
	assert.Equal(t, colour.RGB{R: 0.25, G: 0.5, B: -0.5}, red.Colour(colour.RGB{R: 0.5, G: 0.5, B: -0.5}))
}

func FuzzParse(f *testing.F) {
	for _, b := range []bool{false, true} {
		base := colour.Neutral()
		base.Exposure, base.Contrast = 1, 1.2
		if b {
			base.Input = colour.ACEScct
		}
		l := baseList(base, false)
		l.ID = "a"
		text, err := l.Text()
		require.NoError(f, err)
		f.Add(text)
	}
	f.Add([]byte(`<ProcessList id="a" compCLFversion="2"><LUT1D inBitDepth="8i" outBitDepth="8i"><Array dim="2 1">0 255</Array></LUT1D><ASC_CDL inBitDepth="8i" outBitDepth="8i"/></ProcessList>`))
	f.Fuzz(func(t *testing.T, text []byte) {
		l, err := Parse(bytes.NewReader(text))
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		l.Colour(colour.RGB{R: 0.2, G: -1, B: 3})
		written, err := l.Text()
		if err != nil || l.ID == "" {
			return
		}
		_, err = Parse(bytes.NewReader(written))
		require.NoError(t, err, "%s", written)
	})
}
