package ink

import (
	"image"
	"image/color"
	"sync"
)

// A sheet gathers how much of each pixel one mark covers before it is blended,
// so that a mark's parts may overlap. Between marks all of it is 0.
type sheet struct {
	in    image.Rectangle // the pixels it stands for
	cover []uint8         // row-major
	used  []span          // what of each row is not 0
}

type span struct{ x0, x1 int } // from in.Min.X

var sheets = sync.Pool{New: func() any { return new(sheet) }}

// newSheet returns a clear sheet for the pixels in.
func newSheet(in image.Rectangle) *sheet {
	s := sheets.Get().(*sheet)
	s.in = in
	if n := in.Dx() * in.Dy(); cap(s.cover) < n {
		s.cover = make([]uint8, n)
	}
	s.cover = s.cover[:in.Dx()*in.Dy()]
	s.used = s.used[:0]
	for range in.Dy() {
		s.used = append(s.used, span{in.Dx(), 0})
	}
	return s
}

// row returns the covers of the pixels [x0,x1) of row y, which are in the sheet,
// to be raised.
func (s *sheet) row(y, x0, x1 int) []uint8 {
	x0, x1, y = x0-s.in.Min.X, x1-s.in.Min.X, y-s.in.Min.Y
	u := &s.used[y]
	u.x0, u.x1 = min(u.x0, x0), max(u.x1, x1)
	return s.cover[y*s.in.Dx():][x0:x1]
}

// press blends the mark over dst and gives the sheet back, clear.
func (s *sheet) press(dst *image.RGBA, c color.NRGBA) {
	for y, u := range s.used {
		if u.x0 >= u.x1 {
			continue
		}
		cover := s.cover[y*s.in.Dx():][u.x0:u.x1]
		pix := dst.Pix[dst.PixOffset(s.in.Min.X+u.x0, s.in.Min.Y+y):]
		for x, v := range cover {
			if v != 0 {
				over(pix[4*x:], c, uint32(v))
			}
		}
		clear(cover)
	}
	sheets.Put(s)
}
