//go:build goexperiment.simd && amd64

package colour

import (
	"math"
	"simd/archsimd"
)

// smoothBands smooths bands of rows, eight pixels at a time where the processor
// can, and keeps its buffers.
type smoothBands struct {
	plain Pool[smoothBand]
	wide  Pool[smoothWide]
}

func (s *smoothBands) run(k *smoothKernel, dst, src *Image, span smoothSpan, y0, y1 int) {
	if archsimd.X86.AVX2() {
		b := s.wide.Take()
		b.reset(span)
		smoothRun(b, k, dst, src, y0, y1)
		s.wide.Give(b)
		return
	}
	b := s.plain.Take()
	b.reset(span)
	smoothRun(b, k, dst, src, y0, y1)
	s.plain.Give(b)
}

const (
	lanes       = 8
	smoothBlock = 256 // columns whose rows, sums and weights stay in the first-level cache
)

// smoothWide is smoothRows eight pixels at a time, with the bits of smoothBand. Each
// channel is a row of its own, widened to whole lanes.
type smoothWide struct {
	span    smoothSpan
	colours [smoothReach + 1][3][]float32 // with a margin of two columns on both sides
	sums    [smoothReach + 1][4][]float32 // likewise
	own     [4][]float32
	cells   [smoothBlock]uint32
	weights [smoothBlock]uint32
}

func (b *smoothWide) reset(span smoothSpan) {
	b.span = span
	w := span.to - span.from
	n := (w + lanes - 1) / lanes * lanes
	for i := range b.colours {
		for c := range b.colours[i] {
			row := Resized(b.colours[i][c], n+2*smoothReach)
			b.colours[i][c] = row
			for _, margin := range [][]float32{row[:smoothReach], row[smoothReach+w:]} {
				for x := range margin {
					margin[x] = farAway
				}
			}
		}
		for c := range b.sums[i] {
			b.sums[i][c] = Resized(b.sums[i][c], n+2*smoothReach)
		}
	}
	for c := range b.own {
		b.own[c] = Resized(b.own[c], n)
	}
}

func (b *smoothWide) load(k *smoothKernel, src *Image, y int) {
	slot := y % len(b.colours)
	for c, row := range [3][]float32{src.R.Row(y), src.G.Row(y), src.B.Row(y)} {
		row = row[b.span.from:b.span.to]
		into := b.colours[slot][c][smoothReach:][:len(row)]
		for x, v := range row {
			into[x] = finite(float32(k.scale * v))
		}
	}
	for c := range b.sums[slot] {
		clear(b.sums[slot][c])
	}
}

func (b *smoothWide) turn() {
	for c := range b.own {
		clear(b.own[c])
	}
}

// pair takes one column offset after the other over a block, and the blocks
// downward: that is smoothBand's order for every sum.
func (b *smoothWide) pair(k *smoothKernel, p, q, first int) {
	row, near, sums := &b.colours[p%len(b.colours)], &b.colours[q%len(b.colours)], &b.sums[q%len(b.sums)]
	w := len(b.own[0])
	for x := (w - 1) / smoothBlock * smoothBlock; x >= 0; x -= smoothBlock {
		n := min(smoothBlock, w-x)
		for i, far := range smoothSpatial[q-p][first:] {
			here, there := x+smoothReach, x+first+i
			smoothCellsOf(b.cells[:n], row[0][here:], row[1][here:], row[2][here:], near[0][there:], near[1][there:], near[2][there:])
			smoothWeigh(&k.weight, b.weights[:n], b.cells[:n])
			for c := range row {
				smoothGain(far, b.weights[:n], row[c][here:], near[c][there:], b.own[c][x:], sums[c][there:])
			}
			smoothGainWeight(far, b.weights[:n], b.own[3][x:], sums[3][there:])
		}
	}
	archsimd.ClearAVXUpperBits() // or scalar code that follows is slow
}

// smoothCellsOf finds the cells of differences, as smoothCell does.
func smoothCellsOf(cells []uint32, r, g, b, nr, ng, nb []float32) {
	one := archsimd.BroadcastFloat32x8(1)
	base := archsimd.BroadcastUint32x8(127 << 23)
	last := archsimd.BroadcastUint32x8(smoothCells - 1)
	n := len(cells)
	r, g, b, nr, ng, nb = r[:n], g[:n], b[:n], nr[:n], ng[:n], nb[:n]
	for x := 0; x <= n-lanes; x += lanes {
		dr := archsimd.LoadFloat32x8Slice(nr[x : x+lanes]).Sub(archsimd.LoadFloat32x8Slice(r[x : x+lanes]))
		dg := archsimd.LoadFloat32x8Slice(ng[x : x+lanes]).Sub(archsimd.LoadFloat32x8Slice(g[x : x+lanes]))
		db := archsimd.LoadFloat32x8Slice(nb[x : x+lanes]).Sub(archsimd.LoadFloat32x8Slice(b[x : x+lanes]))
		u := dr.Mul(dr).Add(dg.Mul(dg)).Add(db.Mul(db)).Add(one)
		u.AsUint32x8().Sub(base).ShiftAllRight(23 - smoothCellBits).Min(last).StoreSlice(cells[x : x+lanes])
	}
}

// smoothWeigh looks up the cells' weights, as bits: a float32 register would drag
// what vector code left in its upper half along.
func smoothWeigh(table *[smoothCells]float32, weights, cells []uint32) {
	for len(cells) >= 4 && len(weights) >= 4 {
		c0, c1, c2, c3 := cells[0], cells[1], cells[2], cells[3]
		weights[0] = math.Float32bits(table[c0%smoothCells])
		weights[1] = math.Float32bits(table[c1%smoothCells])
		weights[2] = math.Float32bits(table[c2%smoothCells])
		weights[3] = math.Float32bits(table[c3%smoothCells])
		cells, weights = cells[4:], weights[4:]
	}
}

// smoothGain adds what pixels and their neighbours give each other in a channel.
func smoothGain(spatial float32, weights []uint32, row, near, own, sums []float32) {
	n := len(weights)
	row, near, own, sums = row[:n], near[:n], own[:n], sums[:n]
	far := archsimd.BroadcastFloat32x8(spatial)
	for x := 0; x <= n-lanes; x += lanes {
		w := archsimd.LoadUint32x8Slice(weights[x : x+lanes]).AsFloat32x8().Mul(far)
		d := archsimd.LoadFloat32x8Slice(near[x : x+lanes]).Sub(archsimd.LoadFloat32x8Slice(row[x : x+lanes])).Mul(w)
		archsimd.LoadFloat32x8Slice(own[x : x+lanes]).Add(d).StoreSlice(own[x : x+lanes])
		archsimd.LoadFloat32x8Slice(sums[x : x+lanes]).Sub(d).StoreSlice(sums[x : x+lanes])
	}
}

// smoothGainWeight adds the weights to both sides.
func smoothGainWeight(spatial float32, weights []uint32, own, sums []float32) {
	n := len(weights)
	own, sums = own[:n], sums[:n]
	far := archsimd.BroadcastFloat32x8(spatial)
	for x := 0; x <= n-lanes; x += lanes {
		w := archsimd.LoadUint32x8Slice(weights[x : x+lanes]).AsFloat32x8().Mul(far)
		archsimd.LoadFloat32x8Slice(own[x : x+lanes]).Add(w).StoreSlice(own[x : x+lanes])
		archsimd.LoadFloat32x8Slice(sums[x : x+lanes]).Add(w).StoreSlice(sums[x : x+lanes])
	}
}

func (b *smoothWide) store(k *smoothKernel, dst, src *Image, y int) {
	sums := &b.sums[y%len(b.sums)]
	b.share(k.width, sums[3][smoothReach:])
	for c, row := range [3][2][]float32{{dst.R.Row(y), src.R.Row(y)}, {dst.G.Row(y), src.G.Row(y)}, {dst.B.Row(y), src.B.Row(y)}} {
		x0, x1, at := b.span.x0, b.span.x1, b.span.x0-b.span.from
		smoothStore(row[0][x0:x1], row[1][x0:x1], b.own[c][at:], sums[c][smoothReach+at:], b.own[3][at:])
	}
}

// share turns the row's own weights into what its differences are multiplied by.
func (b *smoothWide) share(width float32, sums []float32) {
	own := b.own[3]
	sums = sums[:len(own)]
	one, over := archsimd.BroadcastFloat32x8(1), archsimd.BroadcastFloat32x8(width)
	for x := 0; x <= len(own)-lanes; x += lanes {
		w := archsimd.LoadFloat32x8Slice(own[x : x+lanes]).Add(archsimd.LoadFloat32x8Slice(sums[x : x+lanes]))
		over.Div(one.Add(w)).StoreSlice(own[x : x+lanes])
	}
	archsimd.ClearAVXUpperBits()
}

func smoothStore(to, from, own, sums, share []float32) {
	n := len(to)
	from, own, sums, share = from[:n], own[:n], sums[:n], share[:n]
	for x, v := range from {
		to[x] = finite(v) + float32((own[x]+sums[x])*share[x])
	}
}
