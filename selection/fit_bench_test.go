package selection

import (
	"math/rand/v2"
	"testing"

	"halocline/colour"
)

// benchDabs are six dabs, three of a kind, of 170,000 noisy pixels each, as
// many as discs of radius 233 hold: a million samples.
func benchDabs() []Dab {
	rng := rand.New(rand.NewPCG(7, 8))
	at := []colour.RGB{{R: 0.72, G: 0.64, B: 0.5}, {R: 0.66, G: 0.6, B: 0.5}, {R: 0.7, G: 0.6, B: 0.45},
		{R: 0.25, G: 0.45, B: 0.3}, {R: 0.3, G: 0.5, B: 0.4}, {R: 0.2, G: 0.4, B: 0.3}}
	dabs := make([]Dab, len(at))
	for i, c := range at {
		dabs[i].Keep = i < 3
		dabs[i].Colours = make([]colour.RGB, 170_000)
		for k := range dabs[i].Colours {
			noise := func() float64 { return 0.03 * rng.NormFloat64() }
			dabs[i].Colours[k] = colour.RGB{
				R: float64(float32(c.R + noise())), G: float64(float32(c.G + noise())), B: float64(float32(c.B + noise()))}
		}
	}
	return dabs
}

// BenchmarkFit fits a million samples.
func BenchmarkFit(b *testing.B) {
	dabs := benchDabs()
	for m := HSL; m <= LCh; m++ {
		b.Run(m.String(), func(b *testing.B) {
			for b.Loop() {
				_, err := Fit(dabs, m)
				must(b, err)
			}
		})
	}
	b.Run("auto", func(b *testing.B) {
		for b.Loop() {
			_, err := FitAuto(dabs)
			must(b, err)
		}
	})
}
