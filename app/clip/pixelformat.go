package clip

import (
	"regexp"
	"strconv"
	"strings"

	"halocline/colour"
)

// A pixelFormat is how a decoder lays out its pictures: planes of codes, one
// after the other, without padding.
type pixelFormat struct {
	name         string // ffmpeg's
	kind         string // "ycbcr", "rgb" or "grey", as in Info.Channels
	across, down uint   // binary logarithms of pixels for a sample of chroma
	bits         int
	alpha        bool // one more plane, or one that was left out; not read
	full         bool // the name says full range
	convert      bool // the decoder's own is another, which ffmpeg repacks without a change of codes
}

// planar are ffmpeg's names of planes of Y, Cb, Cr, of grey and of G, B, R, low
// byte first.
var planar = regexp.MustCompile(`^(?:yuv(j)?(a)?(4(?:44|22|20|40|11))p|(gray)|gbr(a)?p)(9|1[0246])?(le)?$`)

// packed are formats that mix their samples, and the planes that have the same
// codes.
var packed = map[string]string{
	"yuyv422": "yuv422p", "uyvy422": "yuv422p", "yvyu422": "yuv422p",
	"nv12": "yuv420p", "nv21": "yuv420p", "nv16": "yuv422p", "nv24": "yuv444p", "nv42": "yuv444p",
	"p010le": "yuv420p10le", "p016le": "yuv420p16le", "p210le": "yuv422p10le", "p216le": "yuv422p16le", "p410le": "yuv444p10le", "p416le": "yuv444p16le",
	"y210le": "yuv422p10le", "ya8": "gray", "ya16le": "gray16le", "pal8": "gbrp",
	"rgb24": "gbrp", "bgr24": "gbrp", "rgba": "gbrp", "bgra": "gbrp", "argb": "gbrp", "abgr": "gbrp",
	"rgb0": "gbrp", "bgr0": "gbrp", "0rgb": "gbrp", "0bgr": "gbrp",
	"rgb48le": "gbrp16le", "bgr48le": "gbrp16le", "rgba64le": "gbrp16le", "bgra64le": "gbrp16le",
	"rgb48be": "gbrp16le", "bgr48be": "gbrp16le", "rgba64be": "gbrp16le", "bgra64be": "gbrp16le", "ya16be": "gray16le",
}

// withAlpha are the packed formats that have a channel of alpha.
var withAlpha = regexp.MustCompile(`^(rgba|bgra|argb|abgr|ya)(8|16|64)?([bl]e)?$`)

// subsampling is what a name's three digits say.
var subsampling = map[string][2]uint{"444": {0, 0}, "422": {1, 0}, "420": {1, 1}, "440": {0, 1}, "411": {2, 0}}

// pixelFormatNamed returns a decoder's format, or the one that it must be
// repacked to.
func pixelFormatNamed(name string) (f pixelFormat, ok bool) {
	wanted := name
	if to, ok := packed[name]; ok {
		wanted = to
	} else if strings.HasSuffix(name, "be") {
		wanted = strings.TrimSuffix(name, "be") + "le"
	}
	m := planar.FindStringSubmatch(wanted)
	if m == nil {
		return f, false
	}
	f = pixelFormat{name: wanted, kind: "rgb", bits: 8, full: m[1] != "", convert: wanted != name}
	f.alpha = m[2] != "" || m[5] != "" || withAlpha.MatchString(name)
	switch {
	case m[3] != "":
		f.kind = "ycbcr"
		f.across, f.down = subsampling[m[3]][0], subsampling[m[3]][1]
	case m[4] != "":
		f.kind = "grey"
	}
	if m[6] != "" {
		f.bits, _ = strconv.Atoi(m[6])
	}
	return f, true
}

// chromaSize is the size of a plane of chroma.
func (f pixelFormat) chromaSize(w, h int) (int, int) {
	return (w-1)>>f.across + 1, (h-1)>>f.down + 1
}

// planes cuts the bytes of a picture of w x h pixels into its planes.
func (f pixelFormat) planes(b []byte, w, h int) [3][]byte {
	size := colour.Coding{Bits: f.bits}.CodeBytes()
	luma := w * h * size
	if f.kind == "grey" {
		return [3][]byte{b[:luma], nil, nil}
	}
	cw, ch := f.chromaSize(w, h)
	chroma := cw * ch * size
	return [3][]byte{b[:luma], b[luma:][:chroma], b[luma+chroma:][:chroma]}
}

// bytes is what a picture takes.
func (f pixelFormat) bytes(w, h int) int {
	size := colour.Coding{Bits: f.bits}.CodeBytes()
	n := w * h
	if f.kind != "grey" {
		cw, ch := f.chromaSize(w, h)
		n += 2 * cw * ch
		if f.alpha && !f.convert {
			n += w * h
		}
	}
	return n * size
}

// chroma says how much chroma there is: "4:2:0"; "" for none.
func (f pixelFormat) chroma() string {
	if f.kind != "ycbcr" {
		return ""
	}
	for digits, s := range subsampling {
		if s == [2]uint{f.across, f.down} {
			return strings.Join(strings.Split(digits, ""), ":")
		}
	}
	return ""
}
