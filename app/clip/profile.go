package clip

import (
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"unicode/utf16"
)

// profileLimit is the longest profile or EXIF block that is looked at, in
// bytes. Profiles with large tables are a few megabytes; only their name is wanted.
const profileLimit = 4 << 20

// colourMarks are what a file says of the meaning of its numbers.
type colourMarks struct {
	icc          []byte    // a profile; nil if there is none, empty if it cannot be read
	cicp         []byte    // ITU-T H.273: primaries, transfer, matrix, full range
	srgb         bool      // PNG's sRGB chunk
	gamma        float64   // PNG's gAMA, 0 if there is none
	chroma       []float64 // PNG's cHRM: x, y of white, red, green, blue
	uncalibrated bool      // EXIF says the space is not sRGB
}

// What PNG gives as the gAMA and cHRM of sRGB (third edition, 11.3.2.5), and
// how far a file may be off and still mean it: chroma is written with few
// digits, gamma also as 1/2.2 of other roundings.
const (
	srgbGamma       = 0.45455
	gammaTolerance  = 0.005
	chromaTolerance = 0.005
)

var srgbChroma = []float64{0.3127, 0.3290, 0.64, 0.33, 0.30, 0.60, 0.15, 0.06}

// describe names the colour space by the strongest mark (PNG: cICP before
// iCCP before sRGB before gAMA and cHRM) and says what is not applied.
func (m colourMarks) describe() (profile string, gamma float64, notices []string) {
	gamma = m.gamma
	switch {
	case m.cicp != nil:
		profile, notices = describeCICP(m.cicp)
	case m.icc != nil:
		profile, notices = describeICC(m.icc)
	case m.srgb:
		profile = "sRGB"
	case m.gamma != 0 || m.chroma != nil:
		profile, notices = m.describeGamma()
	case m.uncalibrated:
		profile = "not sRGB"
		notices = []string{"The camera says that the colours are not sRGB, but not what they are: they are read as sRGB."}
	}
	return profile, gamma, notices
}

func describeCICP(c []byte) (string, []string) {
	if string(c) == "\x01\x0d\x00\x01" {
		return "sRGB", nil
	}
	name := fmt.Sprintf("primaries %s, transfer %s", codeName(cicpPrimaries, c[0]), codeName(cicpTransfers, c[1]))
	notices := []string{"Colours are marked as " + name + ": that is not applied, they are read as sRGB."}
	if c[3] == 0 {
		notices = append(notices, "Values are marked as limited range: they are read as they are.")
	}
	return name, notices
}

// Code points of ITU-T H.273 that stills and film use; others go by number.
var (
	cicpPrimaries = map[byte]string{1: "BT.709", 5: "BT.601 (625 lines)", 6: "BT.601 (525 lines)", 9: "BT.2020", 11: "DCI P3", 12: "Display P3"}
	cicpTransfers = map[byte]string{1: "BT.709", 8: "linear", 13: "sRGB", 14: "BT.2020", 16: "PQ", 18: "HLG"}
)

func codeName(names map[byte]string, code byte) string {
	if name, ok := names[code]; ok {
		return name
	}
	return fmt.Sprint(code)
}

func describeICC(icc []byte) (string, []string) {
	name := iccDescription(icc)
	switch {
	case name == "":
		return "unnamed", []string{"The file has a colour profile without a readable name: it is not applied, colours are read as sRGB."}
	case strings.Contains(name, "sRGB") && !strings.Contains(strings.ToLower(name), "linear"):
		return "sRGB", nil
	}
	return name, []string{fmt.Sprintf("The colour profile %q is not applied: colours are read as sRGB.", name)}
}

func (m colourMarks) describeGamma() (string, []string) {
	usual := m.gamma == 0 || math.Abs(m.gamma-srgbGamma) <= gammaTolerance
	same := true
	for i, v := range m.chroma {
		same = same && math.Abs(v-srgbChroma[i]) <= chromaTolerance
	}
	if usual && same {
		return "sRGB", nil
	}
	var notices []string
	if !usual {
		notices = append(notices, fmt.Sprintf("The file says gamma %.5g (sRGB is about %.5g): that is not applied, colours are read as sRGB.", m.gamma, srgbGamma))
	}
	if !same {
		notices = append(notices, "The file says other primaries or another white than those of sRGB: they are not applied.")
	}
	return "not sRGB", notices
}

// Layout of an ICC profile (ICC.1:2010, 7.2 and 7.3): a header of 128 bytes, a
// count of tags, then signature, offset and size of each.
const (
	iccTags      = 128
	iccTagBytes  = 12
	iccMostTags  = 200
	iccNameLimit = 80 // characters that still fit a notice
)

// iccDescription returns a profile's description, or "" if there is none to be read.
func iccDescription(icc []byte) string {
	if len(icc) < iccTags+4 {
		return ""
	}
	n := int(min(binary.BigEndian.Uint32(icc[iccTags:]), iccMostTags))
	for i := range n {
		at := iccTags + 4 + i*iccTagBytes
		if at+iccTagBytes > len(icc) {
			break
		}
		if string(icc[at:at+4]) != "desc" {
			continue
		}
		from, size := uint64(binary.BigEndian.Uint32(icc[at+4:])), uint64(binary.BigEndian.Uint32(icc[at+8:]))
		if from+size > uint64(len(icc)) {
			break
		}
		return tidy(iccText(icc[from : from+size]))
	}
	return ""
}

// iccText reads a description as version 2 writes it ('desc', ASCII) or as
// version 4 does ('mluc', UTF-16, the first of its languages).
func iccText(b []byte) string {
	if len(b) < 12 {
		return ""
	}
	switch string(b[:4]) {
	case "desc":
		n := min(uint64(binary.BigEndian.Uint32(b[8:])), uint64(len(b)-12))
		return string(b[12 : 12+n])
	case "mluc":
		if len(b) < 28 || binary.BigEndian.Uint32(b[8:]) == 0 {
			return ""
		}
		n, from := uint64(binary.BigEndian.Uint32(b[20:])), uint64(binary.BigEndian.Uint32(b[24:]))
		if from+n > uint64(len(b)) {
			return ""
		}
		units := make([]uint16, n/2)
		for i := range units {
			units[i] = binary.BigEndian.Uint16(b[from+uint64(2*i):])
		}
		return string(utf16.Decode(units))
	}
	return ""
}

// tidy makes text from a file fit for a line on the screen.
func tidy(s string) string {
	s, _, _ = strings.Cut(s, "\x00")
	runes := []rune(oneLine(strings.TrimSpace(s)))
	return string(runes[:min(len(runes), iccNameLimit)])
}
