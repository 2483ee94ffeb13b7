//go:build !goexperiment.simd || !amd64

package colour

// calmBands calms bands of rows and keeps its buffers.
type calmBands struct{ plain Spares[calmBand] }

func (c *calmBands) run(k *calmKernel, dst, src *Image, span calmSpan, y0, y1 int) {
	b := c.plain.Take()
	b.reset(span)
	calmRun(b, k, dst, src, y0, y1)
	c.plain.Give(b)
}
