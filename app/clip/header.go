package clip

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"io"
)

// Info is what a picture's header says. It is known before the picture is decoded.
type Info struct {
	Format string `json:"format"` // "PNG", "JPEG", "TIFF", "BMP" or "WebP"
	// Width and Height are in pixels, as displayed: after orientation.
	Width  int `json:"width"`
	Height int `json:"height"`
	// Depth is the number of bits stored for a sample: 1, 2, 4, 8 or 16; in a
	// palette picture for an index.
	Depth    int    `json:"depth"`
	Channels string `json:"channels"` // "grey", "palette", "rgb", "ycbcr" or "cmyk"
	Alpha    bool   `json:"alpha"`    // an alpha channel or a transparent colour is there, and is left out
	// Orientation is the EXIF value 1 to 8 that has been applied; 1 = none.
	Orientation int `json:"orientation"`
	// Profile names the colour space the file claims: "sRGB", the description
	// of its ICC profile, or words for its other marks; "" if it claims none.
	Profile string `json:"profile,omitempty"`
	// Gamma is the encoding exponent of a PNG gAMA chunk, such as 0.45455; 0 if
	// there is none.
	Gamma float64 `json:"gamma,omitempty"`
	// Movie is there for movies alone, whose Format is "movie".
	Movie *Movie `json:"movie,omitempty"`
	// Notices say in plain sentences what was left out or not applied.
	Notices []string `json:"notices,omitempty"`
}

// The largest picture that is read.
const (
	// MaxSide is the longest side in pixels: what a JPEG can have. Sides count
	// apart from the area because one row at a time is in several buffers.
	MaxSide = 65535
	// MaxPixels is the largest area: 16384 x 16384. A frame takes 12 bytes a
	// pixel as planes and up to 8 more while it is decoded, 5 GiB at this area,
	// for which a machine of 8 GiB just has room. Frames of 8K are 33 million pixels
	// and panoramas of 32768 x 8192 are within it.
	MaxPixels = 1 << 28
)

// A small file may well have a large flat picture, up to a point. Above
// freePixels (16.8 million, a third of a gigabyte as a frame) it must have one
// byte for every pixelsPerByte pixels. Deflate shrinks at most to 1/1032
// (RFC 1951: 258 bytes from a length and a distance code of one bit each), so
// that a 1-bit PNG of one colour has 8256 pixels a byte: nothing that the
// formats with a least size can contain is refused. WebP has none: 30 bytes can claim
// 16383 x 16383 pixels.
const (
	freePixels    = 1 << 24
	deflateRatio  = 1032
	pixelsPerByte = 8 * deflateRatio
)

// A header is what must be known to decode a picture.
type header struct {
	Info   // with Width and Height as stored until oriented
	marks  colourMarks
	more   []string // notices of the format's own
	least  int64    // bytes that a file with these pixels cannot be shorter than
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)

	multiplied bool // colour is stored multiplied by alpha
	studio     bool // Y'CbCr in the range of Rec. 601: 16 to 235 and 240
}

// formats are the kinds of picture that are read, known by their first bytes.
var formats = []struct {
	is     func(head []byte) bool
	header func(source) (*header, error)
}{
	{isPNG, pngHeader},
	{isJPEG, jpegHeader},
	{isTIFF, tiffHeader},
	{isBMP, bmpHeader},
	{isWebP, webpHeader},
}

// headBytes is enough of a file to know its kind: WebP shows itself at byte 12.
const headBytes = 64

// readHeader reads and checks the header of s. It takes memory for the header
// alone, whatever size of picture that claims.
func readHeader(s source) (*header, error) {
	head, err := s.head(headBytes)
	if err != nil {
		return nil, err
	}
	for _, f := range formats {
		if !f.is(head) {
			continue
		}
		h, err := f.header(s)
		if err == nil {
			err = h.check(s)
		}
		if err != nil {
			return nil, err
		}
		h.Notices = h.notices()
		return h, nil
	}
	want := whatIsRead
	if listIn(head) != "" {
		want = "a picture or a movie in a file of its own"
	}
	return nil, &Error{s.path, "it is " + another(head), want, ErrNotPicture, nil}
}

// check refuses sizes that are out of reason and headers that the decoder
// reads otherwise.
func (h *header) check(s source) error {
	pixels := int64(h.Width) * int64(h.Height)
	size := fmt.Sprintf("%d x %d pixels", h.Width, h.Height)
	switch {
	case h.Width < 1 || h.Height < 1:
		return s.damaged(size, "at least 1 x 1")
	case h.Width > MaxSide || h.Height > MaxSide || pixels > MaxPixels:
		return &Error{s.path, size, fmt.Sprintf("at most %d a side and %d in all", MaxSide, MaxPixels), ErrTooLarge, nil}
	case h.least > s.size:
		return s.damaged(fmt.Sprintf("%s claimed by a file of %d bytes", size, s.size), "at least %d bytes for that", h.least)
	case pixels > freePixels+pixelsPerByte*s.size:
		return s.damaged(fmt.Sprintf("%s claimed by a file of %d bytes", size, s.size),
			"a file long enough to be true (a byte for %d pixels)", pixelsPerByte)
	}
	c, err := safely(s, h.Format, func() (image.Config, error) { return h.config(s.stream(context.Background())) })
	if err != nil {
		return err
	}
	if c.Width != h.Width || c.Height != h.Height {
		return s.damaged(fmt.Sprintf("%s and %d x %d in one header", size, c.Width, c.Height), "one size")
	}
	return nil
}

// oriented returns what the file says of the picture as it is displayed.
func (h *header) oriented() Info {
	info := h.Info
	if turned(info.Orientation) {
		info.Width, info.Height = info.Height, info.Width
	}
	return info
}

func (h *header) notices() []string {
	var n []string
	switch {
	case h.multiplied:
		n = append(n, "The alpha channel is left out: colour was divided by it.")
	case h.Alpha:
		n = append(n, "The alpha channel is left out: colour is taken as stored under it.")
	}
	if h.Channels == "cmyk" {
		n = append(n, "Printing inks (CMYK) were turned into RGB by the plain product, without a profile: colours are approximate.")
	}
	var profile []string
	h.Profile, h.Gamma, profile = h.marks.describe()
	return append(append(n, h.more...), profile...)
}

// safely runs a decoder. Its error comes back as an Error, and so does its panic.
func safely[T any](s source, format string, run func() (T, error)) (result T, err error) {
	defer func() {
		if p := recover(); p != nil {
			e := s.damaged("a "+format+" that its decoder fails on", "an undamaged file")
			e.Cause = fmt.Errorf("decoder failed: %v", p)
			err = e
		}
	}()
	result, err = run()
	if err != nil {
		err = s.refuse(format, err)
	}
	return result, err
}

func hasPrefix(head []byte, magic string) bool { return bytes.HasPrefix(head, []byte(magic)) }
