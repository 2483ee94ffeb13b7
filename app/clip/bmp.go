package clip

import (
	"encoding/binary"
	"fmt"
	"slices"

	"golang.org/x/image/bmp"
)

// BMP: the file header of 14 bytes and the information header after it, as in
// "Bitmap Storage", Microsoft Windows documentation (wingdi.h).
const bmpFileHeader = 14

// bmpInfoHeaders are the lengths of the information headers there are: the
// first kind, those of later versions and relatives.
var bmpInfoHeaders = []uint32{12, 16, 40, 52, 56, 64, 108, 124}

// isBMP asks for more than "BM", with which a text may begin.
func isBMP(head []byte) bool {
	return hasPrefix(head, "BM") && (len(head) < 18 || slices.Contains(bmpInfoHeaders, binary.LittleEndian.Uint32(head[14:])))
}

func bmpHeader(s source) (*header, error) {
	b, err := s.bytes(0, bmpFileHeader+4)
	if err != nil {
		return nil, err
	}
	info := binary.LittleEndian.Uint32(b[14:])
	if info != 40 && info != 108 && info != 124 {
		return nil, s.unsupported(fmt.Sprintf("a BMP with an information header of %d bytes", info), "40, 108 or 124")
	}
	if b, err = s.bytes(0, bmpFileHeader+int(info)); err != nil {
		return nil, err
	}
	w, high := int64(int32(binary.LittleEndian.Uint32(b[18:]))), int64(int32(binary.LittleEndian.Uint32(b[22:])))
	if high < 0 {
		high = -high // rows from top to bottom
	}
	h := &header{config: bmp.DecodeConfig, decode: buffered(bmp.Decode)}
	h.Info = Info{Format: "BMP", Width: int(w), Height: int(high), Depth: 8, Channels: "rgb", Orientation: 1}
	bits := int64(binary.LittleEndian.Uint16(b[28:]))
	switch bits {
	case 1, 2, 4, 8:
		h.Depth, h.Channels = int(bits), "palette"
	case 24:
	case 32:
		h.Alpha = info > 40
	default:
		return nil, s.unsupported(fmt.Sprintf("a BMP of %d bits a pixel", bits), "1, 2, 4, 8, 24 or 32")
	}
	if c := binary.LittleEndian.Uint32(b[30:]); c != 0 && c != 3 {
		return nil, s.unsupported("a compressed BMP", "a plain one")
	}
	if 0 < w && w <= MaxSide && high <= MaxSide {
		h.least = (w*bits + 31) / 32 * 4 * high
	}
	if info == 124 {
		h.marks.icc = bmpProfile(s, b[bmpFileHeader:])
	}
	return h, nil
}

// bmpProfile returns the ICC profile that the longest header may point to.
func bmpProfile(s source, info []byte) []byte {
	if binary.LittleEndian.Uint32(info[56:]) != 0x4d424544 { // 'MBED'
		return nil
	}
	at, length := int64(binary.LittleEndian.Uint32(info[112:])), int64(binary.LittleEndian.Uint32(info[116:]))
	profile, err := s.bytes(bmpFileHeader+at, int(min(length, profileLimit)))
	if err != nil {
		return []byte{}
	}
	return profile
}
