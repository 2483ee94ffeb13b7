package guided

import (
	"context"

	"halocline/colour"
)

// The planes of coefficients: of the guide's channels, the constant one, and for
// their sums the pixels that they stand for.
const (
	coefR, coefG, coefB    = 0, 1, 2
	coefBias, coefN        = 3, 4
	coefPlanes, meanPlanes = 5, 4
)

// strip filters rows [y0,y1) of cells.
type strip struct {
	dst, src       *colour.Plane
	guide          *colour.Image
	in             colour.Domain
	stride, y0, y1 int
	cw, ch         int     // cells
	eps, zero      float64 // Windows.eps, Windows.coefZero
	moments, coefs boxer
	pixel          [samplePlanes][]uint32 // a row of samples
	mean           [2][meanPlanes][]float32
	wide           [meanPlanes][]float32
	between        []float32
	result         []float32
}

func (s *strip) reset(windows Windows, y0, y1 int) {
	w, h := s.in.Size()
	stride, half := windows.Stride, windows.half()
	s.stride, s.y0, s.y1 = stride, y0, y1
	s.cw, s.ch = (w+stride-1)/stride, (h+stride-1)/stride
	s.eps, s.zero = windows.eps(), windows.coefZero()
	first := s.firstMean()
	s.coefs.reset(coefPlanes, s.cw, s.ch, first, half)
	s.moments.reset(momentPlanes, s.cw, s.ch, s.coefs.ready, half)
	for i := range s.pixel {
		s.pixel[i] = colour.Resized(s.pixel[i], s.cw*stride)
		clear(s.pixel[i])
	}
	for p := range s.wide {
		s.mean[0][p], s.mean[1][p] = colour.Resized(s.mean[0][p], s.cw), colour.Resized(s.mean[1][p], s.cw)
		s.wide[p] = colour.Resized(s.wide[p], s.cw*stride)
	}
	s.between = colour.Resized(s.between, s.cw+2)
	s.result = colour.Resized(s.result, w)
}

// firstMean returns the first row of cells whose mean coefficients matter: the
// first pixels of a cell lie between it and the one above.
func (s *strip) firstMean() int {
	if s.stride == 1 {
		return s.y0
	}
	return max(0, s.y0-1)
}

func (s *strip) run(ctx context.Context) {
	_, h := s.in.Size()
	y, end := s.y0*s.stride, min(s.y1*s.stride, h)
	for cy := s.firstMean(); y < end; cy++ {
		if ctx.Err() != nil {
			return
		}
		above, here := &s.mean[(cy+1)%2], &s.mean[cy%2]
		if cy < s.ch {
			s.average(here, s.coefs.next(s.solveRow))
		} else {
			here = above // below the last cell's middle
		}
		if cy == 0 {
			above = here // above the first cell's
		}
		for ; y < min(end, s.stride*cy+(s.stride+1)/2); y++ {
			t := (float32(y)+0.5)/float32(s.stride) - 0.5 - float32(cy-1)
			s.write(y, above, here, t)
		}
	}
}

// solveRow works out the filter's coefficients for the windows of a row of
// cells, each times the pixels of its cell.
func (s *strip) solveRow(cy int, into [][]uint32) {
	sums := s.moments.next(s.load)
	count := s.moments.row(sumN, cy)[:s.cw]
	red, green, blue, bias := into[coefR][:s.cw], into[coefG][:s.cw], into[coefB][:s.cw], into[coefBias][:s.cw]
	copy(into[coefN], count)
	eps, zero := s.eps, s.zero
	var w window
	for x, n := range count {
		red[x], green[x], blue[x], bias[x] = 0, 0, 0, 0
		if n == 0 {
			continue
		}
		w.read(sums, x)
		r, g, b, rest := w.solve(eps)
		red[x], green[x], blue[x], bias[x] = n*whole(r, zero), n*whole(g, zero), n*whole(b, zero), n*whole(rest, zero)
	}
}

// average writes the mean coefficients over the windows that contain each cell.
func (s *strip) average(to *[meanPlanes][]float32, sums [][]uint64) {
	n := sums[coefN]
	r, g, b, bias := sums[coefR][:len(n)], sums[coefG][:len(n)], sums[coefB][:len(n)], sums[coefBias][:len(n)]
	mr, mg, mb, mBias := to[coefR][:len(n)], to[coefG][:len(n)], to[coefB][:len(n)], to[coefBias][:len(n)]
	zero := s.zero
	for x, n := range n {
		share := 1 / float64(float64(int64(max(n, 1)))*coefOne)
		mr[x] = float32(mean(r, x, share) - zero)
		mg[x] = float32(mean(g, x, share) - zero)
		mb[x] = float32(mean(b, x, share) - zero)
		mBias[x] = float32(mean(bias, x, share) - zero)
	}
}

// write writes what takes part of a row of pixels, t of the way from the middle
// of the cells above to that of the cells here.
func (s *strip) write(y int, above, here *[meanPlanes][]float32, t float32) {
	coef := *here
	if s.stride > 1 {
		for p := range coef {
			s.widen(s.wide[p], above[p], here[p], t)
		}
		coef = s.wide
	}
	row, part := s.in.Row(s.dst, y), s.in.Part(y)
	to := row
	if part != nil {
		to = s.result[:len(row)]
	}
	r, g, b := s.in.Row(&s.guide.R, y)[:len(to)], s.in.Row(&s.guide.G, y)[:len(to)], s.in.Row(&s.guide.B, y)[:len(to)]
	ar, ag, ab, bias := coef[0][:len(to)], coef[1][:len(to)], coef[2][:len(to)], coef[3][:len(to)]
	for x := range to {
		v := bias[x] + float32(ar[x]*colour.Clamped(r[x])) + float32(ag[x]*colour.Clamped(g[x])) + float32(ab[x]*colour.Clamped(b[x]))
		to[x] = colour.Clamped(v)
	}
	for x, m := range part {
		if m > 0 {
			row[x] = to[x]
		}
	}
}

// widen interpolates cells to pixels, between their middles.
func (s *strip) widen(dst, above, here []float32, t float32) {
	n := len(here)
	row := s.between[:n+2]
	for x, v := range here {
		row[x+1] = above[x] + float32(t*(v-above[x]))
	}
	row[0], row[n+1] = row[1], row[n]
	for i := range s.stride {
		u := (float32(i)+0.5)/float32(s.stride) - 0.5
		left := row[1:]
		if u < 0 {
			u, left = u+1, row
		}
		for x, c := 0, i; x < n; x, c = x+1, c+s.stride {
			dst[c] = left[x] + float32(u*(left[x+1]-left[x]))
		}
	}
}
