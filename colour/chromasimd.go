//go:build goexperiment.simd && amd64

package colour

import "simd/archsimd"

// wideTwo is the loops of addTwoAmid and addTwoFirst eight samples at a time,
// with their bits, where the processor can. It returns how many samples it has
// done: pairs of pixels that lie behind them.
func wideTwo(r, g, b, luma []float32, t *chromaTerms, site Site) (done int) {
	if !archsimd.X86.AVX2() {
		return 0
	}
	wide := wideFirst
	if site == Amid {
		wide = wideAmid
	}
	for _, c := range [3]struct{ dst, terms []float32 }{{r, t.red}, {g, t.green}, {b, t.blue}} {
		done = wide(c.dst, luma, c.terms)
	}
	archsimd.ClearAVXUpperBits() // or scalar code that follows is slow
	return done
}

func wideFirst(dst, luma, terms []float32) (i int) {
	half := archsimd.BroadcastFloat32x8(0.5)
	for ; i+lanes < len(terms) && 2*i+2*lanes <= len(dst) && 2*i+2*lanes <= len(luma); i += lanes {
		near := archsimd.LoadFloat32x8Slice(terms[i : i+lanes])
		next := archsimd.LoadFloat32x8Slice(terms[i+1 : i+1+lanes])
		storePairs(dst[2*i:2*i+2*lanes], luma[2*i:2*i+2*lanes], near, next.Sub(near).Mul(half).Add(near))
	}
	return i
}

func wideAmid(dst, luma, terms []float32) (i int) {
	quarter := archsimd.BroadcastFloat32x8(0.25)
	for ; i+lanes < len(terms) && 2*i+2*lanes <= len(dst) && 2*i+2*lanes <= len(luma); i += lanes {
		near := archsimd.LoadFloat32x8Slice(terms[i : i+lanes])
		next := archsimd.LoadFloat32x8Slice(terms[i+1 : i+1+lanes])
		d := next.Sub(near).Mul(quarter)
		storePairs(dst[2*i:2*i+2*lanes], luma[2*i:2*i+2*lanes], near.Add(d), next.Sub(d))
	}
	return i
}

// storePairs writes luma and the terms a0, b0, a1, b1 and so on.
func storePairs(dst, luma []float32, a, b archsimd.Float32x8) {
	zero, one := archsimd.BroadcastFloat32x8(0), archsimd.BroadcastFloat32x8(1)
	low := a.AsInt32x8().InterleaveLoGrouped(b.AsInt32x8()).AsFloat32x8()
	high := a.AsInt32x8().InterleaveHiGrouped(b.AsInt32x8()).AsFloat32x8()
	first, second := low.Select128FromPair(0, 2, high), low.Select128FromPair(1, 3, high)
	archsimd.LoadFloat32x8Slice(luma[:lanes]).Add(first).Max(zero).Min(one).StoreSlice(dst[:lanes])
	archsimd.LoadFloat32x8Slice(luma[lanes : 2*lanes]).Add(second).Max(zero).Min(one).StoreSlice(dst[lanes : 2*lanes])
}

// wideMix is mix eight samples at a time.
func wideMix(dst, near, far []float32, part float32) (i int) {
	if !archsimd.X86.AVX2() {
		return 0
	}
	weight := archsimd.BroadcastFloat32x8(part)
	for ; i+lanes <= len(dst) && i+lanes <= len(near) && i+lanes <= len(far); i += lanes {
		v := archsimd.LoadFloat32x8Slice(near[i : i+lanes])
		archsimd.LoadFloat32x8Slice(far[i : i+lanes]).Sub(v).Mul(weight).Add(v).StoreSlice(dst[i : i+lanes])
	}
	archsimd.ClearAVXUpperBits()
	return i
}
