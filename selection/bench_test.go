package selection

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	colorful "github.com/lucasb-eyer/go-colorful"

	"halocline/colour"
)

// benchImage is a smooth underwater-like gradient under sensor noise.
func benchImage(w, h int) *colour.Image {
	rng := rand.New(rand.NewPCG(1, 2))
	m := colour.NewImage(w, h)
	for y := range h {
		for x := range w {
			u, v := float64(x)/float64(w), float64(y)/float64(h)
			wave := 0.1 * math.Sin(40*u) * math.Cos(30*v)
			for i, p := range []*colour.Plane{&m.R, &m.G, &m.B} {
				level := []float64{0.15 + 0.5*v, 0.45 + 0.1*u, 0.5 - 0.2*v}[i]
				p.Row(y)[x] = float32(math.Round(255*(level+wave+0.012*rng.NormFloat64())) / 255)
			}
		}
	}
	return m
}

var benchPicks = [Models]Pick{
	HSL: {Model: HSL, Limits: [3]Limit{
		{Range: Range{From: 10, To: 60, Before: 8, After: 12}},
		{Range: Range{From: 0.1, To: 0.7, Before: 0.05, After: 0.1}},
		{Range: Range{From: 0.3, To: 0.7, Before: 0.06, After: 0.06}}}},
	LCh: {Model: LCh, Limits: [3]Limit{
		{Range: Range{From: 30, To: 100, Before: 8, After: 12}},
		{Range: Range{From: 8, To: 60, Before: 4, After: 10}},
		{Range: Range{From: 30, To: 75, Before: 5, After: 5}}}},
	PlaneModel: {Model: PlaneModel, Normal: [3]float64{0.6, 0.48, 0.64}, Limits: [3]Limit{
		Across: {Range: LevelRange(30, 8, 0)}}},
}

// perPixel is the plain way: go-colorful for each pixel, then the three ranges.
func perPixel(p Pick, src *colour.Image, dst *colour.Plane) {
	w, h := src.Size()
	for y := range h {
		out := dst.Row(y)
		for x := range w {
			c := colorful.Color{R: float64(src.R.At(x, y)), G: float64(src.G.At(x, y)), B: float64(src.B.At(x, y))}
			var v Point
			switch p.Model {
			case HSL:
				v[0], v[1], v[2] = c.Hsl()
			case LCh:
				v[0], v[1], v[2] = c.Hcl()
				v[1], v[2] = 100*v[1], 100*v[2]
			case PlaneModel:
				l, a, b := c.Lab()
				v = p.space().acrossLab(100*l, 100*a, 100*b)
			}
			out[x] = float32(p.Weight(v))
		}
	}
}

func eachSize(b *testing.B, run func(b *testing.B, src *colour.Image)) {
	for _, size := range []struct {
		name string
		w, h int
	}{{"1080p", 1920, 1080}, {"4K", 3840, 2160}} {
		src := benchImage(size.w, size.h)
		b.Run(size.name, func(b *testing.B) { run(b, src) })
	}
}

// BenchmarkPick weighs a picture that has not been seen before, on one worker.
func BenchmarkPick(b *testing.B) {
	for m, p := range benchPicks {
		b.Run(Model(m).String(), func(b *testing.B) {
			eachSize(b, func(b *testing.B, src *colour.Image) {
				w := new(Weigher)
				w.Set(p)
				var dst colour.Plane
				b.Run("halocline", func(b *testing.B) {
					for b.Loop() {
						must(b, matteOf(context.Background(), w, &dst, src, 1))
					}
				})
				b.Run("codes", func(b *testing.B) {
					var codes Codes
					for b.Loop() {
						must(b, codes.Convert(context.Background(), src, p, 1))
					}
				})
				b.Run("per-pixel", func(b *testing.B) {
					for b.Loop() {
						perPixel(p, src, &dst)
					}
				})
			})
		})
	}
}

// BenchmarkRetune moves one border of one channel, or a level, over cached codes.
func BenchmarkRetune(b *testing.B) {
	for m, p := range benchPicks {
		for _, c := range p.Model.Channels() {
			b.Run(fmt.Sprintf("%s/%s", Model(m), c.Name(Model(m))), func(b *testing.B) {
				eachSize(b, func(b *testing.B, src *colour.Image) {
					var codes Codes
					must(b, codes.Convert(context.Background(), src, p, 1))
					w := new(Weigher)
					var dst colour.Plane
					q, turn := p, 0
					for b.Loop() {
						turn++
						share := 1 + 0.001*float64(turn%50)
						q.Limits[c].To = p.Limits[c].To * share
						if q.Model == PlaneModel {
							q.Limits[c].From = p.Limits[c].From * share
						}
						w.Set(q)
						must(b, w.Matte(context.Background(), &dst, &codes, 1))
					}
				})
			})
		}
	}
}

// benchDabs are six dabs, three of a kind, of 170,000 noisy pixels each, as
// many as there are in discs of radius 233: a million samples.
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

// BenchmarkCells gathers one dab.
func BenchmarkCells(b *testing.B) {
	d := benchDabs()[0]
	for m := HSL; m <= LCh; m++ {
		b.Run(m.String()+"/halocline", func(b *testing.B) {
			for b.Loop() {
				dabCells(d, m)
			}
		})
		b.Run(m.String()+"/map", func(b *testing.B) {
			for b.Loop() {
				slowCells(d, m)
			}
		})
	}
}

// BenchmarkSeparate measures a pick on a million samples.
func BenchmarkSeparate(b *testing.B) {
	dabs := benchDabs()
	for b.Loop() {
		_, err := MeasureSeparation(dabs, benchPicks[LCh])
		must(b, err)
	}
}

func must(b *testing.B, err error) {
	if err != nil {
		b.Fatal(err)
	}
}
