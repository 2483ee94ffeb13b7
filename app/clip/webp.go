package clip

import (
	"encoding/binary"

	"golang.org/x/image/webp"
)

// WebP: RFC 9649. A RIFF file of chunks: VP8X tells what else is there, VP8
// (lossy, RFC 6386) or VP8L (lossless) is the picture.
const (
	webpChunks    = 12 // offset of the first chunk
	webpAnimated  = 1 << 1
	webpHasAlpha  = 1 << 4
	vp8lSignature = 0x2f
)

func isWebP(head []byte) bool {
	return hasPrefix(head, "RIFF") && len(head) >= webpChunks && string(head[8:12]) == "WEBP"
}

func webpHeader(s source) (*header, error) {
	b, err := s.bytes(4, 4)
	if err != nil {
		return nil, err
	}
	end := 8 + int64(binary.LittleEndian.Uint32(b))
	if end > s.size {
		return nil, s.cutShort()
	}
	h := &header{config: webp.DecodeConfig, decode: buffered(webp.Decode)}
	h.Info = Info{Format: "WebP", Depth: 8, Orientation: 1}
	for at := int64(webpChunks); at+8 <= end; {
		if b, err = s.bytes(at, 8); err != nil {
			return nil, err
		}
		kind, length := string(b[:4]), int64(binary.LittleEndian.Uint32(b[4:]))
		if at+8+length > end {
			return nil, s.cutShort()
		}
		if err := h.readWebP(s, kind, at+8, length); err != nil {
			return nil, err
		}
		at += 8 + length + length%2
	}
	if h.Channels == "" {
		return nil, s.damaged("a WebP file without a picture", "a VP8 or VP8L chunk")
	}
	return h, nil
}

// readWebP takes down what one chunk says. The picture's own size counts: the
// decoder compares it with the one in VP8X.
func (h *header) readWebP(s source, kind string, at, length int64) error {
	switch kind {
	case "VP8X", "VP8 ", "VP8L":
		b, err := s.bytes(at, int(min(length, 10)))
		if err != nil {
			return err
		}
		return h.readWebPPicture(s, kind, b)
	case "ICCP", "EXIF":
		if length > profileLimit {
			return nil
		}
		b, err := s.bytes(at, int(length))
		if err != nil {
			return err
		}
		if kind == "ICCP" {
			h.marks.icc = b
		} else {
			h.readExif(b)
		}
	}
	return nil
}

func (h *header) readWebPPicture(s source, kind string, b []byte) error {
	switch {
	case kind == "VP8X" && len(b) == 10:
		if b[0]&webpAnimated != 0 {
			return s.unsupported("an animated WebP", "a still one")
		}
		h.Alpha = b[0]&webpHasAlpha != 0
	case h.Channels != "":
		return s.damaged("a WebP with two pictures", "one")
	case kind == "VP8L" && len(b) >= 5 && b[0] == vp8lSignature:
		bits := binary.LittleEndian.Uint32(b[1:])
		h.Width, h.Height = int(bits&0x3fff)+1, int(bits>>14&0x3fff)+1
		h.Alpha = bits>>28&1 != 0
		h.Channels = "rgb"
	case kind == "VP8 " && len(b) == 10 && string(b[3:6]) == "\x9d\x01\x2a":
		h.Width, h.Height = int(binary.LittleEndian.Uint16(b[6:])&0x3fff), int(binary.LittleEndian.Uint16(b[8:])&0x3fff)
		h.Channels, h.studio = "ycbcr", true
	default:
		return s.damaged("a WebP with a spoilt "+kind+" chunk", "one that its format allows")
	}
	return nil
}
