//go:build goexperiment.simd && amd64

package selection

import (
	"simd/archsimd"

	"halocline/colour"
)

// The kernels of fir.go and grow.go, eight samples at a time where the processor can, with
// the same bits: the same sums in the same order, and no fused multiply-add.

const lanes = 8

// useLanes leaves a row's last few samples, and rows on old processors, to the
// plain kernels.
func useLanes(n int) bool { return n >= lanes && archsimd.X86.AVX2() }

func at(row []float32, x int) archsimd.Float32x8 {
	return archsimd.LoadFloat32x8Slice(row[x : x+lanes])
}

func foldFirst(dst, centre []float32, taps [][]float32, middle int, weight []float32) {
	n := len(dst)
	if !useLanes(n) {
		foldFirstPlain(dst, centre, taps, middle, weight)
		return
	}
	l1, l2, l3, l4 := taps[middle-1][:n], taps[middle-2][:n], taps[middle-3][:n], taps[middle-4][:n]
	r1, r2, r3, r4 := taps[middle+1][:n], taps[middle+2][:n], taps[middle+3][:n], taps[middle+4][:n]
	w0 := archsimd.BroadcastFloat32x8(weight[0])
	w1, w2 := archsimd.BroadcastFloat32x8(weight[1]), archsimd.BroadcastFloat32x8(weight[2])
	w3, w4 := archsimd.BroadcastFloat32x8(weight[3]), archsimd.BroadcastFloat32x8(weight[4])
	x := 0
	for ; x <= n-lanes; x += lanes {
		v := at(centre, x).Mul(w0)
		v = v.Add(at(l1, x).Add(at(r1, x)).Mul(w1))
		v = v.Add(at(l2, x).Add(at(r2, x)).Mul(w2))
		v = v.Add(at(l3, x).Add(at(r3, x)).Mul(w3))
		v.Add(at(l4, x).Add(at(r4, x)).Mul(w4)).StoreSlice(dst[x : x+lanes])
	}
	archsimd.ClearAVXUpperBits() // or scalar code that follows is slow
	for ; x < n; x++ {
		v := float32(weight[0]*centre[x]) + float32(weight[1]*(l1[x]+r1[x]))
		v += float32(weight[2] * (l2[x] + r2[x]))
		v += float32(weight[3] * (l3[x] + r3[x]))
		dst[x] = v + float32(weight[4]*(l4[x]+r4[x]))
	}
}

func foldFour(dst []float32, taps [][]float32, middle, d int, weight []float32) {
	n := len(dst)
	if !useLanes(n) {
		foldFourPlain(dst, taps, middle, d, weight)
		return
	}
	l1, l2, l3, l4 := taps[middle-d][:n], taps[middle-d-1][:n], taps[middle-d-2][:n], taps[middle-d-3][:n]
	r1, r2, r3, r4 := taps[middle+d][:n], taps[middle+d+1][:n], taps[middle+d+2][:n], taps[middle+d+3][:n]
	w1, w2 := archsimd.BroadcastFloat32x8(weight[d]), archsimd.BroadcastFloat32x8(weight[d+1])
	w3, w4 := archsimd.BroadcastFloat32x8(weight[d+2]), archsimd.BroadcastFloat32x8(weight[d+3])
	x := 0
	for ; x <= n-lanes; x += lanes {
		v := at(dst, x).Add(at(l1, x).Add(at(r1, x)).Mul(w1))
		v = v.Add(at(l2, x).Add(at(r2, x)).Mul(w2))
		v = v.Add(at(l3, x).Add(at(r3, x)).Mul(w3))
		v.Add(at(l4, x).Add(at(r4, x)).Mul(w4)).StoreSlice(dst[x : x+lanes])
	}
	archsimd.ClearAVXUpperBits()
	for ; x < n; x++ {
		v := dst[x] + float32(weight[d]*(l1[x]+r1[x]))
		v += float32(weight[d+1] * (l2[x] + r2[x]))
		v += float32(weight[d+2] * (l3[x] + r3[x]))
		dst[x] = v + float32(weight[d+3]*(l4[x]+r4[x]))
	}
}

func foldOne(dst, left, right []float32, w float32) {
	n := len(dst)
	if !useLanes(n) {
		foldOnePlain(dst, left, right, w)
		return
	}
	left, right = left[:n], right[:n]
	weight := archsimd.BroadcastFloat32x8(w)
	x := 0
	for ; x <= n-lanes; x += lanes {
		at(dst, x).Add(at(left, x).Add(at(right, x)).Mul(weight)).StoreSlice(dst[x : x+lanes])
	}
	archsimd.ClearAVXUpperBits()
	foldOnePlain(dst[x:], left[x:], right[x:], w)
}

func weighFour(dst []float32, rows [][]float32, weight []float32) {
	n := len(dst)
	if !useLanes(n) {
		weighFourPlain(dst, rows, weight)
		return
	}
	a, b, c, d := rows[0][:n], rows[1][:n], rows[2][:n], rows[3][:n]
	wa, wb := archsimd.BroadcastFloat32x8(weight[0]), archsimd.BroadcastFloat32x8(weight[1])
	wc, wd := archsimd.BroadcastFloat32x8(weight[2]), archsimd.BroadcastFloat32x8(weight[3])
	x := 0
	for ; x <= n-lanes; x += lanes {
		v := at(dst, x).Add(at(a, x).Mul(wa))
		v = v.Add(at(b, x).Mul(wb))
		v = v.Add(at(c, x).Mul(wc))
		v.Add(at(d, x).Mul(wd)).StoreSlice(dst[x : x+lanes])
	}
	archsimd.ClearAVXUpperBits()
	for ; x < n; x++ {
		v := dst[x] + float32(weight[0]*a[x])
		v += float32(weight[1] * b[x])
		v += float32(weight[2] * c[x])
		dst[x] = v + float32(weight[3]*d[x])
	}
}

func keysAt(row []int32, x int) archsimd.Int32x8 {
	return archsimd.LoadInt32x8Slice(row[x : x+lanes])
}

func raiseTo(to, left, right []int32) int32 {
	n := len(to)
	if !useLanes(n) {
		return raiseToPlain(to, left, right)
	}
	left, right = left[:n], right[:n]
	least := archsimd.BroadcastInt32x8(colour.BitsOfOne)
	x := 0
	for ; x <= n-lanes; x += lanes {
		k := keysAt(to, x).Max(keysAt(left, x)).Max(keysAt(right, x))
		k.StoreSlice(to[x : x+lanes])
		least = least.Min(k)
	}
	var each [lanes]int32
	least.Store(&each)
	archsimd.ClearAVXUpperBits()
	m := raiseToPlain(to[x:], left[x:], right[x:])
	for _, k := range each {
		m = min(m, k)
	}
	return m
}

func larger(to, a, b []int32) {
	n := len(to)
	if !useLanes(n) {
		largerPlain(to, a, b)
		return
	}
	a, b = a[:n], b[:n]
	x := 0
	for ; x <= n-lanes; x += lanes {
		keysAt(a, x).Max(keysAt(b, x)).StoreSlice(to[x : x+lanes])
	}
	archsimd.ClearAVXUpperBits()
	largerPlain(to[x:], a[x:], b[x:])
}
