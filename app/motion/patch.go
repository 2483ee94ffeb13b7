package motion

import "math"

const (
	patchSide = 8
	patchArea = patchSide * patchSide
	// patchStep is how far patches lie apart: each pixel inside lies in four.
	patchStep = 4
	// steps is the most steps of a search. Most patches need two or three from the
	// coarser level's motion on.
	steps = 8
	// still is the step in pixels of the level below which a search is over.
	still = 0.04
	// stiff is added to the sums of squared gradients: a patch that shows less than
	// noise does keeps the coarser level's motion.
	stiff = 100
)

// A patch is what its search needs of the first frame.
type patch struct {
	pix [patchArea]float32
	// gx and gy are the gradients without what a change of the patch's brightness or
	// contrast would do to the sums of their products.
	gx, gy        [patchArea]float32
	a11, a12, a22 float32 // the inverse of the gradients' sums of products
	mean, power   float32 // mean of pix, sum of squares about it
}

// take reads the patch whose first pixel is (x,y).
func (p *patch) take(l *level, x, y int) {
	for r := range patchSide {
		i := l.index(x, y+r)
		copy(p.pix[r*patchSide:][:patchSide], l.pix[i:])
		copy(p.gx[r*patchSide:][:patchSide], l.gx[i:])
		copy(p.gy[r*patchSide:][:patchSide], l.gy[i:])
	}
	var sum, sumX, sumY float32
	for i, v := range &p.pix {
		sum += v
		sumX += p.gx[i]
		sumY += p.gy[i]
	}
	mean, meanX, meanY := sum*(1.0/patchArea), sumX*(1.0/patchArea), sumY*(1.0/patchArea)
	var power, alongX, alongY float32
	for i, v := range &p.pix {
		v -= mean
		power += float32(v * v)
		alongX += float32(v * p.gx[i])
		alongY += float32(v * p.gy[i])
	}
	p.mean, p.power = mean, power
	shareX, shareY := alongX/(power+1), alongY/(power+1)
	var xx, xy, yy float32
	for i, v := range &p.pix {
		v -= mean
		gx := p.gx[i] - meanX - float32(shareX*v)
		gy := p.gy[i] - meanY - float32(shareY*v)
		xx += float32(gx * gx)
		xy += float32(gx * gy)
		yy += float32(gy * gy)
		p.gx[i], p.gy[i] = gx, gy
	}
	xx, yy = xx+stiff, yy+stiff
	over := 1 / (float32(xx*yy) - float32(xy*xy))
	p.a11, p.a12, p.a22 = yy*over, -xy*over, xx*over
}

// compare writes the differences d between the second frame's patch at (x,y), read by
// bilinear interpolation, and p, and returns the sums of their products with the gradients.
func (p *patch) compare(l *level, x, y float32, d *[patchArea]float32) (sumX, sumY float32) {
	x, y = x+margin, y+margin // not negative, so that conversion rounds down
	x0, y0 := int(x), int(y)
	fx, fy := x-float32(x0), y-float32(y0)
	w00, w10, w01, w11 := (1-fx)*(1-fy), fx*(1-fy), (1-fx)*fy, fx*fy
	i := y0*l.stride + x0
	for r := 0; r < patchArea; r += patchSide {
		upper, lower := (*[patchSide + 1]float32)(l.pix[i:]), (*[patchSide + 1]float32)(l.pix[i+l.stride:])
		pix, gx, gy, out := (*[patchSide]float32)(p.pix[r:]), (*[patchSide]float32)(p.gx[r:]), (*[patchSide]float32)(p.gy[r:]), (*[patchSide]float32)(d[r:])
		a, b := upper[0], lower[0]
		for c := range patchSide {
			a1, b1 := upper[c+1], lower[c+1]
			v := (float32(w00*a) + float32(w10*a1)) + (float32(w01*b) + float32(w11*b1)) - pix[c]
			a, b = a1, b1
			sumX += float32(gx[c] * v)
			sumY += float32(gy[c] * v)
			out[c] = v
		}
		i += l.stride
	}
	return sumX, sumY
}

// search moves the patch, whose first pixel is (x,y), from (u,v) to where it fits best in
// the second frame, and leaves the differences there in d. Where the search runs away by
// more than a patch, (u,v) counts.
func (p *patch) search(to *level, x, y int, u, v float32, d *[patchArea]float32) (float32, float32) {
	atX, atY := to.within(float32(x)+u, float32(y)+v)
	startX, startY := atX, atY
	for range steps {
		sumX, sumY := p.compare(to, atX, atY, d)
		dx := float32(p.a11*sumX) + float32(p.a12*sumY)
		dy := float32(p.a12*sumX) + float32(p.a22*sumY)
		atX, atY = to.within(atX-dx, atY-dy)
		if away(atX-startX) || away(atY-startY) {
			p.compare(to, startX, startY, d)
			return u, v
		}
		if float32(dx*dx)+float32(dy*dy) < still*still {
			break
		}
	}
	return atX - float32(x), atY - float32(y)
}

func away(d float32) bool { return d > patchSide || d < -patchSide }

// within keeps a patch's first pixel where the level and its margin can be read.
func (l *level) within(x, y float32) (float32, float32) {
	return clamp(x, float32(l.w)), clamp(y, float32(l.h))
}

func clamp(x, size float32) float32 {
	if x < 1-margin {
		return 1 - margin
	}
	if most := size + (margin - patchSide - 2); x > most {
		return most
	}
	return x
}

const (
	signBit = 1 << 31
	oneBits = 0x3f800000 // of 1
)

// A change is how the light of a patch has changed: by gain for each code and lift codes.
type change struct{ gain, lift float32 }

// weigh turns the differences into the weights by which the patch's motion counts in its
// pixels, 1/max(1, |difference|), after the change of light, which it returns.
func (p *patch) weigh(d *[patchArea]float32) change {
	var sum, along float32
	for i, v := range d {
		sum += v
		along += float32(v * (p.pix[i] - p.mean))
	}
	gain := min(max(along/(p.power+patchArea), -0.5), 1)
	lift := sum*(1.0/patchArea) - float32(gain*p.mean)
	for i, v := range d {
		v -= float32(gain*p.pix[i]) + lift
		// |v| and the larger, by bits: signs are as good as random, and branches dear.
		d[i] = 1 / math.Float32frombits(max(math.Float32bits(v)&^signBit, oneBits))
	}
	return change{gain, lift}
}
