//go:build !goexperiment.simd || !amd64

package colour

// smoothBands smooths bands of rows and keeps its buffers.
type smoothBands struct{ plain Pool[smoothBand] }

func (s *smoothBands) run(k *smoothKernel, dst, src *Image, span smoothSpan, y0, y1 int) {
	b := s.plain.Take()
	b.reset(span)
	smoothRun(b, k, dst, src, y0, y1)
	s.plain.Give(b)
}
