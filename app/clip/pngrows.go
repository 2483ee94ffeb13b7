package clip

import (
	"encoding/binary"
	"hash/adler32"
	"hash/crc32"
	"image"
	"image/color"
	"slices"
	"sync"
)

// A pngPicture is a PNG picture's samples as the file has them: 8 or 16 bits, high
// byte first, channel by channel within each pixel, not interlaced.
type pngPicture struct {
	w, h, samples, depth int
	rows                 []byte // each behind a byte that says nothing any more
}

var _ image.Image = (*pngPicture)(nil)

func (p *pngPicture) pixel() int { return p.samples * p.depth / 8 }

func (p *pngPicture) row(y int) []byte {
	n := 1 + p.w*p.pixel()
	return p.rows[y*n+1 : (y+1)*n]
}

// Bounds, ColorModel and At make it an image.Image.
func (p *pngPicture) Bounds() image.Rectangle { return image.Rect(0, 0, p.w, p.h) }

// ColorModel: see Bounds.
func (p *pngPicture) ColorModel() color.Model { return color.NRGBA64Model }

// At leaves alpha out, as the rest of the package does.
func (p *pngPicture) At(x, y int) color.Color {
	at := p.row(y)[x*p.pixel():]
	sample := func(c int) uint16 {
		if p.depth == 8 {
			return uint16(at[c]) * 0x101
		}
		return binary.BigEndian.Uint16(at[2*c:])
	}
	if p.samples < 3 {
		return color.NRGBA64{R: sample(0), G: sample(0), B: sample(0), A: 0xffff}
	}
	return color.NRGBA64{R: sample(0), G: sample(1), B: sample(2), A: 0xffff}
}

// alphaAt is the alpha of a pixel, the last of its samples where they are two or four; 1 of
// others.
func (p *pngPicture) alphaAt(x, y int) float32 {
	if p.samples%2 == 1 {
		return 1
	}
	at := p.row(y)[x*p.pixel():][:p.pixel()]
	if p.depth == 8 {
		return eight[at[len(at)-1]]
	}
	return sixteen(at[len(at)-2], at[len(at)-1])
}

// A pngScratch is the quick decoder's scratch memory; it serves the next file.
type pngScratch struct {
	inflater inflater
	file     []byte // as it was read
	data     []byte // compressed, from all of its chunks
}

var pngScratches = sync.Pool{New: func() any { return new(pngScratch) }}

// quick decodes what nearly all PNG pictures are: 8 or 16 bits, no palette, no
// interlacing. It is strict; nil is for all that it does not know or that is not as
// it should be, which package image/png then decodes or refuses.
func (q *pngScratch) quick(file []byte) *pngPicture {
	p, data := pngData(file, q.data[:0])
	q.data = data
	if p == nil || len(data) < 2+4+inflatePad {
		return nil
	}
	end := len(data) - inflatePad
	head := binary.BigEndian.Uint16(data)
	if head%31 != 0 || head>>8&15 != 8 || head>>12 > 7 || head&0x20 != 0 { // RFC 1950, section 2.2
		return nil
	}
	f := &q.inflater
	p.rows = make([]byte, p.h*(1+p.w*p.pixel()))
	taken, ok := f.inflate(p.rows, data[2:], end-2)
	f.in, f.out = nil, nil
	if !ok || 2+taken+4 != end || binary.BigEndian.Uint32(data[end-4:]) != adler32.Checksum(p.rows) || !p.unfilter() {
		return nil
	}
	return p
}

// pngData returns a picture of a file's shape, without rows, and its compressed
// data with inflatePad bytes after them, in the memory of data where that suffices;
// no picture for other files.
func pngData(file, data []byte) (*pngPicture, []byte) {
	if !hasPrefix(file, pngSignature) {
		return nil, data
	}
	var p *pngPicture
	chunks, last := 0, ""
	for rest := file[len(pngSignature):]; last != "IEND"; {
		kind, content, after := pngChunk(rest)
		switch {
		case kind == "" || (p == nil) != (kind == "IHDR"):
			return nil, data
		case kind == "IHDR":
			if p = pngShape(content); p == nil {
				return nil, data
			}
		case kind == "PLTE" || kind == "tRNS" || kind == "IEND" && len(content) > 0:
			return nil, data
		case kind == "IDAT":
			if chunks > 0 && last != "IDAT" {
				return nil, data
			}
			if chunks++; chunks == 1 {
				data = slices.Grow(data, len(rest)+inflatePad)
			}
			data = append(data, content...)
		}
		last, rest = kind, after
	}
	return p, append(data, make([]byte, inflatePad)...)
}

// pngChunk cuts a file after its first chunk; "" where that is not whole or not sound.
func pngChunk(file []byte) (kind string, content, rest []byte) {
	if len(file) < 12 {
		return "", nil, nil
	}
	n := int64(binary.BigEndian.Uint32(file))
	if n > int64(len(file)-12) || crc32.ChecksumIEEE(file[4:8+n]) != binary.BigEndian.Uint32(file[8+n:]) {
		return "", nil, nil
	}
	return string(file[4:8]), file[8 : 8+n], file[12+n:]
}

// pngShape reads IHDR; nil where the quick decoder does not read the kind.
func pngShape(b []byte) *pngPicture {
	if len(b) != 13 {
		return nil
	}
	p := &pngPicture{w: int(binary.BigEndian.Uint32(b)), h: int(binary.BigEndian.Uint32(b[4:])), depth: int(b[8]), samples: pngColours[b[9]].samples}
	supported := p.depth >= 8 && b[9] != 3 && p.samples > 0 && b[10]|b[11]|b[12] == 0
	if !supported || p.w < 1 || p.h < 1 || p.w > MaxSide || p.h > MaxSide || p.w*p.h > MaxPixels {
		return nil
	}
	return p
}

// reader gives a colour picture's rows.
func (p *pngPicture) reader() rowReader {
	n := p.samples
	if p.depth == 8 {
		return func(y int, r, g, b []float32) {
			row := p.row(y)
			g, b = g[:len(r)], b[:len(r)]
			for x := range r {
				s := row[x*n:][:3]
				r[x], g[x], b[x] = eight[s[0]], eight[s[1]], eight[s[2]]
			}
		}
	}
	return func(y int, r, g, b []float32) {
		row := p.row(y)
		g, b = g[:len(r)], b[:len(r)]
		for x := range r {
			s := row[2*x*n:][:6]
			r[x], g[x], b[x] = sixteen(s[0], s[1]), sixteen(s[2], s[3]), sixteen(s[4], s[5])
		}
	}
}

// greyReader is reader for a picture without colours.
func (p *pngPicture) greyReader() func(y int, to []float32) {
	n := p.samples
	if p.depth == 8 {
		return func(y int, to []float32) {
			row := p.row(y)
			for x := range to {
				to[x] = eight[row[x*n]]
			}
		}
	}
	return func(y int, to []float32) {
		row := p.row(y)
		for x := range to {
			to[x] = sixteen(row[2*x*n], row[2*x*n+1])
		}
	}
}
