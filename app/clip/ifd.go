package clip

import (
	"bytes"
	"encoding/binary"
)

// A directory is one table of tags of TIFF 6.0 (Adobe 1992, section 2), which
// EXIF uses too. Values stay in the file until asked for.
type directory struct {
	src    source
	order  binary.ByteOrder
	fields map[uint16]field
	next   int64 // offset of the next directory; 0 = none, -1 = the file ends before it
}

type field struct {
	kind  uint16
	count int64
	at    int64 // where the values lie
}

// fieldBytes is the length of one value by its kind: BYTE, ASCII, SHORT, LONG,
// RATIONAL, the signed ones, FLOAT and DOUBLE, IFD.
var fieldBytes = [...]int64{0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8, 4}

const (
	kindByte  = 1
	kindShort = 3
	kindLong  = 4
	kindIFD   = 13
)

// byteOrder reads the first two bytes of a TIFF or EXIF block.
func byteOrder(head []byte) (binary.ByteOrder, bool) {
	switch {
	case hasPrefix(head, "II"):
		return binary.LittleEndian, true
	case hasPrefix(head, "MM"):
		return binary.BigEndian, true
	}
	return nil, false
}

// readDirectory reads the directory at offset at. lost counts the fields whose
// values are not in the file; they are left out.
func readDirectory(s source, order binary.ByteOrder, at int64) (d directory, lost int, err error) {
	b, err := s.bytes(at, 2)
	if err != nil {
		return d, 0, err
	}
	n := int(order.Uint16(b))
	if b, err = s.bytes(at+2, 12*n); err != nil {
		return d, 0, err
	}
	d = directory{src: s, order: order, fields: make(map[uint16]field, n)}
	for i := range n {
		e := b[12*i:][:12]
		f := field{order.Uint16(e[2:]), int64(order.Uint32(e[4:])), at + 2 + int64(12*i) + 8}
		if int(f.kind) >= len(fieldBytes) {
			continue
		}
		if length := f.count * fieldBytes[f.kind]; length > 4 {
			f.at = int64(order.Uint32(e[8:]))
			if f.at+length > s.size {
				lost++
				continue
			}
		}
		d.fields[order.Uint16(e)] = f
	}
	d.next = -1
	if b, err := s.bytes(at+2+int64(12*n), 4); err == nil {
		d.next = int64(order.Uint32(b))
	}
	return d, lost, nil
}

// numbers returns up to most values of a tag of whole numbers; nil if there is
// no such tag.
func (d directory) numbers(tag uint16, most int) []int64 {
	f := d.fields[tag]
	if f.kind != kindByte && f.kind != kindShort && f.kind != kindLong && f.kind != kindIFD {
		return nil
	}
	n, each := int(min(f.count, int64(most))), int(fieldBytes[f.kind])
	b, err := d.src.bytes(f.at, n*each)
	if err != nil {
		return nil
	}
	values := make([]int64, n)
	for i := range values {
		switch each {
		case 1:
			values[i] = int64(b[i])
		case 2:
			values[i] = int64(d.order.Uint16(b[2*i:]))
		default:
			values[i] = int64(d.order.Uint32(b[4*i:]))
		}
	}
	return values
}

// number returns the first value of a tag, or standard if there is none.
func (d directory) number(tag uint16, standard int64) int64 {
	if v := d.numbers(tag, 1); len(v) > 0 {
		return v[0]
	}
	return standard
}

// block returns a tag's values as bytes, up to most of them.
func (d directory) block(tag uint16, most int64) []byte {
	f := d.fields[tag]
	if f.count == 0 {
		return nil
	}
	b, _ := d.src.bytes(f.at, int(min(f.count*fieldBytes[f.kind], most)))
	return b
}

// Tags of EXIF (CIPA DC-008) that are used here.
const (
	tagOrientation = 274
	tagExif        = 34665
	tagColourSpace = 40961

	uncalibrated = 65535 // the colour space is not sRGB
)

// readExif takes orientation and colour space from an EXIF block. A damaged
// block says nothing: it is no reason to refuse the picture.
func (h *header) readExif(b []byte) {
	s := source{"", bytes.NewReader(b), int64(len(b))}
	order, ok := byteOrder(b)
	if !ok || len(b) < 8 {
		return
	}
	d, _, err := readDirectory(s, order, int64(order.Uint32(b[4:])))
	if err != nil {
		return
	}
	h.setOrientation(d.number(tagOrientation, 1))
	if at := d.number(tagExif, 0); at > 0 {
		if sub, _, err := readDirectory(s, order, at); err == nil {
			h.marks.uncalibrated = sub.number(tagColourSpace, 1) == uncalibrated
		}
	}
}

// setOrientation takes values outside 1 to 8 for none, as display does.
func (h *header) setOrientation(v int64) {
	h.Orientation = 1
	if 1 <= v && v <= 8 {
		h.Orientation = int(v)
	}
}
