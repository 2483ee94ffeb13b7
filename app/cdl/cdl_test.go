package cdl

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

func sample(name string) string { return filepath.Join("testdata", name) }

func grade(slope, offset, power [3]float64, saturation float64) colour.CDL {
	return colour.CDL{Slope: slope, Offset: offset, Power: power, Saturation: saturation}
}

var (
	ones   = [3]float64{1, 1, 1}
	zeros  = [3]float64{}
	golden = grade([3]float64{1.2, 1.1, 1}, zeros, [3]float64{0.9, 1, 1.2}, 1)
	dull   = grade(ones, zeros, ones, 0)
)

// The sample files of OpenColorIO: all three forms, descriptions, unknown
// elements, ids that are empty or missing, nodes that are missing, other names,
// numbers written in every way. What they hold is read off them by eye.
func TestReadsCDLSamples(t *testing.T) {
	foo := func(saturation float64) colour.CDL {
		return grade([3]float64{1.1, 1.2, 1.3}, [3]float64{2.1, 2.2, 2.3}, [3]float64{3.1, 3.2, 3.3}, saturation)
	}
	look := grade([3]float64{1, 1, 0.9}, [3]float64{-0.03, -0.02, 0}, [3]float64{1.25, 1, 1}, 1.7)
	pastel := grade([3]float64{0.9, 0.7, 0.6}, [3]float64{0.1, 0.1, 0.1}, [3]float64{0.9, 0.9, 0.9}, 0.7)
	for name, want := range map[string][]Correction{
		"cdl_test1.cc":        {{"foo", "this is a description", foo(0.7)}},
		"cdl_test2.cc":        {{"cc0001", "Example look\nboosting sat", look}},
		"cdl_test_ASC_SAT.cc": {{"foo", "this is a description", foo(0.42)}},
		"cdl_test_ASC_SOP.cc": {{"foo", "this is a description", foo(0.42)}},
		"cdl_test_SATNode.cc": {{"foo", "this is a description", foo(0.42)}},
		"cdl_test1.ccc": {
			{"cc0001", "CC-level description 1a\nCC-level description 1b\nExample look\nFor scenes 1 and 2\nboosting sat", look},
			{"cc0002", "CC-level description 2a\nCC-level description 2b\npastel\nanother example\ndropping sat", pastel},
			{"cc0003", "CC-level description 3\ngolden\nno sat change\nsat==1", golden},
			{"", "", grade([3]float64{4, 5, 6}, zeros, [3]float64{0.9, 1, 1.2}, 1)},
			{"", "", dull},
		},
		"cdl_test1.cdl": {
			{"cc0001", "CC-level description 1\nExample look\nFor scenes 1 and 2\nboosting sat", look},
			{"cc0002", "CC-level description 2\npastel\nanother example\ndropping sat", pastel},
			{"cc0003", "CC-level description 3\ngolden\nno sat change\nsat==1", golden},
			{"", "", golden},
			{"", "", dull},
		},
	} {
		got, err := Read(sample(name))
		require.NoError(t, err, name)
		assert.Equal(t, want, got, name)
	}
}

func TestWritesCDLsThatReadBackEqual(t *testing.T) {
	all := []Correction{
		{"skin", "warmer\nand lighter <a bit> & \"quoted\"", grade([3]float64{1.0 / 3, 1e-9, 64}, [3]float64{-0.1, 1e-7, 3}, [3]float64{0.01, 1, 1.7320508075688772}, 1.2)},
		{"ünïcode & <id>", "", dull},
		{"", "", golden},
	}
	for _, tt := range []struct {
		name string
		all  []Correction
	}{{"one.cc", all[:1]}, {"two.CC", all[2:]}, {"all.ccc", all}, {"all.cdl", all}, {"one.cdl", all[1:2]}} {
		path := filepath.Join(t.TempDir(), tt.name)
		require.NoError(t, Write(path, tt.all), tt.name)
		got, err := Read(path)
		require.NoError(t, err, tt.name)
		assert.Equal(t, tt.all, got, tt.name)
	}
}

// The names of the elements are the standard's: see the samples.
func TestWrittenCDL(t *testing.T) {
	p, err := textOf(".cdl", []Correction{{"skin", "warm", grade([3]float64{1.1, 1, 0.9}, zeros, ones, 1.2)}})
	require.NoError(t, err)
	assert.Equal(t, `<?xml version="1.0" encoding="UTF-8"?>
<ColorDecisionList xmlns="urn:ASC:CDL:v1.01">
  <ColorDecision>
    <ColorCorrection id="skin">
      <Description>warm</Description>
      <SOPNode>
        <Slope>1.1 1 0.9</Slope>
        <Offset>0 0 0</Offset>
        <Power>1 1 1</Power>
      </SOPNode>
      <SatNode>
        <Saturation>1.2</Saturation>
      </SatNode>
    </ColorCorrection>
  </ColorDecision>
</ColorDecisionList>
`, p.String())
}

func TestReadsAnyNamespaceAndPassesOverTheUnknown(t *testing.T) {
	for _, namespace := range []string{"", `xmlns="urn:ASC:CDL:v1.01"`, `xmlns="urn:ASC:CDL:v1.2"`} {
		all, err := read(strings.NewReader("\uFEFF" + `<?xml version="1.0" encoding="utf-8"?><!-- dive 3 -->
<ColorCorrectionCollection ` + namespace + `><Shot><ColorCorrection id="not one of these"/></Shot>
<ColorCorrection id="a"><Lens>28</Lens><SOPNode><Slope>2
 2	2</Slope><Curve><Slope>9</Slope></Curve></SOPNode></ColorCorrection></ColorCorrectionCollection>`))
		require.NoError(t, err, namespace)
		assert.Equal(t, []Correction{{"a", "", grade([3]float64{2, 2, 2}, zeros, ones, 1)}}, all)
	}
}

func TestCDLFilesThatAreWrong(t *testing.T) {
	cc := func(inner string) string { return "<ColorCorrection>\n" + inner + "</ColorCorrection>" }
	for text, want := range map[string]string{
		"":                     "the file is empty",
		"\x00\x01":             "line 1: is not sound XML: illegal character code U+0000",
		"slope 1":              "line 1: has no element, want ColorCorrection, ColorCorrectionCollection or ColorDecisionList",
		"<Look/>":              `line 1: is "Look", want ColorCorrection, ColorCorrectionCollection or ColorDecisionList`,
		"<ColorDecisionList/>": "holds no ColorCorrection",
		"<ColorCorrection>\n":  "line 2: is not sound XML: unexpected EOF",
		cc("") + cc(""):        `line 2: has a second root element, "ColorCorrection", want one`,
		cc("<a>\n</b>"):        "line 3: is not sound XML: element <a> closed by </b>",
		`<?xml version="1.0" encoding="latin1"?>` + cc(""):                `line 1: opening charset "latin1": text is in "latin1", want UTF-8`,
		cc("<SOPNode><Slope>1 2</Slope></SOPNode>"):                       `line 2: Slope is text "1 2", want three numbers`,
		cc("<SOPNode><Offset>1 x 2</Offset></SOPNode>"):                   `line 2: Offset is text "x", want a number`,
		cc("<SOPNode><Offset>1 0x1p3 2</Offset></SOPNode>"):               `line 2: Offset is text "0x1p3", want a number`,
		cc("<SOPNode><Offset>1 NaN 2</Offset></SOPNode>"):                 `line 2: Offset is text "NaN", want a number`,
		cc("<SOPNode><Offset>1 1e999 2</Offset></SOPNode>"):               `line 2: Offset is text "1e999", want a number`,
		cc("<SOPNode><Slope>1 -1 2</Slope></SOPNode>"):                    `line 2: Slope is text "-1", want 0 or more`,
		cc("<SOPNode>\n<Power>1 1 0</Power></SOPNode>"):                   `line 3: Power is text "0", want more than 0`,
		cc("<SatNode><Saturation>-1</Saturation></SatNode>"):              `line 2: Saturation is text "-1", want 0 or more`,
		cc("<SatNode><Saturation/></SatNode>"):                            `line 2: Saturation is text "", want one number`,
		cc("<SatNode/><ASC_SAT/>"):                                        "line 2: SatNode stands twice in one ColorCorrection",
		cc("<SOPNode><Slope>1 1 1</Slope><Slope>1 1 1</Slope></SOPNode>"): "line 2: Slope stands twice in one ColorCorrection",
	} {
		_, err := read(strings.NewReader(text))
		assert.EqualError(t, err, want, text)
	}
	path := filepath.Join(t.TempDir(), "dive.cc")
	_, err := Read(path)
	assert.ErrorIs(t, err, os.ErrNotExist)
	require.NoError(t, os.WriteFile(path, []byte("<Look/>"), 0o666))
	_, err = Read(path)
	assert.EqualError(t, err, "cdl: "+path+`: line 1: is "Look", want ColorCorrection, ColorCorrectionCollection or ColorDecisionList`)
	_, err = read(bytes.NewReader(make([]byte, maxFile+1)))
	assert.EqualError(t, err, "file is larger than 16 MiB")
}

func TestCDLsThatCannotBeWritten(t *testing.T) {
	one := []Correction{{ID: "a", CDL: golden}}
	negative := golden
	negative.Saturation = -1
	for _, tt := range []struct {
		name string
		all  []Correction
		want string
	}{
		{"a.xml", one, `its name ends in ".xml", want .cc, .ccc, .cdl`},
		{"a.ccc", nil, "there are no corrections, want one or more"},
		{"a.cc", append(one, one...), "a .cc holds one correction, there are 2: name it .ccc or .cdl"},
		{"a.cc", []Correction{{CDL: negative}}, "colour: cdl: saturation is -1, want 0 or more"},
		{"a.cc", []Correction{{ID: "a\x01", CDL: golden}}, `text "a\x01" cannot stand in XML`},
	} {
		path := filepath.Join(t.TempDir(), tt.name)
		assert.EqualError(t, Write(path, tt.all), "cdl: "+path+" is not written: "+tt.want)
		assert.NoFileExists(t, path)
	}
}

func TestChooseCDL(t *testing.T) {
	all, err := Read(sample("cdl_test1.ccc"))
	require.NoError(t, err)
	for which, want := range map[string]int{"cc0002": 1, "3": 2, "4": 3, "5": 4} {
		c, err := Choose("a.ccc", all, which)
		require.NoError(t, err)
		assert.Equal(t, all[want], c, which)
	}
	const names = `1 ("cc0001"), 2 ("cc0002"), 3 ("cc0003"), 4, 5`
	for which, want := range map[string]string{
		"":     "cdl: a.ccc holds 5 corrections, want the id or the number of one: " + names,
		"skin": `cdl: a.ccc holds no correction "skin", want one of ` + names,
		"0":    `cdl: a.ccc holds no correction "0", want one of ` + names,
		"6":    `cdl: a.ccc holds no correction "6", want one of ` + names,
	} {
		_, err := Choose("a.ccc", all, which)
		assert.EqualError(t, err, want)
	}
	c, err := Choose("a.cc", all[1:2], "")
	require.NoError(t, err)
	assert.Equal(t, all[1], c)
	numbered := []Correction{{ID: "2"}, {ID: "b"}}
	c, err = Choose("a.ccc", numbered, "2")
	require.NoError(t, err)
	assert.Equal(t, numbered[0], c, "an id goes before a number")
	assert.Contains(t, namesOf(make([]Correction, 23)), "20, and 3 more")
}

func FuzzReadCDL(f *testing.F) {
	for _, name := range []string{"cdl_test1.cc", "cdl_test1.ccc", "cdl_test1.cdl", "cdl_test_ASC_SOP.cc"} {
		text, err := os.ReadFile(sample(name))
		require.NoError(f, err)
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		all, err := read(bytes.NewReader(text))
		if err != nil {
			return
		}
		for _, c := range all {
			require.NoError(t, c.CDL.Check())
		}
		written, err := textOf(".cdl", all)
		require.NoError(t, err)
		again, err := read(strings.NewReader(written.String()))
		require.NoError(t, err)
		for i, c := range again {
			require.Equal(t, all[i].CDL, c.CDL)
			require.Equal(t, all[i].ID, c.ID)
		}
	})
}
