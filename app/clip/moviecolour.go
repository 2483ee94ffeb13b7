package clip

import (
	"fmt"
	"strings"

	"halocline/colour"
)

// Options say how a movie's codes are read where its own tags are wrong or
// missing. The zero value follows the tags.
type Options struct {
	Matrix string // one of colour.LumaNames; "": as tagged, see the package's words
	Range  string // one of colour.RangeNames; "": as tagged
}

// check returns an error where a value is none of its list.
func (o Options) check(path string) error {
	if _, err := colour.LumaNamed(o.Matrix); o.Matrix != "" && err != nil {
		return &Error{path, fmt.Sprintf("matrix %q asked for", o.Matrix), "one of " + strings.Join(colour.LumaNames(), ", "), ErrUnsupported, nil}
	}
	if _, err := colour.IsFull(o.Range); o.Range != "" && err != nil {
		return &Error{path, fmt.Sprintf("range %q asked for", o.Range), strings.Join(colour.RangeNames(), " or "), ErrUnsupported, nil}
	}
	return nil
}

// weightsOf returns the weights of a matrix that is chosen or tagged.
func weightsOf(matrix string) colour.LumaWeights {
	switch matrix {
	case "smpte240m":
		return colour.Luma240M
	case "fcc":
		return colour.LumaFCC
	}
	w, err := colour.LumaNamed(matrix)
	if err != nil {
		panic("clip: a matrix without weights") // matrixOf names no other
	}
	return w
}

// taggedMatrix are ffprobe's names of matrices (Rec. ITU-T H.273, table 4).
var taggedMatrix = map[string]string{
	"bt709": "bt709", "bt470bg": "bt601", "smpte170m": "bt601", "bt2020nc": "bt2020", "bt2020c": "bt2020",
	"smpte240m": "smpte240m", "fcc": "fcc",
}

// Pictures of more lines or columns than these without a tag are of BT.709, as
// high definition is (Rec. ITU-R BT.709-6), others of BT.601-7, as standard
// definition is. Where the border lies is common practice, no source.
const (
	hdLines   = 720  // or more
	sdColumns = 1024 // or fewer
)

// A movieCoding is how codes become R, G and B.
type movieCoding struct {
	coding                colour.Coding
	matrix                string // see weightsOf; "" where there is no chroma
	siting                colour.Siting
	matrixFrom, rangeFrom string // "tag", "default" or "chosen"
	sitingName            string
	notices               []string
}

func codingOf(s *probedStream, f pixelFormat, o Options, path string) (movieCoding, error) {
	c := movieCoding{coding: colour.Coding{Bits: f.bits}}
	c.coding.Full, c.rangeFrom = rangeOf(s, f, o)
	if f.kind != "ycbcr" {
		return c, nil
	}
	var err error
	c.matrix, c.matrixFrom, err = matrixOf(s, o, path)
	c.siting, c.sitingName = sitingOf(s, f)
	if s.Space == "bt2020c" && o.Matrix == "" {
		c.notices = append(c.notices, "It is tagged with constant luminance (BT.2020); it is read as if that were not constant.")
	}
	return c, err
}

// rangeOf: Y'CbCr is of limited range unless a tag or the format's name says
// full; R, G, B and grey are full, as ffmpeg itself takes them.
func rangeOf(s *probedStream, f pixelFormat, o Options) (full bool, from string) {
	switch {
	case o.Range != "":
		full, _ = colour.IsFull(o.Range) // checked
		return full, "chosen"
	case s.Range == "pc" || f.full:
		return true, "tag"
	case s.Range == "tv":
		return false, "tag"
	}
	return f.kind != "ycbcr", "default"
}

func matrixOf(s *probedStream, o Options, path string) (matrix, from string, err error) {
	if o.Matrix != "" {
		return o.Matrix, "chosen", nil
	}
	if m, ok := taggedMatrix[s.Space]; ok {
		return m, "tag", nil
	}
	switch {
	case s.Space != "" && s.Space != "unknown" && s.Space != "reserved":
		return "", "", &Error{path, "its Y'CbCr has the matrix " + s.Space, "BT.601, BT.709 or BT.2020", ErrUnsupported, nil}
	case s.Primaries == "bt2020":
		return "bt2020", "default", nil
	case s.Codec == "mjpeg": // ITU-T T.871: of any size
		return "bt601", "default", nil
	case s.Height >= hdLines || s.Width > sdColumns:
		return "bt709", "default", nil
	}
	return "bt601", "default", nil
}

// sitings are ffprobe's names, see colour.Siting.
var sitings = map[string]colour.Siting{
	"left": {X: colour.First, Y: colour.Amid}, "center": {X: colour.Amid, Y: colour.Amid},
	"topleft": {X: colour.First, Y: colour.First}, "top": {X: colour.Amid, Y: colour.First},
	"bottomleft": {X: colour.First, Y: colour.Last}, "bottom": {X: colour.Amid, Y: colour.Last},
}

// sitingOf is the tagged siting, or left, which H.264 (ITU-T H.264, E.2.1) and
// HEVC take without a tag; JPEG's is the centre.
func sitingOf(s *probedStream, f pixelFormat) (colour.Siting, string) {
	if f.across == 0 && f.down == 0 {
		return colour.Siting{}, ""
	}
	if at, ok := sitings[s.Siting]; ok {
		return at, s.Siting
	}
	if s.Codec == "mjpeg" {
		return sitings["center"], "center"
	}
	return sitings["left"], "left"
}

// picture is one of w x h pixels as the decoder gave it.
func (c *movieCoding) picture(f pixelFormat, raw []byte, w, h int) *colour.YCbCr {
	p, size := f.planes(raw, w, h), c.coding.CodeBytes()
	cw, _ := f.chromaSize(w, h)
	return &colour.YCbCr{
		W: w, H: h, Across: f.across, Down: f.down, Coding: c.coding, Weights: weightsOf(c.matrix), Siting: c.siting,
		Y: p[0], Cb: p[1], Cr: p[2], YStride: w * size, CStride: cw * size,
	}
}

// rows returns the reader of a picture of any kind.
func (c *movieCoding) rows(f pixelFormat, raw []byte, w, h int) rowReader {
	switch f.kind {
	case "ycbcr":
		return c.picture(f, raw, w, h).RowReader()
	case "grey":
		stride := w * c.coding.CodeBytes()
		return func(y int, r, g, b []float32) {
			c.coding.Row(r, raw[y*stride:])
			copy(g, r)
			copy(b, r)
		}
	}
	p, stride := f.planes(raw, w, h), w*c.coding.CodeBytes() // green, blue, red
	return func(y int, r, g, b []float32) {
		c.coding.Row(r, p[2][y*stride:])
		c.coding.Row(g, p[0][y*stride:])
		c.coding.Row(b, p[1][y*stride:])
	}
}
