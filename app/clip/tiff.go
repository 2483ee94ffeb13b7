package clip

import (
	"fmt"
	"slices"

	"golang.org/x/image/tiff"
)

// Tags and values of TIFF 6.0 (Adobe 1992) and its supplements.
const (
	tagWidth        = 256
	tagHeight       = 257
	tagBits         = 258
	tagCompression  = 259
	tagPhotometric  = 262
	tagFillOrder    = 266
	tagStrips       = 273
	tagSamples      = 277
	tagStripBytes   = 279
	tagPlanar       = 284
	tagPredictor    = 317
	tagTiles        = 324
	tagTileBytes    = 325
	tagExtra        = 338
	tagSampleFormat = 339
	tagProfile      = 34675

	whiteIsZero = 0
	blackIsZero = 1
	photoRGB    = 2
	photoMap    = 3

	compressionLZW = 5

	extraMultiplied = 1
	extraStraight   = 2
)

func isTIFF(head []byte) bool {
	order, ok := byteOrder(head)
	if !ok || len(head) < 4 {
		return false
	}
	version := order.Uint16(head[2:])
	return version == 42 || version == 43
}

// tiffHeader reads the first directory. The chain of further ones is not
// followed, so that it cannot lead in circles.
func tiffHeader(s source) (*header, error) {
	head, err := s.bytes(0, 8)
	if err != nil {
		return nil, err
	}
	order, _ := byteOrder(head)
	if order.Uint16(head[2:]) == 43 {
		return nil, s.unsupported("a TIFF with 64-bit offsets", "one with 32-bit offsets")
	}
	d, lost, err := readDirectory(s, order, int64(order.Uint32(head[4:])))
	if err != nil {
		return nil, err
	}
	if lost > 0 || d.next < 0 {
		return nil, s.cutShort()
	}
	h := &header{config: tiff.DecodeConfig, decode: tiff.Decode}
	h.Info = Info{Format: "TIFF", Width: int(d.number(tagWidth, 0)), Height: int(d.number(tagHeight, 0)), Depth: int(d.number(tagBits, 1))}
	h.setOrientation(d.number(tagOrientation, 1))
	h.marks.icc = d.block(tagProfile, profileLimit)
	if d.next != 0 {
		h.more = append(h.more, "The file holds further pictures: only its first is read.")
	}
	if err := h.readTIFFLayout(s, d); err != nil {
		return nil, err
	}
	if err := h.setTIFFLeast(s, d); err != nil {
		return nil, err
	}
	return h, checkStrips(s, d)
}

// mostStrips is how many strips or tiles are looked up before decoding: more
// than a picture of MaxPixels has in tiles of 16 x 16.
const mostStrips = MaxPixels / 256

// checkStrips refuses a file that ends before its strips or tiles do, and the
// early LZW with reversed bits: its clear code of nine bits, 256, fills the
// first byte with zeros and begins the second from the low end.
func checkStrips(s source, d directory) error {
	at, length := d.numbers(tagStrips, mostStrips), d.numbers(tagStripBytes, mostStrips)
	if len(at) == 0 {
		at, length = d.numbers(tagTiles, mostStrips), d.numbers(tagTileBytes, mostStrips)
	}
	if len(at) == 0 || len(at) != len(length) {
		return s.damaged(fmt.Sprintf("a TIFF with places for %d parts and lengths for %d", len(at), len(length)), "as many of both")
	}
	for i := range at {
		if at[i]+length[i] > s.size {
			return s.cutShort()
		}
	}
	if d.number(tagCompression, 1) != compressionLZW {
		return nil
	}
	b, err := s.bytes(at[0], 2)
	if err == nil && b[0] == 0 && b[1]&1 == 1 {
		err = s.unsupported("a TIFF with LZW codes in reverse bit order (an early kind)", "LZW as TIFF 6.0 has it")
	}
	return err
}

// readTIFFLayout names the channels and refuses what the decoder does not
// read, or reads wrongly without saying so.
func (h *header) readTIFFLayout(s source, d directory) error {
	samples, bits := d.number(tagSamples, 1), d.numbers(tagBits, 8)
	if v := d.number(tagSampleFormat, 1); v != 1 {
		return s.unsupported(fmt.Sprintf("a TIFF of %d-bit %s", h.Depth, sampleFormat(v)), "whole numbers from 0")
	}
	if slices.ContainsFunc(bits, func(b int64) bool { return b != bits[0] }) {
		return s.unsupported("a TIFF of mixed depths", "one depth for all samples")
	}
	if samples > 1 && d.number(tagPlanar, 1) != 1 {
		return s.unsupported("a TIFF with one plane after the other", "samples together for each pixel")
	}
	if bits != nil && int64(len(bits)) < min(samples, 8) {
		return s.damaged(fmt.Sprintf("a TIFF of %d samples a pixel and depths for %d", samples, len(bits)), "a depth for each")
	}
	if err := h.checkTIFFDepth(s, d); err != nil {
		return err
	}
	switch p := d.number(tagPhotometric, -1); {
	case p == photoMap && samples == 1:
		h.Channels = "palette"
	case (p == whiteIsZero || p == blackIsZero) && samples == 1:
		h.Channels = "grey"
	case p == photoRGB && samples == 3:
		h.Channels = "rgb"
	case p == photoRGB && samples == 4:
		h.Channels, h.Alpha = "rgb", true
		extra := d.number(tagExtra, 0)
		h.multiplied = extra == extraMultiplied
		if extra != extraMultiplied && extra != extraStraight {
			return s.unsupported("a TIFF with a fourth sample of unstated meaning", "three samples, or an alpha channel marked as one")
		}
	default:
		return s.unsupported(fmt.Sprintf("a TIFF of %d-sample %s", samples, photometric(p)), "grey, palette or RGB, with alpha only beside RGB")
	}
	return nil
}

func (h *header) checkTIFFDepth(s source, d directory) error {
	kind := d.number(tagPhotometric, -1)
	switch {
	case h.Depth == 8, h.Depth == 16 && kind != photoMap, h.Depth == 1 && kind != photoRGB:
	default:
		return s.unsupported(fmt.Sprintf("a TIFF of %d bits", h.Depth), "1, 8 or 16 (1 or 8 for a palette, 8 or 16 for RGB)")
	}
	if d.number(tagFillOrder, 1) == 2 && !fax(d) {
		return s.unsupported("a TIFF with the bits of its bytes in reverse order", "the usual order")
	}
	if p := d.number(tagPredictor, 1); p != 1 && (p != 2 || h.Depth == 1) {
		return s.unsupported(fmt.Sprintf("a TIFF with predictor %d at %d bits", p, h.Depth), "none, or 2 at 8 or 16 bits")
	}
	return nil
}

// fax reports whether the picture is coded by ITU-T T.4 or T.6.
func fax(d directory) bool {
	c := d.number(tagCompression, 1)
	return c == 3 || c == 4
}

// tiffRatio is how much each compression can shrink at most. LZW: a full table
// gives strings of up to 3838 bytes for 12 bits. PackBits: 128 bytes for 2.
var tiffRatio = map[int64]int64{0: 1, 1: 1, compressionLZW: 2560, 8: deflateRatio, 32946: deflateRatio, 32773: 64}

// setTIFFLeast sets the least length of the file and refuses compressions that
// are not read.
func (h *header) setTIFFLeast(s source, d directory) error {
	kind := d.number(tagCompression, 1)
	if h.Width > MaxSide || h.Height > MaxSide {
		return nil
	}
	if fax(d) {
		h.least = int64(h.Height) / 8 // a line takes at least one bit
		return nil
	}
	ratio, ok := tiffRatio[kind]
	if !ok {
		return s.unsupported("a TIFF with "+compression(kind), "none, LZW, Deflate, PackBits or fax coding")
	}
	row := (int64(h.Width)*d.number(tagSamples, 1)*int64(h.Depth) + 7) / 8
	h.least = row * int64(h.Height) / ratio
	return nil
}

func sampleFormat(v int64) string {
	switch v {
	case 2:
		return "signed numbers"
	case 3:
		return "floating-point numbers"
	}
	return fmt.Sprintf("samples of format %d", v)
}

func compression(v int64) string {
	switch v {
	case 6, 7:
		return "JPEG inside"
	case 34676, 34677:
		return "LogLuv coding"
	}
	return fmt.Sprintf("compression %d", v)
}

func photometric(v int64) string {
	names := map[int64]string{-1: "colour of no stated kind", whiteIsZero: "grey", blackIsZero: "grey", photoRGB: "RGB", photoMap: "palette",
		4: "transparency mask", 5: "CMYK", 6: "Y'CbCr", 8: "CIELAB", 32844: "LogL", 32845: "LogLuv"}
	if name, ok := names[v]; ok {
		return name
	}
	return fmt.Sprintf("colour of kind %d", v)
}
