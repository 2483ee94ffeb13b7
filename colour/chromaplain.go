//go:build !goexperiment.simd || !amd64

package colour

func wideTwo(_, _, _, _ []float32, _ *chromaTerms, _ Site) (done int) { return 0 }

func wideMix(_, _, _ []float32, _ float32) (done int) { return 0 }
