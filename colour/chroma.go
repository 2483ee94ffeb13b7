package colour

// A Site is where samples of chroma lie along one axis among the pixels they
// stand for.
type Site uint8

// The sites.
const (
	Amid  Site = iota // in the middle of their pixels
	First             // on the first, the left or upper one
	Last              // on the last
)

// Siting is where samples of chroma lie, which counts where they are fewer than
// pixels. Between them chroma is interpolated linearly along both axes; beyond
// the outermost sample it stays as that is.
//
// Rec. ITU-T H.273, 8.7, names the sitings of 4:2:0: type 0 ("left") is
// {First, Amid}, 1 ("center") {Amid, Amid}, 2 ("top left") {First, First},
// 3 ("top") {Amid, First}, 4 ("bottom left") {First, Last}, 5 ("bottom")
// {Amid, Last}. JFIF (version 1.02, "Spatial Relationship of Components"; ITU-T
// T.871) has samples amid their pixels: one of n = 2 pixels is then 3/4 of the
// nearer sample and 1/4 of the next, one of n = 4 7/8 and 1/8 or 5/8 and 3/8.
type Siting struct{ X, Y Site }

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

// chromaRows has the terms of the two rows of chroma about a row of pixels,
// which the next row of pixels mostly shares, and their mixture.
type chromaRows struct {
	m     *YCbCr
	table *ycbcrTable
	high  int       // rows of chroma within the picture
	luma  []float32 // a row of the picture
	rows  [2]chromaTerms
	mixed chromaTerms
	terms []float32 // scratch: what the second chroma adds to green
}

// prepare makes the buffers unless they are there.
func (c *chromaRows) prepare(m *YCbCr, t *ycbcrTable) {
	if c.m != nil {
		return
	}
	wide := (m.W-1)>>m.Across + 1
	c.m, c.table, c.high = m, t, (m.H-1)>>m.Down+1
	c.luma, c.terms = make([]float32, m.W), make([]float32, wide)
	c.rows, c.mixed = [2]chromaTerms{newChromaTerms(wide), newChromaTerms(wide)}, newChromaTerms(wide)
}

// at returns the terms at row y of the picture, as wide as chroma.
func (c *chromaRows) at(y int) *chromaTerms {
	row := y >> c.m.Down
	near := c.load(row)
	if c.m.Down == 0 {
		return near
	}
	other := betweenTwo[c.m.Siting.Y][y&1]
	far := c.load(min(max(row+other.by, 0), c.high-1))
	if far == near {
		return near
	}
	mix(c.mixed.red, near.red, far.red, other.weight)
	mix(c.mixed.green, near.green, far.green, other.weight)
	mix(c.mixed.blue, near.blue, far.blue, other.weight)
	return &c.mixed
}

// load returns the terms of a row of chroma. Neighbours do not displace each other.
func (c *chromaRows) load(row int) *chromaTerms {
	h := &c.rows[row&1]
	if h.row == row {
		return h
	}
	h.row = row
	cb, cr, t := c.m.Cb[row*c.m.CStride:], c.m.Cr[row*c.m.CStride:], c.table
	components(h.red, cr, c.m.Coding, t.redOfCr)
	components(h.blue, cb, c.m.Coding, t.blueOfCb)
	components(h.green, cb, c.m.Coding, t.greenOfCb)
	components(c.terms, cr, c.m.Coding, t.greenOfCr)
	for i, v := range c.terms {
		h.green[i] += v
	}
	return h
}

// mix is near with a share of far.
func mix(dst, near, far []float32, part float32) {
	done := wideMix(dst, near, far, part)
	dst = dst[done:]
	near, far = near[done:][:len(dst)], far[done:][:len(dst)]
	for i, v := range near {
		dst[i] = float32((far[i]-v)*part) + v
	}
}

// adders write luma and a row of chroma's terms, interpolated to pixels, to r, g
// and b, clamped to [0,1]; by the binary logarithm of pixels for a sample and the
// site.
var adders = [...][3]func(r, g, b, luma []float32, t *chromaTerms){
	{addEach, addEach, addEach},
	{addTwoAmid, addTwoFirst, addMany(betweenTwo[Last])},
	{addMany(betweenFour[Amid]), addMany(betweenFour[First]), addMany(betweenFour[Last])},
}

func addEach(r, g, b, luma []float32, t *chromaTerms) {
	g, b, luma = g[:len(r)], b[:len(r)], luma[:len(r)]
	red, green, blue := t.red[:len(r)], t.green[:len(r)], t.blue[:len(r)]
	for x, l := range luma {
		r[x], g[x], b[x] = within(l+red[x]), within(l+green[x]), within(l+blue[x])
	}
}

// set writes one pixel, whose chroma is that of sample i.
func (t *chromaTerms) set(r, g, b, luma []float32, x, i int) {
	r[x], g[x], b[x] = within(luma[x]+t.red[i]), within(luma[x]+t.green[i]), within(luma[x]+t.blue[i])
}

// addTwoAmid goes from sample to sample: two pixels lie between. Its loop and
// the next are the two that nearly every picture takes: the lengths are compared
// in a way that saves a check at each sample.
func addTwoAmid(r, g, b, luma []float32, t *chromaTerms) {
	last := len(t.red) - 1
	t.set(r, g, b, luma, len(r)-1, last) // stays if the width is even
	t.set(r, g, b, luma, 0, 0)
	red, green, blue := t.red, t.green[:last+1], t.blue[:last+1]
	r, g, b, luma = r[1:2*last+1], g[1:2*last+1], b[1:2*last+1], luma[1:2*last+1]
	done := wideTwo(r, g, b, luma, t, Amid)
	nearR, nearG, nearB := red[done], green[done], blue[done]
	for i := done + 1; i < len(red); i++ {
		x := 2*i - 2
		if y := uint(x + 1); y >= uint(len(luma)) || y >= uint(len(r)) || y >= uint(len(g)) || y >= uint(len(b)) {
			break
		}
		l, m, nextR, nextG, nextB := luma[x], luma[x+1], red[i], green[i], blue[i]
		dR, dG, dB := float32((nextR-nearR)*0.25), float32((nextG-nearG)*0.25), float32((nextB-nearB)*0.25)
		r[x], r[x+1] = within(l+(nearR+dR)), within(m+(nextR-dR))
		g[x], g[x+1] = within(l+(nearG+dG)), within(m+(nextG-dG))
		b[x], b[x+1] = within(l+(nearB+dB)), within(m+(nextB-dB))
		nearR, nearG, nearB = nextR, nextG, nextB
	}
}

// addTwoFirst has every second pixel midway between samples.
func addTwoFirst(r, g, b, luma []float32, t *chromaTerms) {
	last := len(t.red) - 1
	t.set(r, g, b, luma, len(r)-1, last)
	t.set(r, g, b, luma, 2*last, last)
	red, green, blue := t.red, t.green[:last+1], t.blue[:last+1]
	r, g, b, luma = r[:2*last], g[:2*last], b[:2*last], luma[:2*last]
	done := wideTwo(r, g, b, luma, t, First)
	nearR, nearG, nearB := red[done], green[done], blue[done]
	for i := done + 1; i < len(red); i++ {
		x := 2*i - 2
		if y := uint(x + 1); y >= uint(len(luma)) || y >= uint(len(r)) || y >= uint(len(g)) || y >= uint(len(b)) {
			break
		}
		l, m, nextR, nextG, nextB := luma[x], luma[x+1], red[i], green[i], blue[i]
		r[x], r[x+1] = within(l+nearR), within(m+(float32((nextR-nearR)*0.5)+nearR))
		g[x], g[x+1] = within(l+nearG), within(m+(float32((nextG-nearG)*0.5)+nearG))
		b[x], b[x+1] = within(l+nearB), within(m+(float32((nextB-nearB)*0.5)+nearB))
		nearR, nearG, nearB = nextR, nextG, nextB
	}
}

// between says for pixels that share a sample which other sample counts, and
// how much.
type between []struct {
	by     int // columns away
	weight float32
}

var (
	betweenTwo  = [...]between{Amid: {{-1, 1. / 4}, {1, 1. / 4}}, First: {{0, 0}, {1, 1. / 2}}, Last: {{-1, 1. / 2}, {0, 0}}}
	betweenFour = [...]between{
		Amid:  {{-1, 3. / 8}, {-1, 1. / 8}, {1, 1. / 8}, {1, 3. / 8}},
		First: {{0, 0}, {1, 1. / 4}, {1, 2. / 4}, {1, 3. / 4}},
		Last:  {{-1, 3. / 4}, {-1, 2. / 4}, {-1, 1. / 4}, {0, 0}},
	}
)

// addMany goes from pixel to pixel: such pictures are rare.
func addMany(between between) func(r, g, b, luma []float32, t *chromaTerms) {
	return func(r, g, b, luma []float32, t *chromaTerms) {
		for x, l := range luma {
			i, f := x/len(between), between[x%len(between)]
			j := min(max(i+f.by, 0), len(t.red)-1)
			mixed := func(terms []float32) float32 { return float32((terms[j]-terms[i])*f.weight) + terms[i] }
			r[x], g[x], b[x] = within(l+mixed(t.red)), within(l+mixed(t.green)), within(l+mixed(t.blue))
		}
	}
}
