package export

import (
	"bytes"
	"context"
	"fmt"
	"io"

	"github.com/klauspost/compress/flate"

	"halocline/colour"
)

// stripRows is the height of the strips that are filtered and compressed on
// their own, whatever the number of workers: a strip that remembers nothing of
// the one before costs about a thousandth of the size, and one of 64 rows of
// 1080 grey 16-bit still fits the second-level cache beside the compressor.
const stripRows = 64

// level is the effort of the compressor. On finished mattes its level 1 is
// within a tenth of the size of the highest levels at a tenth of their time;
// BenchmarkLevels shows it.
const level = 1

// An Encoder writes PNG pictures and keeps its buffers from one to the next.
// The zero value is ready. It must not be used by two goroutines at once.
type Encoder struct {
	// Workers is how many goroutines compress one picture; 0 is one for each
	// processor. The bytes written do not depend on it.
	Workers int

	strips []strip
	pool   colour.Pool[scratch]
}

// A strip is a finished part of the compressed stream.
type strip struct {
	deflated bytes.Buffer
	adler    adler // of what was compressed
}

// A scratch is what one worker needs.
type scratch struct {
	above, row []byte // samples of two neighbouring rows
	filtered   []byte // a strip's rows, each behind its filter's number
	deflate    *flate.Writer
}

// Grey writes p as a grey picture of depth 8 or 16 bits.
func (e *Encoder) Grey(ctx context.Context, w io.Writer, p colour.Plane, depth int) error {
	r := raster{w: p.W, h: p.H, depth: depth, kind: grey}
	return e.encode(ctx, w, r, func(dst []byte, y int) { codes(dst, depth, p.Row(y)) })
}

// RGB writes m as a picture of three samples a pixel, each of depth 8 or 16
// bits.
func (e *Encoder) RGB(ctx context.Context, w io.Writer, m *colour.Image, depth int) error {
	r := raster{w: m.R.W, h: m.R.H, depth: depth, kind: rgb}
	return e.encode(ctx, w, r, func(dst []byte, y int) { codes(dst, depth, m.R.Row(y), m.G.Row(y), m.B.Row(y)) })
}

// RGBA writes m with alpha, a plane of its size; the colours are not multiplied
// by alpha. Each sample has depth 8 or 16 bits.
func (e *Encoder) RGBA(ctx context.Context, w io.Writer, m *colour.Image, alpha colour.Plane, depth int) error {
	if !m.R.SameSize(alpha) {
		return fmt.Errorf("export: alpha is %d x %d, its picture %d x %d", alpha.W, alpha.H, m.R.W, m.R.H)
	}
	r := raster{w: m.R.W, h: m.R.H, depth: depth, kind: rgba}
	return e.encode(ctx, w, r, func(dst []byte, y int) {
		codes(dst, depth, m.R.Row(y), m.G.Row(y), m.B.Row(y), alpha.Row(y))
	})
}

// EncodeGrey writes p as a grey picture of depth 8 or 16 bits.
func EncodeGrey(w io.Writer, p colour.Plane, depth int) error {
	return new(Encoder).Grey(context.Background(), w, p, depth)
}

// EncodeRGB writes m as a picture of depth 8 or 16 bits a sample.
func EncodeRGB(w io.Writer, m *colour.Image, depth int) error {
	return new(Encoder).RGB(context.Background(), w, m, depth)
}

// encode writes a picture whose row y fill gives as samples. Nothing is written
// before all of it is compressed.
func (e *Encoder) encode(ctx context.Context, w io.Writer, r raster, fill func(dst []byte, y int)) error {
	if err := r.check(); err != nil {
		return err
	}
	strips := (r.h + stripRows - 1) / stripRows
	for len(e.strips) < strips {
		e.strips = append(e.strips, strip{})
	}
	err := colour.EachStrip(ctx, e.Workers, r.h, stripRows, func(y0, _ int) {
		k := e.pool.Take()
		defer e.pool.Give(k)
		k.compress(&e.strips[y0/stripRows], r, y0/stripRows, fill)
	})
	if err != nil {
		return fmt.Errorf("export: picture left out: %w", err)
	}
	return r.write(w, e.strips[:strips])
}

// compress makes strip number n.
func (k *scratch) compress(s *strip, r raster, n int, fill func(dst []byte, y int)) {
	y0, y1 := n*stripRows, min((n+1)*stripRows, r.h)
	s.adler = k.filter(r.stride(), y0, y1, fill)
	s.deflated.Reset()
	if k.deflate == nil {
		k.deflate, _ = flate.NewWriter(nil, level) // fails for unknown levels alone
	}
	k.deflate.Reset(&s.deflated)
	k.deflate.Write(k.filtered) // a bytes.Buffer never fails
	if y1 == r.h {
		k.deflate.Close()
	} else {
		k.deflate.Flush() // ends on a whole byte, so that strips can be joined
	}
}
