package selection

import (
	"context"
	"runtime"

	"halocline/colour"
)

// alignEps is the guided filter's regularisation, on a scale where guide and
// alpha go from 0 to 1: what varies by less than about 0.02 is no edge.
const alignEps = 0.02 * 0.02

// Samples are whole numbers in the sums, so that these are exact. The guide has
// 14 bits: more would not fit a cell's sum of products, and the rounding stays
// below a hundredth of the noise that eps passes over. Alpha has 14 bits in the
// products, 10 more for its mean.
const (
	guideOne = 1<<14 - 1
	lowOne   = 1 << 10
)

// Coefficients are whole numbers too. Those of the filter are within 12.5 and
// 23, by |a| <= 0.5 / (2 sqrt(eps)).
const (
	coefOne  = 1 << 20
	coefZero = 32
)

// alignStride returns the side of the cells for which a radius is worked out: He
// & Sun, "Fast Guided Filter" (2015), with the difference that every pixel
// enters the sums; only the windows are fewer. Measured on noisy edges, on
// checkerboards under random mattes and on faint edges beside those of the
// matte, this stays within 0.01: below radius 16 two rows of windows are up to
// 0.02 apart, below 64 four up to 0.016. Under masks, whose parts may be
// narrower than a cell, they are up to 0.03 apart at four, so there are never
// more than two.
func alignStride(radius float64, masked bool) int {
	switch {
	case masked && radius >= 96:
		return 2
	case masked || radius < 16:
		return 1
	case radius < 64:
		return 2
	}
	return 4
}

func alignReach(radius float64) (reach int) {
	if radius == 0 {
		return 0
	}
	for _, masked := range []bool{false, true} {
		stride := alignStride(radius, masked)
		cells, _, _ := boxReach(alignHalf(radius, stride))
		reach = max(reach, stride*(2*(cells+1)+2))
	}
	return reach
}

// alignHalf returns half the width of a window in cells.
func alignHalf(radius float64, stride int) float64 {
	return (2*radius + 1) / float64(2*stride)
}

// The planes of sums for one row of cells.
const (
	sumR, sumG, sumB       = 0, 1, 2
	sumP, sumLow           = 3, 4 // alpha, and what rounding took from it
	sumN                   = 5    // pixels that take part
	sumRP, sumGP, sumBP    = 6, 7, 8
	sumRR, sumRG, sumRB    = 9, 10, 11
	sumGG, sumGB, sumBB    = 12, 13, 14
	momentPlanes           = 15
	coefR, coefG, coefB    = 0, 1, 2
	coefBias, coefN        = 3, 4
	coefPlanes, meanPlanes = 5, 4
)

// aligner is the guided filter.
type aligner struct{ strips colour.Pool[alignStrip] }

func (f *aligner) run(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, in domain, radius float64, workers int) error {
	switch {
	case guide == nil:
		panic("selection: found no picture to align a matte to, want one of the matte's size")
	case !guide.R.SameSize(*src) || !guide.G.SameSize(*src) || !guide.B.SameSize(*src):
		panic("selection: found a picture of another size than the matte, want one of the matte's size")
	}
	in.begin(dst, src)
	if in.empty() {
		return ctx.Err()
	}
	return f.filter(ctx, dst, src, guide, in, radius, alignStride(radius, in.masked), workers)
}

// filter filters with cells of a given side.
func (f *aligner) filter(ctx context.Context, dst, src *colour.Plane, guide *colour.Image, in domain, radius float64, stride, workers int) error {
	_, h := in.size()
	rows, half := (h+stride-1)/stride, alignHalf(radius, stride)
	return colour.EachStrip(ctx, workers, rows, alignRows(rows, half, workers), func(y0, y1 int) {
		s := f.strips.Take()
		s.dst, s.src, s.guide, s.in = dst, src, guide, in
		s.reset(stride, y0, y1, half)
		s.run(ctx)
		f.strips.Give(s)
	})
}

// alignRows returns the height of strips: two for each worker, as long as
// they are higher than what each must read above and below. The sums are
// exact, so the strips do not show.
func alignRows(rows int, half float64, workers int) int {
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	if workers == 1 {
		return rows
	}
	return max((rows+2*workers-1)/(2*workers), int(4*half)+16)
}

// alignStrip filters rows [y0,y1) of cells.
type alignStrip struct {
	dst, src       *colour.Plane
	guide          *colour.Image
	in             domain
	stride, y0, y1 int
	cw, ch         int // cells
	moments, coefs boxer
	pixel          [6][]uint32 // a row of r, g, b, alpha, its low part, takes part
	mean           [2][meanPlanes][]float32
	wide           [meanPlanes][]float32
	between        []float32
}

func (s *alignStrip) reset(stride, y0, y1 int, half float64) {
	w, h := s.in.size()
	s.stride, s.y0, s.y1 = stride, y0, y1
	s.cw, s.ch = (w+stride-1)/stride, (h+stride-1)/stride
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
}

// firstMean returns the first row of cells whose mean coefficients matter: the
// first pixels of a cell lie between it and the one above.
func (s *alignStrip) firstMean() int {
	if s.stride == 1 {
		return s.y0
	}
	return max(0, s.y0-1)
}

func (s *alignStrip) run(ctx context.Context) {
	_, h := s.in.size()
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

// load sums the pixels of a row of cells.
func (s *alignStrip) load(cy int, into [][]uint32) {
	_, h := s.in.size()
	if s.stride == 1 {
		s.quantise(into, cy)
		for i, pair := range products {
			multiply(into[sumRP+i], into[pair[0]], into[pair[1]])
		}
		return
	}
	for _, plane := range into {
		clear(plane)
	}
	for y := cy * s.stride; y < min((cy+1)*s.stride, h); y++ {
		s.quantise(s.pixel[:], y)
		for i := range s.pixel {
			addCells(into[i], s.pixel[i], s.stride)
		}
		for i, pair := range products {
			addProducts(into[sumRP+i], s.pixel[pair[0]], s.pixel[pair[1]], s.stride)
		}
	}
}

// products are the planes whose products are summed, from sumRP on.
var products = [...][2]int{
	{sumR, sumP}, {sumG, sumP}, {sumB, sumP},
	{sumR, sumR}, {sumR, sumG}, {sumR, sumB}, {sumG, sumG}, {sumG, sumB}, {sumB, sumB},
}

func multiply(to, a, b []uint32) {
	a, b = a[:len(to)], b[:len(to)]
	for x := range to {
		to[x] = a[x] * b[x]
	}
}

// addCells adds the pixels of each cell, stride of them, two or four, to it.
func addCells(to, a []uint32, stride int) {
	a = a[:len(to)*stride]
	if stride == 2 {
		for c := range to {
			to[c] += a[2*c] + a[2*c+1]
		}
		return
	}
	for c := range to {
		i := 4 * c
		to[c] += a[i] + a[i+1] + a[i+2] + a[i+3]
	}
}

// addProducts adds the products of the pixels of each cell, stride of them, to it.
func addProducts(to, a, b []uint32, stride int) {
	a, b = a[:len(to)*stride], b[:len(to)*stride]
	if stride == 2 {
		for c := range to {
			to[c] += a[2*c]*b[2*c] + a[2*c+1]*b[2*c+1]
		}
		return
	}
	for c := range to {
		i := 4 * c
		to[c] += a[i]*b[i] + a[i+1]*b[i+1] + a[i+2]*b[i+2] + a[i+3]*b[i+3]
	}
}

// quantise writes a row of pixels as whole numbers: guide, alpha, its low part,
// and 1. Those that take no part are 0.
func (s *alignStrip) quantise(into [][]uint32, y int) {
	for c, p := range []*colour.Plane{&s.guide.R, &s.guide.G, &s.guide.B} {
		row := s.in.row(p, y)
		out := into[c][:len(row)]
		for x, v := range row {
			out[x] = uint32(int32(float32(alpha(v)*guideOne) + 0.5))
		}
	}
	row := s.in.row(s.src, y)
	high, low, count := into[sumP][:len(row)], into[sumLow][:len(row)], into[sumN][:len(row)]
	for x, v := range row {
		all := uint32(int64(float64(float64(alpha(v))*(guideOne*lowOne)) + 0.5))
		high[x], low[x], count[x] = all/lowOne, all%lowOne, 1
	}
	for x, m := range s.in.part(y) {
		if !(m > 0) {
			for _, plane := range into[:sumN+1] {
				plane[x] = 0
			}
		}
	}
}

// solveRow works out the filter's coefficients for the windows of a row of
// cells, each times the pixels of its cell.
func (s *alignStrip) solveRow(cy int, into [][]uint32) {
	sums := s.moments.next(s.load)
	count := s.moments.row(sumN, cy)[:s.cw]
	red, green, blue, bias := into[coefR][:s.cw], into[coefG][:s.cw], into[coefB][:s.cw], into[coefBias][:s.cw]
	copy(into[coefN], count)
	var w window
	for x, n := range count {
		red[x], green[x], blue[x], bias[x] = 0, 0, 0, 0
		if n == 0 {
			continue
		}
		w.read(sums, x)
		r, g, b, rest := w.solve()
		red[x], green[x], blue[x], bias[x] = n*whole(r), n*whole(g), n*whole(b), n*whole(rest)
	}
}

// whole returns a coefficient as a whole number.
func whole(v float64) uint32 {
	return uint32(min(max(int64(float64((v+coefZero)*coefOne)+0.5), 0), 2*coefZero*coefOne))
}

// window is the means of the pixels in a window: of guide and alpha, of alpha's
// low part, and of products.
type window struct {
	r, g, b, p, low        float64
	rp, gp, bp             float64
	rr, rg, rb, gg, gb, bb float64
}

// read takes the means from the sums at x.
func (w *window) read(sums [][]uint64, x int) {
	_ = sums[momentPlanes-1]
	share := 1 / float64(int64(sums[sumN][x]))
	w.r, w.g, w.b = mean(sums[sumR], x, share), mean(sums[sumG], x, share), mean(sums[sumB], x, share)
	w.p, w.low = mean(sums[sumP], x, share), mean(sums[sumLow], x, share)
	w.rp, w.gp, w.bp = mean(sums[sumRP], x, share), mean(sums[sumGP], x, share), mean(sums[sumBP], x, share)
	w.rr, w.rg, w.rb = mean(sums[sumRR], x, share), mean(sums[sumRG], x, share), mean(sums[sumRB], x, share)
	w.gg, w.gb, w.bb = mean(sums[sumGG], x, share), mean(sums[sumGB], x, share), mean(sums[sumBB], x, share)
}

// mean returns a share of the sum at x. Sums are below 2^63, and a signed
// number is quicker to convert.
func mean(sum []uint64, x int, share float64) float64 {
	return float64(float64(int64(sum[x])) * share)
}

// solve returns a and b of the filter: a is (Sigma + eps U)^-1 times the
// covariance of guide and alpha, b what is left of alpha's mean.
func (w *window) solve() (ar, ag, ab, bias float64) {
	r, g, b, p := w.r, w.g, w.b, w.p
	const eps = alignEps * guideOne * guideOne
	rr, rg, rb := w.rr-float64(r*r)+eps, w.rg-float64(r*g), w.rb-float64(r*b)
	gg, gb, bb := w.gg-float64(g*g)+eps, w.gb-float64(g*b), w.bb-float64(b*b)+eps
	rp, gp, bp := w.rp-float64(r*p), w.gp-float64(g*p), w.bp-float64(b*p)

	// The adjugate of the symmetric matrix.
	irr, irg, irb := float64(gg*bb)-float64(gb*gb), float64(rb*gb)-float64(rg*bb), float64(rg*gb)-float64(rb*gg)
	igg, igb, ibb := float64(rr*bb)-float64(rb*rb), float64(rg*rb)-float64(rr*gb), float64(rr*gg)-float64(rg*rg)
	inverse := 1 / (float64(rr*irr) + float64(rg*irg) + float64(rb*irb))
	ar = float64((float64(irr*rp) + float64(irg*gp) + float64(irb*bp)) * inverse)
	ag = float64((float64(irg*rp) + float64(igg*gp) + float64(igb*bp)) * inverse)
	ab = float64((float64(irb*rp) + float64(igb*gp) + float64(ibb*bp)) * inverse)
	low := float64(w.low * (1. / lowOne))
	bias = float64((p + low - float64(ar*r) - float64(ag*g) - float64(ab*b)) * (1. / guideOne))
	return ar, ag, ab, bias
}

// average writes the mean coefficients over the windows that contain each cell.
func (s *alignStrip) average(to *[meanPlanes][]float32, sums [][]uint64) {
	n := sums[coefN]
	r, g, b, bias := sums[coefR][:len(n)], sums[coefG][:len(n)], sums[coefB][:len(n)], sums[coefBias][:len(n)]
	mr, mg, mb, mBias := to[coefR][:len(n)], to[coefG][:len(n)], to[coefB][:len(n)], to[coefBias][:len(n)]
	for x, n := range n {
		share := 1 / float64(float64(int64(max(n, 1)))*coefOne)
		mr[x] = float32(mean(r, x, share) - coefZero)
		mg[x] = float32(mean(g, x, share) - coefZero)
		mb[x] = float32(mean(b, x, share) - coefZero)
		mBias[x] = float32(mean(bias, x, share) - coefZero)
	}
}

// write writes a row of pixels, t of the way from the middle of the cells above
// to that of the cells here.
func (s *alignStrip) write(y int, above, here *[meanPlanes][]float32, t float32) {
	coef := *here
	if s.stride > 1 {
		for p := range coef {
			s.widen(s.wide[p], above[p], here[p], t)
		}
		coef = s.wide
	}
	to := s.in.row(s.dst, y)
	r, g, b := s.in.row(&s.guide.R, y)[:len(to)], s.in.row(&s.guide.G, y)[:len(to)], s.in.row(&s.guide.B, y)[:len(to)]
	ar, ag, ab, bias := coef[0][:len(to)], coef[1][:len(to)], coef[2][:len(to)], coef[3][:len(to)]
	for x := range to {
		v := bias[x] + float32(ar[x]*alpha(r[x])) + float32(ag[x]*alpha(g[x])) + float32(ab[x]*alpha(b[x]))
		to[x] = alpha(v)
	}
	keep(to, s.in.row(s.src, y), s.in.part(y))
}

// widen interpolates cells to pixels, between their middles.
func (s *alignStrip) widen(dst, above, here []float32, t float32) {
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
