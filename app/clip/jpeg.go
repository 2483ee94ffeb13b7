package clip

import (
	"bufio"
	"context"
	"encoding/binary"
	"fmt"
	"image/jpeg"
	"io"
)

// JPEG: ITU-T T.81 (1992). APP1 with EXIF: CIPA DC-008; APP2 with a profile:
// ICC.1:2010, annex B.4; APP14: ITU-T T.872, 6.5.3.
const (
	jpegMagic = "\xff\xd8\xff"

	markSOF0, markSOF2, markSOF15 = 0xc0, 0xc2, 0xcf
	markDHT, markJPG, markDAC     = 0xc4, 0xc8, 0xcc
	markRST0, markRST7            = 0xd0, 0xd7
	markEOI, markSOS              = 0xd9, 0xda
	markAPP1, markAPP2, markAPP14 = 0xe1, 0xe2, 0xee
)

// maxScans bounds the passes of a progressive picture. Encoders make 10 or so;
// a pass over MaxPixels takes hundredths of a second and a hundred bytes, so
// that a file of a megabyte could be made to take hours.
const maxScans = 200

// Bounds of what is gone through before the first scan, so that a file of
// gigabytes is refused at once. Cameras pad by some kilobytes, and a picture with
// a profile, a preview and notes has hundreds of segments.
const (
	maxPassed   = 1 << 20 // bytes in no segment, taken together
	maxSegments = 10_000
)

func isJPEG(head []byte) bool { return hasPrefix(head, jpegMagic) }

// jpegSegments is what the walk over a JPEG's segments gathers.
type jpegSegments struct {
	sof        byte // marker of the frame header, 0 = not yet seen
	ids        []byte
	jfif       bool
	transform  int // of APP14, -1 = none
	components int
	profile    []byte
}

// jpegHeader reads the segments before the first scan.
func jpegHeader(s source) (*header, error) {
	h := &header{config: jpeg.DecodeConfig, decode: buffered(jpeg.Decode)}
	h.Info = Info{Format: "JPEG", Orientation: 1}
	seen := jpegSegments{transform: -1}
	for walk := (jpegWalk{s: s, at: 2}); ; {
		mark, body, end, err := walk.next()
		if err != nil {
			return nil, err
		}
		if mark == markSOS || mark == markEOI {
			break
		}
		if err := h.readSegment(s, &seen, mark, body, end); err != nil {
			return nil, err
		}
	}
	if seen.sof == 0 {
		return nil, s.damaged("a JPEG without a frame header", "one before the first scan")
	}
	h.marks.icc = seen.profile
	if err := h.nameChannels(s, &seen); err != nil {
		return nil, err
	}
	return h, checkScans(s, seen.sof)
}

// A jpegWalk goes from segment to segment.
type jpegWalk struct {
	s        source
	at       int64 // where the next segment is looked for
	passed   int   // bytes between segments so far
	segments int
}

// next returns a segment's marker and where its body begins and ends; the end
// of the picture has no body.
func (j *jpegWalk) next() (mark byte, body, end int64, err error) {
	if mark, err = j.marker(); err != nil || mark == markEOI {
		return mark, j.at, j.at, err
	}
	if j.segments++; j.segments > maxSegments {
		return 0, 0, 0, j.s.damaged(fmt.Sprintf("a JPEG of over %d segments before its picture", maxSegments), "at most that many")
	}
	b, err := j.s.bytes(j.at, 2)
	if err != nil {
		return 0, 0, 0, err
	}
	length := int64(binary.BigEndian.Uint16(b))
	if length < 2 {
		return 0, 0, 0, j.s.damaged("a JPEG segment of length "+fmt.Sprint(length), "at least 2")
	}
	body = j.at + 2
	j.at += length
	return mark, body, j.at, nil
}

// marker moves past the next marker that begins or ends something. Bytes
// between segments are passed over, as by all decoders, up to maxPassed. They
// are read in blocks that grow: as a rule there are none.
func (j *jpegWalk) marker() (byte, error) {
	for size := int64(16); ; size = min(4*size, 1<<16) {
		b, err := j.s.bytes(j.at, int(max(2, min(size, j.s.size-j.at))))
		if err != nil {
			return 0, err
		}
		n := 0
		for n < len(b)-1 && !(b[n] == 0xff && heads(b[n+1])) {
			n++
		}
		j.at, j.passed = j.at+int64(n), j.passed+n
		if j.passed > maxPassed {
			return 0, j.s.damaged(fmt.Sprintf("a JPEG of over %d bytes that are in no segment before its picture", maxPassed), "at most that many")
		}
		if n < len(b)-1 {
			j.at += 2
			return b[n+1], nil
		}
	}
}

// heads reports whether 0xff and c are a marker that begins or ends something.
func heads(c byte) bool { return c != 0 && c != 0xff && (c < markRST0 || c > markRST7) }

func (h *header) readSegment(s source, seen *jpegSegments, mark byte, body, end int64) error {
	switch {
	case markSOF0 <= mark && mark <= markSOF15 && mark != markDHT && mark != markJPG && mark != markDAC:
		if seen.sof != 0 {
			return s.damaged("a JPEG with two frame headers", "one")
		}
		seen.sof = mark
	case mark != 0xe0 && mark != markAPP1 && mark != markAPP2 && mark != markAPP14:
		return nil
	}
	data, err := s.bytes(body, int(end-body))
	if err != nil {
		return err
	}
	switch mark {
	case 0xe0:
		seen.jfif = seen.jfif || hasPrefix(data, "JFIF\x00")
	case markAPP1:
		if hasPrefix(data, "Exif\x00\x00") {
			h.readExif(data[6:])
		}
	case markAPP2:
		// Parts come in order in practice; a name spread over two is lost if not.
		if hasPrefix(data, "ICC_PROFILE\x00") && len(data) > 14 && len(seen.profile) < profileLimit {
			seen.profile = append(seen.profile, data[14:]...)
		}
	case markAPP14:
		if hasPrefix(data, "Adobe") && len(data) >= 12 {
			seen.transform = int(data[11])
		}
	default:
		return h.readSOF(s, seen, data)
	}
	return nil
}

// readSOF reads a frame header: precision, lines, samples a line, components.
func (h *header) readSOF(s source, seen *jpegSegments, b []byte) error {
	if len(b) < 6 || len(b) != 6+3*int(b[5]) {
		return s.damaged("a JPEG frame header of a wrong length", "one that fits its components")
	}
	h.Height, h.Width = int(binary.BigEndian.Uint16(b[1:])), int(binary.BigEndian.Uint16(b[3:]))
	h.Depth, seen.components = int(b[0]), int(b[5])
	for i := range seen.components {
		seen.ids = append(seen.ids, b[6+3*i])
	}
	// Every block of 8 x 8 takes at least one bit in its first scan.
	h.least = int64((h.Width+7)/8) * int64((h.Height+7)/8) / 8
	if h.Height == 0 {
		return s.unsupported("a JPEG that tells its height only after the picture", "one with its height in the header")
	}
	if seen.sof > markSOF2 {
		return s.unsupported("a JPEG with "+jpegProcess(seen.sof), "a baseline or progressive one")
	}
	if h.Depth != 8 {
		return s.unsupported(fmt.Sprintf("a JPEG of %d bits", h.Depth), "8 bits")
	}
	return nil
}

func jpegProcess(sof byte) string {
	switch {
	case sof >= 0xc9:
		return "arithmetic coding"
	case sof == 0xc3:
		return "lossless coding"
	}
	return "hierarchical coding"
}

func (h *header) nameChannels(s source, seen *jpegSegments) error {
	switch seen.components {
	case 1:
		h.Channels = "grey"
	case 3:
		h.Channels = "ycbcr"
		if !seen.jfif && (seen.transform == 0 || string(seen.ids) == "RGB") {
			h.Channels = "rgb"
		}
	case 4:
		h.Channels = "cmyk"
		if seen.transform < 0 {
			return s.unsupported("a JPEG of four inks that does not say whether they are inverted", "one with an APP14 marker")
		}
	default:
		return s.unsupported(fmt.Sprintf("a JPEG of %d components", seen.components), "1, 3 or 4")
	}
	return nil
}

// checkScans counts the scans of a progressive picture. Within coded data 0xff
// is never followed by a marker, so that the count is no less than the truth.
func checkScans(s source, sof byte) error {
	if sof != markSOF2 {
		return nil
	}
	r := bufio.NewReaderSize(s.stream(context.Background()), 1<<16)
	scans, last := 0, byte(0)
	for {
		c, err := r.ReadByte()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return s.refuse("JPEG", err)
		}
		if last == 0xff && c == markSOS {
			scans++
		}
		if last = c; scans > maxScans {
			return s.damaged(fmt.Sprintf("a JPEG of over %d passes", maxScans), "at most that many")
		}
	}
}
