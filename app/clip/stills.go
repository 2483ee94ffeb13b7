package clip

import (
	"bufio"
	"context"
	"fmt"
	"image"
	"io"

	"halocline/colour"
)

// Stat reads what the header of the picture file at path says. It takes no
// memory for the picture.
func Stat(path string) (Info, error) {
	s, f, err := open(path)
	if err != nil {
		return Info{}, err
	}
	defer f.Close()
	h, err := readHeader(s)
	if err != nil {
		return Info{}, err
	}
	return h.oriented(), nil
}

// Read reads the picture file at path, the way up it is displayed, samples in
// [0,1]. It stops soon after ctx ends, with its error.
func Read(ctx context.Context, path string) (*colour.Image, Info, error) {
	s, f, err := open(path)
	if err != nil {
		return nil, Info{}, err
	}
	defer f.Close()
	return readImage(ctx, s)
}

// ReadGrey reads a matte or mask picture as one plane in [0,1]. Pictures stored
// in colour pass where red, green and blue are equal throughout; others are
// refused with ErrColour rather than weighed into a grey that nobody chose.
func ReadGrey(ctx context.Context, path string) (colour.Plane, Info, error) {
	s, f, err := open(path)
	if err != nil {
		return colour.Plane{}, Info{}, err
	}
	defer f.Close()
	return readGrey(ctx, s, false)
}

// ReadMask is ReadGrey for a mask that may be drawn on a transparent ground: each value is
// taken times its alpha, so that what is transparent is 0 whatever colour is stored there.
func ReadMask(ctx context.Context, path string) (colour.Plane, Info, error) {
	s, f, err := open(path)
	if err != nil {
		return colour.Plane{}, Info{}, err
	}
	defer f.Close()
	return readGrey(ctx, s, true)
}

func readImage(ctx context.Context, s source) (*colour.Image, Info, error) {
	h, picture, err := decode(ctx, s)
	if err != nil {
		return nil, Info{}, err
	}
	m, err := h.planes(ctx, picture)
	if err != nil {
		return nil, Info{}, err
	}
	for _, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
		if *p, err = orient(ctx, *p, h.Orientation); err != nil {
			return nil, Info{}, err
		}
	}
	return m, h.oriented(), nil
}

// readGrey reads a grey picture, its values times alpha where that is asked for.
func readGrey(ctx context.Context, s source, timesAlpha bool) (colour.Plane, Info, error) {
	h, picture, err := decode(ctx, s)
	if err != nil {
		return colour.Plane{}, Info{}, err
	}
	p, isGrey, err := h.plane(ctx, picture)
	if err == nil && !isGrey {
		p, err = h.greyOf(ctx, s, picture)
	}
	if err == nil && timesAlpha && h.Alpha {
		for i := range p.Pix {
			p.Pix[i] *= alphaAt(picture, i%p.W, i/p.W)
		}
	}
	if err == nil {
		p, err = orient(ctx, p, h.Orientation)
	}
	if err != nil {
		return colour.Plane{}, Info{}, err
	}
	return p, h.oriented(), nil
}

// greyOf returns the one plane of a picture stored in colour that has none.
func (h *header) greyOf(ctx context.Context, s source, picture image.Image) (colour.Plane, error) {
	m, err := h.planes(ctx, picture)
	if err != nil {
		return colour.Plane{}, err
	}
	for i, r := range m.R.Pix {
		if g, b := m.G.Pix[i], m.B.Pix[i]; r != g || r != b {
			found := fmt.Sprintf("a colour picture (stored pixel %d,%d is %.4g, %.4g, %.4g)", i%m.R.W, i/m.R.W, r, g, b)
			return colour.Plane{}, &Error{s.path, found, "a grey one, or red = green = blue throughout", ErrColour, nil}
		}
	}
	return m.R, nil
}

// decode reads the header, checks it and only then has the picture decoded.
func decode(ctx context.Context, s source) (*header, image.Image, error) {
	h, err := readHeader(s)
	if err != nil {
		return nil, nil, err
	}
	picture, err := safely(s, h.Format, func() (image.Image, error) { return h.decode(s.stream(ctx)) })
	if err != nil {
		return nil, nil, err
	}
	if b := picture.Bounds(); b != image.Rect(0, 0, h.Width, h.Height) {
		return nil, nil, s.damaged(fmt.Sprintf("a %s of %d x %d pixels under a header for others", h.Format, b.Dx(), b.Dy()),
			"%d x %d", h.Width, h.Height)
	}
	return h, picture, nil
}

// buffered serves decoders that read in small bites.
func buffered(decode func(io.Reader) (image.Image, error)) func(io.Reader) (image.Image, error) {
	return func(r io.Reader) (image.Image, error) { return decode(bufio.NewReaderSize(r, 1<<16)) }
}
