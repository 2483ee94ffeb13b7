//go:build !goexperiment.simd || !amd64

package selection

func foldFirst(dst, centre []float32, taps [][]float32, middle int, weight []float32) {
	foldFirstPlain(dst, centre, taps, middle, weight)
}

func foldFour(dst []float32, taps [][]float32, middle, d int, weight []float32) {
	foldFourPlain(dst, taps, middle, d, weight)
}

func foldOne(dst, left, right []float32, w float32) { foldOnePlain(dst, left, right, w) }

func weighFour(dst []float32, rows [][]float32, weight []float32) { weighFourPlain(dst, rows, weight) }

func raiseTo(to, left, right []int32) int32 { return raiseToPlain(to, left, right) }

func larger(to, a, b []int32) { largerPlain(to, a, b) }
