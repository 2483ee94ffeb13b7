package shot

import (
	"context"
	"math"

	"halocline/app/check"
	"halocline/colour"
)

// leastStill is the pixels below which nothing can be said of those that stood
// still, and leastShare the share of those looked at.
const (
	leastStill = 100
	leastShare = 0.02
)

// since fills in what a frame differs by from the one before.
func (p *pass) since(ctx context.Context, f *Frame, now, before *moment) error {
	sum := func(matte colour.Plane) (s float64) {
		for _, v := range matte.Pix {
			s += float64(v)
		}
		return s
	}
	if a, b := sum(before.matte), sum(now.matte); max(a, b) > 0 {
		f.Change = pointer(math.Abs(b-a) / max(a, b))
	}
	n, err := newNoiseAfterBase(p.Study.Base.At(f.Number), p.noise())
	if err != nil {
		return err
	}
	f.Flicker = flicker(before.matte, now.matte, before.picture, now.picture, n)
	if p.Truth == nil {
		return nil
	}
	d, err := check.DtSSD(ctx, before.whole(), now.whole(), before.truth, now.truth)
	if err == nil {
		f.DTSSD = &d
	}
	return err
}

// smoothedNoise is how much of the noise is left after it is smoothed beside an edge,
// where half of the filter's window lies on the other side; on even ground it is 0.21.
// Fine texture keeps more, and so stands still less. TestNoiseAfterSmooth measures it.
const smoothedNoise = 0.24

// noise is that of the picture which the pick reads, before base.
func (p *pass) noise() [3]float64 {
	n := p.Study.Clip.Noise
	share := 1 / float64(max(p.Factor, 1))
	if p.Settings.Pick.Smooth {
		share *= smoothedNoise
	}
	for c := range n {
		n[c] *= share
	}
	return n
}

// flicker returns the root mean square of a matte's change over the pixels where
// alpha is above 0, before or now, and whose colour changed by no more than noise
// explains; nil where there are hardly any.
func flicker(before, now colour.Plane, from, to *colour.Image, noise *noiseAfterBase) *float64 {
	var sum float64
	var seen, still int
	for i, a := range now.Pix {
		b := before.Pix[i]
		if a == 0 && b == 0 {
			continue
		}
		seen++
		if !noise.explains(
			from.R.Pix[i], from.G.Pix[i], from.B.Pix[i],
			to.R.Pix[i], to.G.Pix[i], to.B.Pix[i]) {
			continue
		}
		still++
		d := float64(a - b)
		sum += float64(d * d)
	}
	if still < leastStill || float64(still) < leastShare*float64(seen) {
		return nil
	}
	return pointer(math.Sqrt(sum / float64(still)))
}
