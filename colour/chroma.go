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

// chromaRows holds the terms of the two rows of chroma about a row of pixels,
// which the next row of pixels mostly shares, and their mixture.
type chromaRows struct {
	m     *YCbCr
	table *ycbcrTable
	high  int       // rows of chroma within the picture
	luma  []float32 // a row of the picture
	held  [2]chromaTerms
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
	c.held, c.mixed = [2]chromaTerms{newChromaTerms(wide), newChromaTerms(wide)}, newChromaTerms(wide)
}

// rowsBetween says for two rows of pixels that share one of chroma which
// other row of it counts, and how much.
var rowsBetween = [...][2]struct {
	step   int
	weight float32
}{
	Amid:  {{-1, 0.25}, {1, 0.25}},
	First: {{0, 0}, {1, 0.5}},
	Last:  {{-1, 0.5}, {0, 0}},
}

// at returns the terms at row y of the picture, as wide as chroma.
func (c *chromaRows) at(y int) *chromaTerms {
	row := y >> c.m.Down
	near := c.load(row)
	if c.m.Down == 0 {
		return near
	}
	other := rowsBetween[c.m.Siting.Y][y&1]
	far := c.load(min(max(row+other.step, 0), c.high-1))
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
	h := &c.held[row&1]
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

// mix is near with a part of far.
func mix(dst, near, far []float32, part float32) {
	near, far = near[:len(dst)], far[:len(dst)]
	for i, v := range near {
		dst[i] = float32((far[i]-v)*part) + v
	}
}

// adders write luma and a row of chroma's terms, interpolated to pixels, to
// dst, held to [0,1]; by the binary logarithm of pixels for a sample and the
// site.
var adders = [...][3]func(dst, luma, terms []float32){
	{addEach, addEach, addEach},
	{addTwoAmid, addTwoFirst, addTwoLast},
	{addFour(Amid), addFour(First), addFour(Last)},
}

func addEach(dst, luma, terms []float32) {
	luma, terms = luma[:len(dst)], terms[:len(dst)]
	for x, v := range luma {
		dst[x] = within(v + terms[x])
	}
}

// addTwoAmid goes from sample to sample: two pixels lie between.
func addTwoAmid(dst, luma, terms []float32) {
	near, end := terms[0], len(dst)-1
	dst[0] = within(luma[0] + near)
	dst[end] = within(luma[end] + terms[len(terms)-1]) // stays if the width is even
	to, from := dst[1:], luma[1:]
	for _, next := range terms[1:] {
		d := float32((next - near) * 0.25)
		to[0] = within(from[0] + (near + d))
		to[1] = within(from[1] + (next - d))
		to, from, near = to[2:], from[2:], next
	}
}

// addTwoFirst has every second pixel midway between samples.
func addTwoFirst(dst, luma, terms []float32) {
	near, end := terms[0], len(dst)-1
	dst[end] = within(luma[end] + terms[len(terms)-1])
	for _, next := range terms[1:] {
		dst[0] = within(luma[0] + near)
		dst[1] = within(luma[1] + (float32((next-near)*0.5) + near))
		dst, luma, near = dst[2:], luma[2:], next
	}
	dst[0] = within(luma[0] + near)
}

func addTwoLast(dst, luma, terms []float32) {
	near := terms[0]
	dst[0] = within(luma[0] + near)
	dst, luma = dst[1:], luma[1:]
	for _, next := range terms[1:] {
		dst[0] = within(luma[0] + near)
		dst[1] = within(luma[1] + (float32((next-near)*0.5) + near))
		dst, luma, near = dst[2:], luma[2:], next
	}
	if len(dst) > 0 {
		dst[0] = within(luma[0] + near)
	}
}

// fourths says for four pixels that share a sample which other sample counts,
// and how much.
var fourths = [...][4]struct {
	step   int
	weight float32
}{
	Amid:  {{-1, 3. / 8}, {-1, 1. / 8}, {1, 1. / 8}, {1, 3. / 8}},
	First: {{0, 0}, {1, 1. / 4}, {1, 2. / 4}, {1, 3. / 4}},
	Last:  {{-1, 3. / 4}, {-1, 2. / 4}, {-1, 1. / 4}, {0, 0}},
}

// addFour goes from pixel to pixel: such pictures are rare.
func addFour(site Site) func(dst, luma, terms []float32) {
	return func(dst, luma, terms []float32) {
		for x := range dst {
			f, near := fourths[site][x&3], terms[x>>2]
			next := terms[min(max(x>>2+f.step, 0), len(terms)-1)]
			dst[x] = within(luma[x] + (float32((next-near)*f.weight) + near))
		}
	}
}
