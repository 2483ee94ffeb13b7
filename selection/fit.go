package selection

import (
	"errors"
	"fmt"
	"math"

	"halocline/colour"
)

// A Fitted is a pick made from dabs, with what is to be said about it.
type Fitted struct {
	Pick Pick
	// Agreement is the criterion that the pick maximises, in [0,1]: the mean
	// of how much it is expected to keep of a keep dab and to leave of a drop
	// dab. With keep dabs alone it is the share it keeps of them.
	Agreement float64
	// LeftOut is the same for dabs that the fit has not seen, each left out
	// once, by model. It is NaN where a kind has fewer than two dabs, and for models that
	// were not tried.
	LeftOut [Models]float64
	// Notes say in plain words why the model was taken, why a channel is off,
	// and what is missing.
	Notes []string
}

// ErrNoKeep is returned where there is nothing to keep.
var ErrNoKeep = errors.New("selection: no keep samples found, want at least one keep dab")

// Fit returns the pick in model m that the dabs ask for.
//
// Criterion: with each dab counting the same, the mean of the expected weight
// of keep samples and of one minus that of drop samples, when every sample is
// moved by a Gaussian as wide as bandwidth says on each channel. The half-
// weight borders of one channel after another are set to their best, from six
// orders of the channels, until nothing moves; the best of the six is taken.
// The result does not depend on the order of dabs or pixels.
//
// With keep dabs alone the ranges keep a central share of the samples.
//
// PlaneModel is Fisher's plane, its level found likewise along its normal. It needs a dab of
// each kind.
func Fit(dabs []Dab, m Model) (Fitted, error) {
	if m == PlaneModel {
		return fitPlane(dabs)
	}
	s := gather(dabs, m)
	keep, drop := s.dabsOf(noDab)
	switch {
	case keep == 0:
		return Fitted{}, ErrNoKeep
	case drop == 0:
		return fitKeepAlone(s), nil
	}
	b := s.bestBox(noDab, allOrders)
	f := Fitted{Pick: b.pick(m), Agreement: (1 + b.gain) / 2, LeftOut: noneLeftOut()}
	f.LeftOut[m] = s.leftOut()
	f.Notes = b.notes(m)
	return f, nil
}

// noneLeftOut is LeftOut where no dab was left out.
func noneLeftOut() (none [Models]float64) {
	for m := range none {
		none[m] = math.NaN()
	}
	return none
}

// evenModels is how much better HSL must do on left-out dabs to be taken: three
// dabs of a kind cannot show less. On bare skin under water LCh tells more apart
// than HSL, so it has the benefit of the doubt.
const evenModels = 0.05

// FitAuto fits HSL and LCh and returns the one that does better on dabs left
// out in turn, LCh where they are even or there are too few dabs to tell.
func FitAuto(dabs []Dab) (Fitted, error) {
	lch, err := Fit(dabs, LCh)
	if err != nil {
		return Fitted{}, err
	}
	hsl, err := Fit(dabs, HSL)
	if err != nil {
		return Fitted{}, err
	}
	left := [Models]float64{HSL: hsl.LeftOut[HSL], LCh: lch.LeftOut[LCh], PlaneModel: math.NaN()}
	best, why := lch, "LCh: too few dabs of a kind to leave one out and compare"
	switch {
	case left[HSL] > left[LCh]+evenModels:
		best, why = hsl, fmt.Sprintf("HSL: of dabs left out it tells more apart (%.0f of 100, LCh %.0f)", 100*left[HSL], 100*left[LCh])
	case left[HSL] <= left[LCh]+evenModels:
		why = fmt.Sprintf("LCh: of dabs left out it tells %.0f of 100 apart, HSL %.0f", 100*left[LCh], 100*left[HSL])
	}
	best.LeftOut = left
	best.Notes = append([]string{why}, best.Notes...)
	return best, nil
}

// notes says which channels are off and why.
func (b *box) notes(m Model) (notes []string) {
	for c := range Channels {
		if b.off[c] {
			notes = append(notes, fmt.Sprintf("%s is off: it does not help to tell these samples apart", c.Name(m)))
		}
	}
	if b.off[Hue] && b.off[Sat] && b.off[Light] {
		notes = append(notes, "no channel tells these samples apart: keep and drop dabs have the same colours")
	}
	return notes
}

// leftOut returns the mean of how much a fit keeps of a keep dab it has not
// seen and leaves of such a drop dab, or NaN where a kind has fewer than two.
func (s *samples) leftOut() float64 {
	keep, drop := s.dabsOf(noDab)
	if keep < 2 || drop < 2 {
		return math.NaN()
	}
	weight := make([]float64, len(s.keep))
	eachInParallel(len(weight), func(d int) {
		b := s.bestBox(d, allOrders[:1])
		weight[d] = s.meanWeight(b.pick(s.model), d)
	})
	return s.meanRight(func(d int) float64 { return weight[d] })
}

// meanWeight returns a pick's mean weight on a dab.
func (s *samples) meanWeight(p Pick, dab int) float64 {
	sum := 0.0
	for _, k := range s.cellsOf(dab) {
		sum += k.count * p.Weight(k.in(p))
	}
	return sum / s.count[dab]
}

// in returns the middle of a cell in the coordinates of a pick for whose model the cells
// were gathered.
func (k cell) in(p Pick) Point {
	if p.Model == PlaneModel {
		return p.space().acrossLab(k.lab())
	}
	return k.centre(p.Model)
}

// centre returns the middle of a cell.
func (k cell) centre(m Model) (p Point) {
	for c := range Channels {
		p[c] = middleOf(m, c, int(k.bin[c]))
	}
	if k.bin[Hue] < 0 {
		p[Hue] = colour.NoHue
	}
	return p
}
