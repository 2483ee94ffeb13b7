package clip

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"fmt"
	"image"
	"image/png"
	"io"

	"halocline/colour"
)

// PNG: Portable Network Graphics Specification (Third Edition), W3C
// Recommendation 24 June 2025; ISO/IEC 15948.
const (
	pngMagic     = "\x89PNG"
	pngSignature = "\x89PNG\r\n\x1a\n"
)

func isPNG(head []byte) bool { return hasPrefix(head, pngMagic) }

// pngHeader reads the chunks before the picture's data.
func pngHeader(s source) (*header, error) {
	first, err := s.bytes(0, len(pngSignature)+8+13)
	if err != nil {
		return nil, err
	}
	if !hasPrefix(first, pngSignature) {
		return nil, s.damaged("a PNG signature with altered line ends", "a file copied byte by byte, not as text")
	}
	if string(first[8:16]) != "\x00\x00\x00\x0dIHDR" {
		return nil, s.damaged("a PNG that does not begin with its header", "an IHDR chunk of 13 bytes")
	}
	h := &header{config: png.DecodeConfig}
	h.decode = func(r io.Reader) (image.Image, error) { return decodePNG(s, r) }
	if err := h.readIHDR(s, first[16:]); err != nil {
		return nil, err
	}
	return h, h.readChunks(s)
}

// pngColours are the colour types: samples in a pixel, names, legal depths.
var pngColours = map[byte]struct {
	samples  int
	channels string
	alpha    bool
	depths   []byte
}{
	0: {1, "grey", false, []byte{1, 2, 4, 8, 16}},
	2: {3, "rgb", false, []byte{8, 16}},
	3: {1, "palette", false, []byte{1, 2, 4, 8}},
	4: {2, "grey", true, []byte{8, 16}},
	6: {4, "rgb", true, []byte{8, 16}},
}

func (h *header) readIHDR(s source, b []byte) error {
	w, high := binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:])
	depth, kind, interlaced := b[8], b[9], b[12] != 0
	if w == 0 || high == 0 {
		return s.damaged(fmt.Sprintf("a PNG of %d x %d pixels", w, high), "at least 1 x 1")
	}
	colour, ok := pngColours[kind]
	if !ok || !bytes.Contains(colour.depths, []byte{depth}) {
		return s.damaged(fmt.Sprintf("a PNG of colour type %d with %d bits", kind, depth), "a pair that the format has")
	}
	h.Info = Info{Format: "PNG", Width: int(w), Height: int(high), Depth: int(depth),
		Channels: colour.channels, Alpha: colour.alpha, Orientation: 1}
	row := (int64(w)*int64(colour.samples)*int64(depth) + 7) / 8
	if !interlaced {
		row++ // the filter's number; interlacing gives other rows, none shorter in sum
	}
	if w <= MaxSide && high <= MaxSide {
		h.least = row * int64(high) / deflateRatio
	}
	return nil
}

// readChunks takes down what the chunks before the picture's data say of it.
func (h *header) readChunks(s source) error {
	return pngChunks(s, func(at, length int64, kind string) (bool, error) {
		if kind == "IDAT" {
			return false, nil
		}
		if read, ok := pngFacts[kind]; ok && length <= profileLimit {
			data, err := s.bytes(at, int(length))
			if err != nil {
				return false, err
			}
			read(h, data)
		}
		return true, nil
	})
}

// maxChunks bounds the chunks that are gone through. Encoders write some
// kilobytes in each, so that a picture of a gigabyte has fewer.
const maxChunks = 250_000

// pngChunks calls visit with the place and length of each chunk's data up to
// the picture's end, or until it returns false. A chunk that runs past the
// file's end is an error.
func pngChunks(s source, visit func(at, length int64, kind string) (more bool, err error)) error {
	at := int64(len(pngSignature))
	for range maxChunks {
		b, err := s.bytes(at, 8)
		if err != nil {
			return err
		}
		length, kind := int64(binary.BigEndian.Uint32(b)), string(b[4:])
		if at+8+length+4 > s.size {
			return s.cutShort()
		}
		if more, err := visit(at+8, length, kind); err != nil || !more || kind == "IEND" {
			return err
		}
		at += 8 + length + 4
	}
	return s.damaged(fmt.Sprintf("a PNG of over %d chunks", maxChunks), "at most that many")
}

// quickLimit is the longest file that is read as a whole: no picture of MaxPixels is
// as long that has no more to it.
const quickLimit = 9 * MaxPixels

// decodePNG decodes s from r. The slower decoder takes compressed data that stop
// for data that are wrong: whether the file is cut short, its chunks tell.
func decodePNG(s source, r io.Reader) (image.Image, error) {
	if s.size > quickLimit {
		return png.Decode(bufio.NewReaderSize(r, 1<<16))
	}
	q := pngScratches.Get().(*pngScratch)
	defer pngScratches.Put(q)
	q.file = colour.Resized(q.file, int(s.size))
	n, err := io.ReadFull(r, q.file)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, err
	}
	if p := q.quick(q.file[:n]); p != nil {
		return p, nil
	}
	m, err := png.Decode(bytes.NewReader(q.file[:n]))
	var wrong png.FormatError
	if errors.As(err, &wrong) {
		all := func(int64, int64, string) (bool, error) { return true, nil }
		if short := pngChunks(s, all); errors.Is(short, io.ErrUnexpectedEOF) {
			return nil, short
		}
	}
	return m, err
}

// pngFacts are the chunks that say something of the picture's look. Chunks of
// a wrong length say nothing.
var pngFacts = map[string]func(h *header, data []byte){
	"tRNS": func(h *header, _ []byte) { h.Alpha = true },
	"sRGB": func(h *header, _ []byte) { h.marks.srgb = true },
	"iCCP": func(h *header, data []byte) { h.marks.icc = inflateProfile(data) },
	"acTL": func(h *header, _ []byte) {
		h.more = append(h.more, "The file holds an animation: only its still picture is read.")
	},
	"eXIf": func(h *header, data []byte) { h.readExif(data) },
	"gAMA": func(h *header, data []byte) {
		if len(data) == 4 {
			h.marks.gamma = float64(binary.BigEndian.Uint32(data)) / 1e5
		}
	},
	"cHRM": func(h *header, data []byte) {
		if len(data) == 32 {
			h.marks.chroma = make([]float64, 8)
			for i := range h.marks.chroma {
				h.marks.chroma[i] = float64(binary.BigEndian.Uint32(data[4*i:])) / 1e5
			}
		}
	},
	"cICP": func(h *header, data []byte) {
		if len(data) == 4 {
			h.marks.cicp = data
		}
	},
}

// inflateProfile returns the ICC profile in an iCCP chunk: a name, a zero, the
// method, the compressed profile. What does not inflate is an empty profile.
func inflateProfile(data []byte) []byte {
	_, rest, found := bytes.Cut(data, []byte{0})
	if !found || len(rest) < 1 {
		return []byte{}
	}
	z, err := zlib.NewReader(bytes.NewReader(rest[1:]))
	if err != nil {
		return []byte{}
	}
	profile, _ := io.ReadAll(io.LimitReader(z, profileLimit)) // what came before an error may hold the name
	return profile
}
