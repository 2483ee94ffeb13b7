package colour

import (
	"context"
	"math"
)

// The calm's figures. Prototypes on real pictures chose them: a wider window
// costs more than it quietens, a range sigma of 6 times the noise takes the
// specks of a pick without moving its edges, and below the floor a clean
// picture would keep the steps of its own 8-bit codes.
const (
	calmReach    = 2    // px; the window is 5 x 5
	calmSigma    = 2.0  // px, spatial
	calmPerNoise = 6.0  // range sigma over the noise
	calmFloor    = 0.04 // least range sigma, in encoded units
)

// CalmSigma returns the range sigma of Calm: 6 times the root mean square of
// the three channels' noise, at least 0.04, over the Euclidean distance in RGB.
func CalmSigma(noise [3]float64) float64 {
	sum := 0.
	for _, n := range noise {
		sum += float64(n * n)
	}
	rms := math.Sqrt(sum / 3)
	if s := calmPerNoise * rms; s > calmFloor && s <= math.MaxFloat64 {
		return s
	}
	return calmFloor
}

// A Calmer quietens pictures and keeps its buffers for the next one. The zero
// value is ready. It serves one Calm at a time.
type Calmer struct {
	kernel calmKernel
	bands  spares[calmBand]
}

// Calm is Calmer.Calm without buffers to keep.
func Calm(ctx context.Context, dst, src *Image, noise [3]float64, workers int) error {
	var c Calmer
	return c.Calm(ctx, dst, src, noise, workers)
}

// Calm writes src, with its noise smoothed and its edges kept, to dst, which is
// made the size of src and must not be src. noise is what Noise measured.
//
// It is the bilateral filter (C. Tomasi, R. Manduchi, "Bilateral Filtering for
// Gray and Color Images", ICCV 1998) over 5 x 5 pixels: each neighbour q of p
// weighs exp(-|q-p|^2 / (2*2^2)) * exp(-|I(q)-I(p)|^2 / (2 s^2)), s being
// CalmSigma. At the border the window is clipped and the weights that remain
// are scaled up. The result is within 0.0005 of that formula. Samples that are
// not finite count as 0.
func (c *Calmer) Calm(ctx context.Context, dst, src *Image, noise [3]float64, workers int) error {
	w, h := src.Size()
	if w > 0 && h > 0 && len(dst.R.Pix) > 0 && &dst.R.Pix[0] == &src.R.Pix[0] {
		panic("colour: Calm into its own source")
	}
	dst.Reshape(w, h)
	c.kernel.set(CalmSigma(noise))
	return EachBand(ctx, workers, h, func(y0, y1 int) {
		b := c.bands.take()
		b.reset(w)
		b.run(&c.kernel, dst, src, y0, y1)
		c.bands.give(b)
	})
}

// calmCells is the number of cells a doubling of 1+u gets in the table of
// exp(-u): 2^10 keep a weight within 0.0005 of the formula where it is
// largest. Four doublings reach u = 15, where a weight is 3e-7 and may go.
const (
	calmCellBits = 10
	calmCells    = 4 << calmCellBits
)

// calmKernel is the range weight as a table over u = distance^2 / (2 s^2). The
// cells widen with 1+u, so that the exponent and first bits of the float32
// 1+u are the index.
type calmKernel struct {
	sigma        float64
	scale, width float32 // 1 / (s sqrt 2), with which squares of differences are u; and its inverse
	weight       [calmCells]float32
}

func (k *calmKernel) set(sigma float64) {
	if k.sigma == sigma {
		return
	}
	k.sigma, k.scale, k.width = sigma, float32(1/(sigma*math.Sqrt2)), float32(sigma*math.Sqrt2)
	for i := range calmCells - 1 { // the last one stays 0
		middle := math.Float32frombits(uint32(i)<<(23-calmCellBits) + 1<<(22-calmCellBits) + math.Float32bits(1))
		k.weight[i] = float32(tableEntry(math.Exp(1 - float64(middle))))
	}
}

// calmSpatial is exp(-(dx^2+dy^2) / (2*2^2)) by |dy| and dx+2.
var calmSpatial = func() (table [calmReach + 1][2*calmReach + 1]float32) {
	for dy := range table {
		for i := range table[dy] {
			dx := i - calmReach
			table[dy][i] = float32(tableEntry(math.Exp(-float64(dx*dx+dy*dy) / (2 * calmSigma * calmSigma))))
		}
	}
	return table
}()

// calmColour is a colour times the kernel's scale.
type calmColour struct{ r, g, b float32 }

// calmSum gathers a pixel's weighted differences to its neighbours and the
// weights. The result is the pixel plus their quotient over the scale, the
// pixel itself weighing 1.
type calmSum struct{ r, g, b, w float32 }

// calmBand holds the three rows in work: colours and sums with a margin of two
// columns on both sides. Row y lives at y % 3.
type calmBand struct {
	w       int
	colours [calmReach + 1][]calmColour
	sums    [calmReach + 1][]calmSum
}

// farAway is the colour of the margins: no pixel is like it, so its weight is 0.
var farAway = calmColour{1e18, 1e18, 1e18}

func (b *calmBand) reset(w int) {
	b.w = w
	for i := range b.colours {
		if n := w + 2*calmReach; cap(b.colours[i]) < n {
			b.colours[i], b.sums[i] = make([]calmColour, n), make([]calmSum, n)
		} else {
			b.colours[i], b.sums[i] = b.colours[i][:n], b.sums[i][:n]
		}
		for m := range calmReach {
			b.colours[i][m], b.colours[i][w+calmReach+m] = farAway, farAway
		}
	}
}

// run calms rows [y0,y1). Every pair of pixels is met once, at the upper (or
// left) one, and serves both; the two rows above the band are met again for
// what they give to it.
func (b *calmBand) run(k *calmKernel, dst, src *Image, y0, y1 int) {
	top := max(0, y0-calmReach)
	loaded := top
	for y := top; y < y1; y++ {
		for ; loaded < min(y+calmReach+1, src.R.H); loaded++ {
			b.load(src, loaded, k.scale)
		}
		if y >= y0 {
			b.pair(k, y, y, calmReach+1)
		}
		for q := max(y+1, y0); q < loaded; q++ {
			b.pair(k, y, q, 0)
		}
		if y >= y0 {
			b.store(dst, src, y, k.width)
		}
	}
}

func (b *calmBand) load(src *Image, y int, scale float32) {
	red, green, blue := src.R.Row(y), src.G.Row(y), src.B.Row(y)
	green, blue = green[:len(red)], blue[:len(red)]
	into := b.colours[y%len(b.colours)][calmReach:][:len(red)]
	for x := range into {
		into[x] = calmColour{finite(scale * red[x]), finite(scale * green[x]), finite(scale * blue[x])}
	}
	clear(b.sums[y%len(b.sums)])
}

// pair weighs every pixel of row p with its neighbours in row q, from column
// offset first-2 to 2, and adds to the sums of both.
func (b *calmBand) pair(k *calmKernel, p, q, first int) {
	row, rowSum := b.colours[p%len(b.colours)][calmReach:][:b.w], b.sums[p%len(b.sums)][calmReach:][:b.w]
	near, nearSum := b.colours[q%len(b.colours)], b.sums[q%len(b.sums)]
	spatial := calmSpatial[q-p][first:]
	for x, c := range row {
		s := rowSum[x]
		near, nearSum := near[x+first:][:len(spatial)], nearSum[x+first:][:len(spatial)]
		for i, far := range spatial {
			n, ns := &near[i], &nearSum[i]
			dr, dg, db := n.r-c.r, n.g-c.g, n.b-c.b
			u := float32(dr*dr) + float32(dg*dg) + float32(db*db) + 1
			cell := (math.Float32bits(u) - 127<<23) >> (23 - calmCellBits)
			w := float32(k.weight[min(cell, calmCells-1)] * far)
			dr, dg, db = float32(dr*w), float32(dg*w), float32(db*w)
			s.r, s.g, s.b, s.w = s.r+dr, s.g+dg, s.b+db, s.w+w
			ns.r, ns.g, ns.b, ns.w = ns.r-dr, ns.g-dg, ns.b-db, ns.w+w
		}
		rowSum[x] = s
	}
}

func (b *calmBand) store(dst, src *Image, y int, width float32) {
	sums := b.sums[y%len(b.sums)][calmReach:]
	red, green, blue := dst.R.Row(y), dst.G.Row(y), dst.B.Row(y)
	r, g, bl := src.R.Row(y), src.G.Row(y), src.B.Row(y)
	sums, green, blue = sums[:len(red)], green[:len(red)], blue[:len(red)]
	r, g, bl = r[:len(red)], g[:len(red)], bl[:len(red)]
	for x := range red {
		s := sums[x]
		share := width / (1 + s.w)
		red[x] = finite(r[x]) + float32(s.r*share)
		green[x] = finite(g[x]) + float32(s.g*share)
		blue[x] = finite(bl[x]) + float32(s.b*share)
	}
}
