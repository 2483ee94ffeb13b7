package guided

// coefOne is 1 in coefficients, which are whole numbers too.
const coefOne = 1 << 20

// whole returns a coefficient, zero added, as a whole number.
func whole(v, zero float64) uint32 {
	return uint32(min(max(int64(float64((v+zero)*coefOne)+0.5), 0), int64(2*zero*coefOne)))
}

// window is the means of the pixels in a window: of guide and alpha, of alpha's
// low part, and of products.
type window struct {
	r, g, b, p, low        float64
	rp, gp, bp             float64
	rr, rg, rb, gg, gb, bb float64
}

// read takes the means from the sums at x.
func (w *window) read(sums [][]uint64, x int) {
	_ = sums[momentPlanes-1]
	share := 1 / float64(int64(sums[sumN][x]))
	w.r, w.g, w.b = mean(sums[sumR], x, share), mean(sums[sumG], x, share), mean(sums[sumB], x, share)
	w.p, w.low = mean(sums[sumP], x, share), mean(sums[sumLow], x, share)
	w.rp, w.gp, w.bp = mean(sums[sumRP], x, share), mean(sums[sumGP], x, share), mean(sums[sumBP], x, share)
	w.rr, w.rg, w.rb = mean(sums[sumRR], x, share), mean(sums[sumRG], x, share), mean(sums[sumRB], x, share)
	w.gg, w.gb, w.bb = mean(sums[sumGG], x, share), mean(sums[sumGB], x, share), mean(sums[sumBB], x, share)
}

// mean returns a share of the sum at x. Sums are below 2^63, and a signed
// number is quicker to convert.
func mean(sum []uint64, x int, share float64) float64 {
	return float64(float64(int64(sum[x])) * share)
}

// solve returns a and b of the filter: a is (Sigma + eps U)^-1 times the
// covariance of guide and alpha, b what is left of alpha's mean. eps is on the
// scale of the samples.
func (w *window) solve(eps float64) (ar, ag, ab, bias float64) {
	r, g, b, p := w.r, w.g, w.b, w.p
	rr, rg, rb := w.rr-float64(r*r)+eps, w.rg-float64(r*g), w.rb-float64(r*b)
	gg, gb, bb := w.gg-float64(g*g)+eps, w.gb-float64(g*b), w.bb-float64(b*b)+eps
	rp, gp, bp := w.rp-float64(r*p), w.gp-float64(g*p), w.bp-float64(b*p)

	// The adjugate of the symmetric matrix.
	irr, irg, irb := float64(gg*bb)-float64(gb*gb), float64(rb*gb)-float64(rg*bb), float64(rg*gb)-float64(rb*gg)
	igg, igb, ibb := float64(rr*bb)-float64(rb*rb), float64(rg*rb)-float64(rr*gb), float64(rr*gg)-float64(rg*rg)
	inverse := 1 / (float64(rr*irr) + float64(rg*irg) + float64(rb*irb))
	ar = float64((float64(irr*rp) + float64(irg*gp) + float64(irb*bp)) * inverse)
	ag = float64((float64(irg*rp) + float64(igg*gp) + float64(igb*bp)) * inverse)
	ab = float64((float64(irb*rp) + float64(igb*gp) + float64(ibb*bp)) * inverse)
	low := float64(w.low * (1. / lowOne))
	bias = float64((p + low - float64(ar*r) - float64(ag*g) - float64(ab*b)) * (1. / guideOne))
	return ar, ag, ab, bias
}
