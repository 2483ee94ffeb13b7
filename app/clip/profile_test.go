package clip

import (
	"encoding/binary"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func mluc(name string) []byte {
	units := utf16.Encode([]rune(name))
	b := append([]byte("mluc\x00\x00\x00\x00"), 0, 0, 0, 1, 0, 0, 0, 12, 'e', 'n', 'U', 'S')
	b = binary.BigEndian.AppendUint32(b, uint32(2*len(units)))
	b = binary.BigEndian.AppendUint32(b, 28)
	for _, u := range units {
		b = binary.BigEndian.AppendUint16(b, u)
	}
	return b
}

func TestICCDescription(t *testing.T) {
	long := strings.Repeat("x", 500)
	for want, icc := range map[string][]byte{
		"Wide test space":   iccNamed("Wide test space"),
		"Raum für Prüfung":  iccWith(mluc("Raum für Prüfung")),
		long[:iccNameLimit]: iccNamed(long),
		"two?lines":         iccNamed("two\nlines"),
	} {
		assert.Equal(t, want, iccDescription(icc))
	}
	whole := iccNamed("Wide test space")
	for n := range len(whole) {
		assert.NotPanics(t, func() { iccDescription(whole[:n]) })
		for _, v := range []byte{0, 0x7f, 0xff} {
			spoilt := append([]byte{}, whole...)
			spoilt[n] = v
			assert.NotPanics(t, func() { iccDescription(spoilt) })
		}
	}
	u := iccWith(mluc("Wide"))
	for n := range u {
		u[n] ^= 0xff
		assert.NotPanics(t, func() { iccDescription(u) })
		u[n] ^= 0xff
	}
}

func be(values ...uint32) []byte {
	var b []byte
	for _, v := range values {
		b = binary.BigEndian.AppendUint32(b, v)
	}
	return b
}

// What a PNG says of its colours, by the order of precedence of the third
// edition (4.3): cICP, iCCP, sRGB, then cHRM and gAMA. The figures of sRGB are
// those of 11.3.2.5.
func TestColourMarksOfPNG(t *testing.T) {
	srgb := chunk("sRGB", []byte{0})
	gama := chunk("gAMA", be(45455))
	chrm := chunk("cHRM", be(31270, 32900, 64000, 33000, 30000, 60000, 15000, 6000))
	wide := chunk("cHRM", be(31270, 32900, 73470, 26530, 11520, 82640, 15660, 1770))
	linear := chunk("gAMA", be(100000))
	iccp := func(name string) []byte {
		return chunk("iCCP", append([]byte("p\x00\x00"), deflated(iccNamed(name))...))
	}
	for name, c := range map[string]struct {
		chunks  [][]byte
		profile string
		notice  string // part of the one notice; "" = none
	}{
		"nothing said":          {nil, "", ""},
		"sRGB":                  {[][]byte{srgb}, "sRGB", ""},
		"sRGB with companions":  {[][]byte{srgb, gama, chrm}, "sRGB", ""},
		"companions alone":      {[][]byte{gama, chrm}, "sRGB", ""},
		"gamma 1":               {[][]byte{linear}, "not sRGB", "gamma 1 (sRGB is about 0.45455)"},
		"wide primaries":        {[][]byte{gama, wide}, "not sRGB", "other primaries"},
		"sRGB over gamma 1":     {[][]byte{srgb, linear}, "sRGB", ""},
		"a profile":             {[][]byte{linear, iccp("Wide test space")}, "Wide test space", `"Wide test space" is not applied`},
		"the sRGB profile":      {[][]byte{iccp("sRGB IEC61966-2.1")}, "sRGB", ""},
		"linear sRGB primaries": {[][]byte{iccp("Linear sRGB")}, "Linear sRGB", "not applied"},
		"a spoilt profile":      {[][]byte{chunk("iCCP", []byte("p\x00\x00nonsense"))}, "unnamed", "without a readable name"},
		"PQ over all":           {[][]byte{chunk("cICP", []byte{9, 16, 0, 1}), iccp("sRGB")}, "primaries BT.2020, transfer PQ", "BT.2020"},
		"cICP of sRGB":          {[][]byte{chunk("cICP", []byte{1, 13, 0, 1})}, "sRGB", ""},
		"cICP of numbers":       {[][]byte{chunk("cICP", []byte{77, 78, 0, 1})}, "primaries 77, transfer 78", "77"},
	} {
		h, err := readHeader(memory(pngFile(1, 1, 8, 2, 0, []byte{0, 1, 2, 3}, c.chunks...)))
		require.NoError(t, err, name)
		assert.Equal(t, c.profile, h.Profile, name)
		if c.notice == "" {
			assert.Empty(t, h.Notices, name)
			continue
		}
		require.Len(t, h.Notices, 1, name)
		assert.Contains(t, h.Notices[0], c.notice, name)
	}
	h, err := readHeader(memory(pngFile(1, 1, 8, 2, 0, []byte{0, 1, 2, 3}, chunk("cICP", []byte{1, 1, 0, 0}))))
	require.NoError(t, err)
	assert.Contains(t, h.Notices[1], "limited range")
}

func TestProfilesOfOtherFormats(t *testing.T) {
	icc := iccNamed("Wide test space")
	tiffICC := tiffFile(1, 1, []uint32{8}, blackIsZero, append([]byte{7}, icc...), tag{tagStripBytes, kindLong, []uint32{1}})
	// The profile lies behind the strip: its tag is put last, where it belongs.
	at := binary.BigEndian.Uint32(tiffICC[4:])
	n := binary.BigEndian.Uint16(tiffICC[at:])
	entry := append(binary.BigEndian.AppendUint16(nil, tagProfile), 0, 7)
	entry = append(entry, be(uint32(len(icc)), 9)...)
	tiffICC = append(tiffICC[:len(tiffICC)-4], append(entry, 0, 0, 0, 0)...)
	binary.BigEndian.PutUint16(tiffICC[at:], n+1)

	half := len(icc) / 2
	part := func(i byte, b []byte) []byte {
		return segment(markAPP2, append([]byte("ICC_PROFILE\x00"+string(rune(i))+"\x02"), b...))
	}
	for name, file := range map[string][]byte{
		"JPEG": withSegments(flatJPEG(9), part(1, icc[:half]), part(2, icc[half:])),
		"TIFF": tiffICC,
		"WebP": riff(webpChunk("ICCP", icc), tinyWebP(1, 1, 1, 2, 3, 255)[12:]),
	} {
		_, info, err := readImage(background, memory(file))
		require.NoError(t, err, name)
		assert.Equal(t, "Wide test space", info.Profile, name)
	}
	exif := append([]byte("Exif\x00\x00"), exifBlock(binary.LittleEndian, 1, uncalibrated)...)
	_, info, err := readImage(background, memory(withSegments(flatJPEG(9), segment(markAPP1, exif))))
	require.NoError(t, err)
	assert.Equal(t, "not sRGB", info.Profile)
	assert.Contains(t, info.Notices[0], "The camera says")
}
