package export

import (
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"io"
)

// Colour types of the specification, section 11.2.1.
const (
	grey = 0
	rgb  = 2
	rgba = 6
)

// samples is how many a pixel of a colour type has.
var samples = map[byte]int{grey: 1, rgb: 3, rgba: 4}

// maxSide is the longest side in pixels. A strip that wide, 8 bytes a pixel,
// stays below the 2^31 bytes that a chunk may hold.
const maxSide = 1 << 20

// A raster is a picture's shape.
type raster struct {
	w, h, depth int
	kind        byte // colour type
}

// check says what is wrong with a shape.
func (r raster) check() error {
	switch {
	case r.depth != 8 && r.depth != 16:
		return fmt.Errorf("export: depth is %d bits, want 8 or 16", r.depth)
	case r.w < 1 || r.h < 1 || r.w > maxSide || r.h > maxSide:
		return fmt.Errorf("export: picture is %d x %d, want 1 to %d pixels each way", r.w, r.h, maxSide)
	}
	return nil
}

// stride is the length of a row in bytes.
func (r raster) stride() int { return r.w * samples[r.kind] * r.depth / 8 }

const signature = "\x89PNG\r\n\x1a\n"

// zlibHeader says deflate, a window of 32 KiB, fastest effort (RFC 1950).
var zlibHeader = []byte{0x78, 0x01}

// write writes the file: one IDAT chunk for each strip.
func (r raster) write(w io.Writer, strips []strip) error {
	c := chunkWriter{w: w}
	c.write([]byte(signature))
	c.chunk("IHDR", r.header())
	sum := adlerStart
	for n := range strips {
		sum = sum.join(strips[n].adler, (min((n+1)*stripRows, r.h)-n*stripRows)*(1+r.stride()))
		var before, after []byte
		if n == 0 {
			before = zlibHeader
		}
		if n == len(strips)-1 {
			after = binary.BigEndian.AppendUint32(nil, uint32(sum))
		}
		c.chunk("IDAT", before, strips[n].deflated.Bytes(), after)
	}
	c.chunk("IEND")
	if c.err != nil {
		return fmt.Errorf("export: %w", c.err)
	}
	return nil
}

// header is the content of IHDR: size, depth, colour type, and 0 for the only
// compression, the only set of filters and no interlacing.
func (r raster) header() []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(r.w))
	b = binary.BigEndian.AppendUint32(b, uint32(r.h))
	return append(b, byte(r.depth), r.kind, 0, 0, 0)
}

// A chunkWriter writes chunks and keeps the first error.
type chunkWriter struct {
	w   io.Writer
	err error
}

func (c *chunkWriter) write(p []byte) {
	if c.err == nil && len(p) > 0 {
		_, c.err = c.w.Write(p)
	}
}

// chunk writes a chunk whose content is the parts, one after the other.
func (c *chunkWriter) chunk(kind string, parts ...[]byte) {
	length := 0
	crc := crc32.ChecksumIEEE([]byte(kind))
	for _, p := range parts {
		length += len(p)
		crc = crc32.Update(crc, crc32.IEEETable, p)
	}
	c.write(append(binary.BigEndian.AppendUint32(nil, uint32(length)), kind...))
	for _, p := range parts {
		c.write(p)
	}
	c.write(binary.BigEndian.AppendUint32(nil, crc))
}
