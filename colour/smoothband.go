package colour

// smoothColour is a colour times the kernel's scale.
type smoothColour struct{ r, g, b float32 }

// smoothSum gathers a pixel's weighted differences to its neighbours and the
// weights. The result is the pixel plus their quotient over the scale, the
// pixel itself weighing 1.
type smoothSum struct{ r, g, b, w float32 }

// smoothBand is smoothRows one pixel at a time. It has the three rows in work:
// colours and what they gain from others, with a margin of two columns on both
// sides. Row y lives at y % 3.
type smoothBand struct {
	span    smoothSpan
	colours [smoothReach + 1][]smoothColour
	sums    [smoothReach + 1][]smoothSum
	own     []smoothSum // of the row whose turn it is
}

func (b *smoothBand) reset(span smoothSpan) {
	b.span = span
	w := span.to - span.from
	n := w + 2*smoothReach
	for i := range b.colours {
		b.colours[i] = Resized(b.colours[i], n)
		b.sums[i] = Resized(b.sums[i], n)
		for m := range smoothReach {
			b.colours[i][m] = smoothColour{farAway, farAway, farAway}
			b.colours[i][n-1-m] = smoothColour{farAway, farAway, farAway}
		}
	}
	b.own = Resized(b.own, w)
}

func (b *smoothBand) load(k *smoothKernel, src *Image, y int) {
	from, to := b.span.from, b.span.to
	red, green, blue := src.R.Row(y)[from:to], src.G.Row(y)[from:to], src.B.Row(y)[from:to]
	green, blue = green[:len(red)], blue[:len(red)]
	into := b.colours[y%len(b.colours)][smoothReach:][:len(red)]
	for x := range into {
		into[x] = smoothColour{finite(k.scale * red[x]), finite(k.scale * green[x]), finite(k.scale * blue[x])}
	}
	clear(b.sums[y%len(b.sums)])
}

func (b *smoothBand) turn() { clear(b.own) }

func (b *smoothBand) pair(k *smoothKernel, p, q, first int) {
	own := b.own
	row := b.colours[p%len(b.colours)][smoothReach:][:len(own)]
	near, nearSum := b.colours[q%len(b.colours)], b.sums[q%len(b.sums)]
	spatial := smoothSpatial[q-p][first:]
	for x := len(row) - 1; x >= 0; x-- { // downward, so that a neighbour gains by rising column
		c, s := row[x], own[x]
		near, nearSum := near[x+first:][:len(spatial)], nearSum[x+first:][:len(spatial)]
		for i, far := range spatial {
			n, ns := &near[i], &nearSum[i]
			dr, dg, db := n.r-c.r, n.g-c.g, n.b-c.b
			cell := smoothCell(float32(dr*dr) + float32(dg*dg) + float32(db*db) + 1)
			w := float32(k.weight[cell] * far)
			dr, dg, db = float32(dr*w), float32(dg*w), float32(db*w)
			s.r, s.g, s.b, s.w = s.r+dr, s.g+dg, s.b+db, s.w+w
			ns.r, ns.g, ns.b, ns.w = ns.r-dr, ns.g-dg, ns.b-db, ns.w+w
		}
		own[x] = s
	}
}

func (b *smoothBand) store(k *smoothKernel, dst, src *Image, y int) {
	x0, x1, at := b.span.x0, b.span.x1, b.span.x0-b.span.from
	red, green, blue := dst.R.Row(y)[x0:x1], dst.G.Row(y)[x0:x1], dst.B.Row(y)[x0:x1]
	r, g, bl := src.R.Row(y)[x0:x1], src.G.Row(y)[x0:x1], src.B.Row(y)[x0:x1]
	own, sums := b.own[at:][:x1-x0], b.sums[y%len(b.sums)][smoothReach+at:]
	sums, red, green, blue = sums[:len(own)], red[:len(own)], green[:len(own)], blue[:len(own)]
	r, g, bl = r[:len(own)], g[:len(own)], bl[:len(own)]
	for x, o := range own {
		s := sums[x]
		share := k.width / (1 + (o.w + s.w))
		red[x] = finite(r[x]) + float32((o.r+s.r)*share)
		green[x] = finite(g[x]) + float32((o.g+s.g)*share)
		blue[x] = finite(bl[x]) + float32((o.b+s.b)*share)
	}
}
