package clip

import (
	"image"
	"sync"
)

// Chroma of a subsampled picture is interpolated linearly along both axes. JFIF
// (version 1.02, "Spatial Relationship of Components"; ITU-T T.871) puts the
// first chroma sample at n/2 - 1/2 luma samples, n being luma samples for one of
// chroma along that axis, so that each lies amid the luma it was taken from.
// libwebp (src/dsp/upsampling.c) reads that of WebP alike. A pixel of n = 2 is then
// 3/4 of the nearer sample and 1/4 of the next, one of n = 4 7/8 and 1/8 or 5/8
// and 3/8. Beyond the border the outermost sample of the picture goes on;
// what an encoder put in the rest of its last blocks is never read.
//
// What chroma adds to R, G and B is linear in the codes (see ycbcrTable), so it
// is these terms that are interpolated, in the form near + w (far - near):
// where chroma is constant every pixel has its terms exactly.

// chromaTerms is what one row of chroma samples adds to R, G and B.
type chromaTerms struct {
	row              int // of the chroma plane; -1 = none yet
	red, green, blue []float32
}

func newChromaTerms(wide int) chromaTerms {
	buffer := make([]float32, 3*wide)
	return chromaTerms{-1, buffer[:wide], buffer[wide : 2*wide], buffer[2*wide:]}
}

// chromaRows holds the terms of the two rows of chroma about a row of pixels,
// which the next row of pixels mostly shares, and their mixture.
type chromaRows struct {
	m          *image.YCbCr
	table      *ycbcrTable
	wide, high int // of chroma within the picture
	held       [2]chromaTerms
	mixed      chromaTerms
}

// subsampledRows reads luma with interpolated chroma, for any but 4:4:4.
// Readers of different bands take buffers of their own from a pool.
func subsampledRows(m *image.YCbCr, t *ycbcrTable) rowReader {
	across, down := chromaShift(m.SubsampleRatio)
	wide, high := (m.Rect.Dx()-1)>>across+1, (m.Rect.Dy()-1)>>down+1
	pool := sync.Pool{New: func() any {
		held := [2]chromaTerms{newChromaTerms(wide), newChromaTerms(wide)}
		return &chromaRows{m, t, wide, high, held, newChromaTerms(wide)}
	}}
	spread := spreads[across]
	return func(y int, r, g, b []float32) {
		c := pool.Get().(*chromaRows)
		defer pool.Put(c)
		terms := c.at(y, down)
		spread(r, terms.red)
		spread(g, terms.green)
		spread(b, terms.blue)
		g, b = g[:len(r)], b[:len(r)]
		for x, v := range m.Y[y*m.YStride:][:len(r)] {
			l := t.luma[v]
			r[x], g[x], b[x] = within(l+r[x]), within(l+g[x]), within(l+b[x])
		}
	}
}

// at returns the terms at row y of the picture, as wide as chroma. No format
// here has more than two rows of pixels for one of chroma.
func (c *chromaRows) at(y int, down uint) *chromaTerms {
	near := c.load(y >> down)
	if down == 0 {
		return near
	}
	far := c.load(min(max(y>>1+2*(y&1)-1, 0), c.high-1)) // above even rows, below odd ones
	if far == near {
		return near
	}
	mix(c.mixed.red, near.red, far.red)
	mix(c.mixed.green, near.green, far.green)
	mix(c.mixed.blue, near.blue, far.blue)
	return &c.mixed
}

// load returns the terms of a row of chroma. Neighbours do not displace each other.
func (c *chromaRows) load(row int) *chromaTerms {
	h := &c.held[row&1]
	if h.row == row {
		return h
	}
	h.row = row
	at, t := row*c.m.CStride, c.table
	cb, cr := c.m.Cb[at:][:c.wide], c.m.Cr[at:][:c.wide]
	red, green, blue := h.red[:len(cb)], h.green[:len(cb)], h.blue[:len(cb)]
	for i, u := range cb {
		v := cr[i]
		red[i] = t.redOfCr[v]
		green[i] = t.greenOfCb[u] + t.greenOfCr[v]
		blue[i] = t.blueOfCb[u]
	}
	return h
}

// mix is near with a quarter of far: rows one half and three halves of a pixel
// row away.
func mix(dst, near, far []float32) {
	near, far = near[:len(dst)], far[:len(dst)]
	for i, v := range near {
		dst[i] = float32((far[i]-v)*0.25) + v
	}
}

// spreads interpolate a row of chroma, src, to the row of pixels dst, by the
// binary logarithm of pixels for a sample.
var spreads = [...]func(dst, src []float32){
	func(dst, src []float32) { copy(dst, src) }, spreadTwo, spreadFour,
}

// spreadTwo goes from sample to sample: two pixels lie between.
func spreadTwo(dst, src []float32) {
	near := src[0]
	dst[0], dst[len(dst)-1] = near, src[len(src)-1] // the latter stays if the width is even
	between := dst[1:]
	for _, next := range src[1:] {
		d := float32((next - near) * 0.25)
		pair := between[:2]
		pair[0], pair[1] = near+d, next-d
		between, near = between[2:], next
	}
}

// spreadFour goes from pixel to pixel: such pictures are rare.
func spreadFour(dst, src []float32) {
	far := [4]struct {
		step   int
		weight float32
	}{{-1, 3. / 8}, {-1, 1. / 8}, {1, 1. / 8}, {1, 3. / 8}}
	for x := range dst {
		f, near := far[x&3], src[x>>2]
		next := src[min(max(x>>2+f.step, 0), len(src)-1)]
		dst[x] = float32((next-near)*f.weight) + near
	}
}

// chromaShift returns the binary logarithms of the pixels across and down for
// one sample of chroma.
func chromaShift(ratio image.YCbCrSubsampleRatio) (across, down uint) {
	switch ratio {
	case image.YCbCrSubsampleRatio422:
		return 1, 0
	case image.YCbCrSubsampleRatio420:
		return 1, 1
	case image.YCbCrSubsampleRatio440:
		return 0, 1
	case image.YCbCrSubsampleRatio411:
		return 2, 0
	case image.YCbCrSubsampleRatio410:
		return 2, 1
	}
	return 0, 0
}
