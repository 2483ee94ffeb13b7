package colour

import (
	"context"
	"image"
	"math"
)

// The figures of noise smoothing. On real pictures it took 82 to 93 % of a pick's specks
// and half of its flicker without loss of accuracy. The floor is 10 codes of an
// 8-bit source, so that a clean picture is smoothed too.
const (
	smoothReach    = 2    // px; the window is 5 x 5
	smoothSigma    = 2.0  // px, spatial
	smoothPerNoise = 6.0  // range sigma over the noise
	smoothFloor    = 0.04 // least range sigma, in encoded units
)

// SmoothSigma returns the range sigma of SmoothNoise: 6 times the root mean square of
// the three channels' noise, at least 0.04, over the Euclidean distance in RGB.
func SmoothSigma(noise [3]float64) float64 {
	sum := 0.
	for _, n := range noise {
		sum += float64(n * n)
	}
	rms := math.Sqrt(sum / 3)
	if s := smoothPerNoise * rms; s > smoothFloor && s <= math.MaxFloat64 {
		return s
	}
	return smoothFloor
}

// A Smoother smooths the noise of pictures and keeps its buffers for the next one.
// The zero value is ready. It serves one call at a time.
type Smoother struct {
	kernel smoothKernel
	bands  smoothBands
}

// SmoothNoise is Smoother.SmoothNoise without buffers to keep.
func SmoothNoise(ctx context.Context, dst, src *Image, noise [3]float64, workers int) error {
	var s Smoother
	return s.SmoothNoise(ctx, dst, src, noise, workers)
}

// SmoothNoise writes src, with its noise smoothed and its edges kept, to dst, which is
// made the size of src and must not be src. noise is what Noise measured.
//
// It is the bilateral filter (C. Tomasi, R. Manduchi, "Bilateral Filtering for
// Gray and Color Images", ICCV 1998) over 5 x 5 pixels: each neighbour q of p
// weighs exp(-|q-p|^2 / (2*2^2)) * exp(-|I(q)-I(p)|^2 / (2 s^2)), s being
// SmoothSigma. At the border the window is clipped and the weights that remain
// are scaled up. The result is within 0.0005 of that formula. Samples that are
// not finite count as 0.
func (s *Smoother) SmoothNoise(ctx context.Context, dst, src *Image, noise [3]float64, workers int) error {
	w, h := src.Size()
	if w > 0 && h > 0 && len(dst.R.Pix) > 0 && &dst.R.Pix[0] == &src.R.Pix[0] {
		panic("colour: SmoothNoise into its own source")
	}
	dst.Reshape(w, h)
	s.kernel.set(SmoothSigma(noise))
	all := smoothSpanOf(0, w, w)
	return EachBand(ctx, workers, h, func(y0, y1 int) { s.bands.run(&s.kernel, dst, src, all, y0, y1) })
}

// SmoothParts is SmoothNoise for parts of a picture that lie apart: there dst, which
// must have src's size, gets the bits that SmoothNoise would give it, and elsewhere
// it stays as it is.
func (s *Smoother) SmoothParts(ctx context.Context, dst, src *Image, noise [3]float64, parts []image.Rectangle, workers int) error {
	s.kernel.set(SmoothSigma(noise))
	return EachPart(ctx, workers, parts, func(r image.Rectangle) {
		s.bands.run(&s.kernel, dst, src, smoothSpanOf(r.Min.X, r.Max.X, src.R.W), r.Min.Y, r.Max.Y)
	})
}

// smoothSpan is the columns [x0,x1) to write, and [from,to) that are read for them.
type smoothSpan struct{ x0, x1, from, to int }

func smoothSpanOf(x0, x1, w int) smoothSpan {
	return smoothSpan{x0, x1, max(0, x0-smoothReach), min(w, x1+smoothReach)}
}

// smoothCells is the number of cells a doubling of 1+u gets in the table of
// exp(-u): 2^10 keep a weight within 0.0005 of the formula where it is
// largest. Four doublings reach u = 15, where a weight is 3e-7 and may go.
const (
	smoothCellBits = 10
	smoothCells    = 4 << smoothCellBits
)

// smoothKernel is the range weight as a table over u = distance^2 / (2 s^2). The
// cells widen with 1+u, so that the exponent and first bits of the float32
// 1+u are the index.
type smoothKernel struct {
	sigma        float64
	scale, width float32 // 1 / (s sqrt 2), with which squares of differences are u; and its inverse
	weight       [smoothCells]float32
}

func (k *smoothKernel) set(sigma float64) {
	if k.sigma == sigma {
		return
	}
	k.sigma, k.scale, k.width = sigma, float32(1/(sigma*math.Sqrt2)), float32(sigma*math.Sqrt2)
	for i := range smoothCells - 1 { // the last one stays 0
		k.weight[i] = float32(tableEntry(math.Exp(1 - float64(smoothCellMiddle(i)))))
	}
}

// smoothCellMiddle returns the 1+u in the middle of cell i.
func smoothCellMiddle(i int) float32 {
	return math.Float32frombits(uint32(i)<<(23-smoothCellBits) + 1<<(22-smoothCellBits) + math.Float32bits(1))
}

// smoothSpatial is exp(-(dx^2+dy^2) / (2*2^2)) by |dy| and dx+2.
var smoothSpatial = func() (table [smoothReach + 1][2*smoothReach + 1]float32) {
	for dy := range table {
		for i := range table[dy] {
			dx := i - smoothReach
			table[dy][i] = float32(tableEntry(math.Exp(-float64(dx*dx+dy*dy) / (2 * smoothSigma * smoothSigma))))
		}
	}
	return table
}()

// farAway is the colour of what lies beside the picture: no pixel is like it,
// so its weight is 0.
const farAway = 1e18

// smoothCell returns the place of u in the table, u1 being 1+u.
func smoothCell(u1 float32) uint32 {
	return min((math.Float32bits(u1)-127<<23)>>(23-smoothCellBits), smoothCells-1)
}

// smoothRows is what smooths a band of rows. Every pair of pixels is met once, at
// the upper (or left) one, and serves both; the two rows above the band are met
// again for what they give to it.
//
// For the sake of the same bits, whatever does this adds in one order: what a
// pixel gains at its own turn and what it gains at others' turns are summed
// apart, each by rows from above to below and within a row by rising offset of
// the neighbour's column.
type smoothRows interface {
	// load takes in the span of row y, scaled, and clears its sums; two rows after it may
	// be in work with it.
	load(k *smoothKernel, src *Image, y int)
	// turn begins row y's own turn.
	turn()
	// pair weighs every pixel of row p with its neighbours in row q, from
	// column offset first-2 to 2, and adds to the sums of both.
	pair(k *smoothKernel, p, q, first int)
	// store writes the span of row y, whose sums are complete.
	store(k *smoothKernel, dst, src *Image, y int)
}

func smoothRun(b smoothRows, k *smoothKernel, dst, src *Image, y0, y1 int) {
	top := max(0, y0-smoothReach)
	loaded := top
	for y := top; y < y1; y++ {
		for ; loaded < min(y+smoothReach+1, src.R.H); loaded++ {
			b.load(k, src, loaded)
		}
		b.turn()
		if y >= y0 {
			b.pair(k, y, y, smoothReach+1)
		}
		for q := max(y+1, y0); q < loaded; q++ {
			b.pair(k, y, q, 0)
		}
		if y >= y0 {
			b.store(k, dst, src, y)
		}
	}
}
